"""The list `supplies`: what can be had, in which packages, from whom."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from attrs import astuple, evolve

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Path
from rootroom.plan.goods import PriceBreak, Supply
from rootroom.plan.names import meant, one_name, suggest
from rootroom.plan.structure import structure
from rootroom.plan.tables.pack_contents import (
    bale_swelling,
    pack_content,
    taken_for_granted,
    units_fit,
    water_l,
)
from rootroom.plan.tables.plants import entries_of
from rootroom.plan.tables.supply_table import Kind, SupplyTable
from rootroom.plan.values import Text, exact
from rootroom.problems import TextError


def read_supplies(
    data: dict[str, Any],
    ingredients: Mapping[str, Ingredient],
    suppliers: Mapping[str, object],
    context: Context,
) -> tuple[Supply, ...]:
    """Return the supplies in the order of the file, numbered from 1."""
    supplies = []
    seen: dict[Any, Path] = {}
    sellers = {one_name(name): name for name in suppliers}
    told: set[str] = set()
    for number, (path, raw) in enumerate(entries_of(data, "supplies"), start=1):
        table = structure(SupplyTable, raw, path, context.findings)
        # Alike as written, or in what was read: `50 L` and `50 l`. What cannot be read is no twin.
        if table.from_ is not None:
            seller = sellers.setdefault(one_name(table.from_), table.from_)
            table = evolve(table, from_=Text(seller))
        broken = context.findings.seen(path)
        twin = seen.setdefault(repr(raw) if broken else _sense(table), path)
        if twin != path:
            context.findings.error(
                path,
                "duplicate-supply",
                f"two supplies alike in every field: `{table.of}`",
                hint="leave one out; for more packs on hand raise `on_hand`",
                related=[(twin, "the first is here")],
            )
        supply = _supply(table, number, path, ingredients, context)
        if table.from_ is not None and table.from_ not in told:
            _check_supplier(table, path, suppliers, context)
            told.add(table.from_)
        if supply is not None:
            supplies.append(supply)
    return tuple(supplies)


def _sense(table: SupplyTable) -> tuple[Any, ...]:
    """Return what a supply says, whatever spelling its sizes have."""
    plain = {
        key: evolve(size, text="")
        for key in ("pack", "have")
        if (size := getattr(table, key)) is not None
    }
    breaks = [(each.packs, each.price) for each in table.more or () if each is not None]
    return (*astuple(evolve(table, more=None, **plain)), *breaks)


def _supply(
    table: SupplyTable,
    number: int,
    path: Path,
    ingredients: Mapping[str, Ingredient],
    context: Context,
) -> Supply | None:
    if table.of is None:
        hint = 'write `of = "peat"`'
        context.findings.missing(path, "of", "a supply needs `of`: what it is", hint)
        return None
    named = _named(table.of, ingredients, path, context)
    _check_price(table, path, context)
    _check_breaks(table, path, context)
    if named is None:
        return None
    kind, name = named
    ingredient = ingredients.get(name) if kind in ("ingredient", "addition") else None
    sizes = units_fit(table, kind, path, context)
    content = pack_content(table, kind, ingredient, path, context) if sizes else None
    if content is None:
        return None
    loose, mass = content
    swells = table.swells or bale_swelling(table, ingredient)
    have_l, have_kg, have_pieces = _have(table, kind, loose)
    return Supply(
        number=number,
        of=name,
        of_kind=kind,
        where=context.findings.where(path),
        pack=table.pack,
        loose_l=loose,
        mass_kg=mass,
        price_cents=table.price,
        supplier=None if table.from_ is None else str(table.from_),
        on_hand=Fraction(table.on_hand or 0),
        have_l=have_l,
        have_kg=have_kg,
        have_pieces=have_pieces,
        at_most=table.at_most,
        more=_breaks(table),
        swells=swells,
        water_l=water_l(table, ingredient),
        assumed=taken_for_granted(table, ingredient, swells),
    )


def _breaks(table: SupplyTable) -> tuple[PriceBreak, ...]:
    return tuple(
        PriceBreak(each.packs, each.price)
        for each in table.more or ()
        if each is not None and each.packs is not None and each.price is not None
    )


def _have(
    table: SupplyTable, kind: Kind, loose: Spread | None
) -> tuple[Fraction | None, Fraction | None, int | None]:
    """Return the own amount: litres, kilograms or pieces; an ingredient's in litres."""
    have = table.have
    if have is None:
        return None, None, None
    if kind == "ingredient" and have.kilograms is not None and loose is not None:
        return exact(loose.likely), None, None
    return have.litres, have.kilograms, have.pieces


def _named(
    of: str, ingredients: Mapping[str, Ingredient], path: Path, context: Context
) -> tuple[Kind, str] | None:
    """Return what kind of thing `of` names, and its own spelling."""
    mix = meant(of, context.mix_names)
    if mix is not None:
        return "mix", mix
    if of in ingredients:
        found = ingredients[of]
        return ("addition" if found.addition else "ingredient"), found.name
    try:
        container = context.try_container(of)
    except TextError as error:
        known = [*context.mix_names, *ingredients, *context.container_names]
        hint = suggest(of, known, "") or (
            error.hint
            if error.code != "unknown-container"
            else f'describe it: `[ingredients."{of}"]`, `[containers."{of}"]`, '
            f'or `[mixes."{of}"]` for a ready-made mix'
        )
        code = "unknown-good" if error.code == "unknown-container" else error.code
        message = f"unknown good: `{of}`" if code == "unknown-good" else error.message
        context.findings.error((*path, "of"), code, message, hint=hint)
        return None
    return None if container is None else ("container", container.text)


def _check_price(table: SupplyTable, path: Path, context: Context) -> None:
    findings = context.findings
    if table.have is not None:
        for key in ("price", "from_", "pack", "more", "at_most"):
            if getattr(table, key) is not None:
                name = key.rstrip("_")
                findings.error(
                    (*path, name),
                    "have-and-buy",
                    f"`have` is an own amount that is never bought: `{name}`",
                    hint="write a second supply for what is bought",
                    key=True,
                )
        return
    if findings.seen((*path, "have")):
        return
    if table.pack is None:
        findings.missing(
            path,
            "pack",
            f"supply `{table.of}` needs `pack`, or `have`",
            'write `pack = "2 cu ft"`, or `have = "9 cu ft"` for your own',
        )
    elif table.price is None and (table.from_ is not None or not table.on_hand):
        findings.missing(
            path,
            "price",
            f"supply `{table.of}` has a pack without a price",
            "write `price = 8.99`; packs that are only used up need `on_hand` and no `from`",
        )
    if table.price is None and table.more:
        message = f"supply `{table.of}` has quantity prices without a price"
        findings.missing(path, "price", message, "")


def _check_breaks(table: SupplyTable, path: Path, context: Context) -> None:
    last, cents = 1, table.price
    for index, each in enumerate(table.more or ()):
        where: Path = (*path, "more", index)
        if each is None:
            continue
        for key in ("packs", "price"):
            if getattr(each, key) is None:
                hint = "write `more = [ { packs = 3, price = 29.00 } ]`"
                context.findings.missing(where, key, f"a quantity price needs `{key}`", hint)
        if each.packs is not None:
            if each.packs <= last:
                context.findings.error(
                    (*where, "packs"),
                    "breaks-not-rising",
                    f"quantity prices begin at more and more packs: {each.packs} after {last}",
                )
            last = each.packs
        if each.price is not None:
            if cents is not None and each.price > cents:
                context.findings.warning(
                    (*where, "price"),
                    "breaks-dearer",
                    f"a higher price where more are taken: {each.price / 100:.2f} "
                    f"after {cents / 100:.2f}",
                    hint="a quantity price is that of one package, not of all of them",
                )
            cents = each.price


def _check_supplier(
    table: SupplyTable, path: Path, suppliers: Mapping[str, object], context: Context
) -> None:
    """Warn of a name that comes close to a supplier with a table of its own."""
    if table.from_ is None or table.from_ in suppliers:
        return
    near = suggest(table.from_, suppliers)
    if near:
        context.findings.warning(
            (*path, "from"),
            "unknown-supplier",
            f"a supplier without a table, so no trip or tax is counted: `{table.from_}`",
            hint=near,
        )
