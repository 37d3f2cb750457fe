"""The list `supplies`: what can be had, in which packages, from whom."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal, NewType

from attrs import astuple, evolve, frozen

from rootroom.catalogue.factors import factor
from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Path
from rootroom.plan.goods import Pack, PriceBreak, Supply
from rootroom.plan.names import meant, one_name, suggest
from rootroom.plan.structure import structure
from rootroom.plan.tables.plants import entries_of
from rootroom.plan.values import (
    MOST,
    READERS,
    Cents,
    Count,
    Density,
    Factor,
    Litres,
    Number,
    Text,
    exact,
    read_count,
    show,
)
from rootroom.problems import TextError
from rootroom.units import read_amount

PackText = NewType("PackText", Pack)
Kind = Literal["ingredient", "addition", "container", "mix"]


def _read_pack(value: object) -> Pack:
    """Return what one package holds: pieces, litres or kilograms."""
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        pieces = read_count(value)
        return Pack(str(pieces), pieces=pieces)
    if not isinstance(value, str):
        raise TextError(
            f"a package needs its size: {show(value)}",
            code="needs-unit",
            hint='write `pack = "2 cu ft"`, `"5 kg"`, or a bare number of pieces',
        )
    if value.strip().isdecimal():
        raise TextError(
            f"an amount needs a unit: {show(value)}",
            code="missing-unit",
            hint=f'write its unit, `"{value.strip()} L"`, or pieces without quotes: '
            f"`{value.strip()}`",
        )
    amount = read_amount(value)
    size = amount.l if amount.l is not None else amount.kg
    if size is None or size <= 0:
        raise TextError(f"a size must be above zero: {show(value)}", code="zero-size")
    if size > MOST:
        raise TextError(f"a size beyond any garden: {show(value)}", code="too-large")
    if amount.l is not None:
        return Pack(value, litres=exact(amount.l))
    return Pack(value, kilograms=exact(size))


READERS[PackText] = _read_pack


@frozen(eq=False, repr=False)
class BreakTable:
    """A quantity price as written."""

    packs: Count | None = None
    price: Cents | None = None


@frozen(eq=False, repr=False)
class SupplyTable:
    """An entry of `supplies` as written."""

    of: Text | None = None
    pack: PackText | None = None
    price: Cents | None = None
    from_: Text | None = None
    on_hand: Number | None = None
    have: PackText | None = None
    swells: Factor | None = None
    yields: Litres | None = None
    water: Litres | None = None
    weighs: Density | None = None
    more: tuple[BreakTable, ...] | None = None
    at_most: Count | None = None


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
    findings = context.findings
    if table.of is None:
        if not findings.seen((*path, "of")):
            findings.error(
                path, "missing-key", "a supply needs `of`: what it is", hint='write `of = "peat"`'
            )
        return None
    named = _named(table.of, ingredients, path, context)
    _check_price(table, path, context)
    _check_breaks(table, path, context)
    if named is None:
        return None
    kind, name = named
    ingredient = ingredients.get(name) if kind in ("ingredient", "addition") else None
    sizes = _check_units(table, kind, path, context)
    content = _content(table, kind, ingredient, path, context) if sizes else None
    if content is None:
        return None
    loose, mass = content
    swells = table.swells or _bale(table, ingredient)
    have_l, have_kg, have_pieces = _have(table, kind, loose)
    return Supply(
        number=number,
        of=name,
        of_kind=kind,
        where=findings.where(path),
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
        more=tuple(
            PriceBreak(each.packs, each.price)
            for each in table.more or ()
            if each is not None and each.packs is not None and each.price is not None
        ),
        swells=swells,
        water_l=_water_l(table, ingredient),
        assumed=_assumed(table, ingredient, swells),
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

    def missing(key: str, message: str, hint: str) -> None:
        if not findings.seen((*path, key)):
            findings.error(path, "missing-key", message, hint=hint)

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
        missing(
            "pack",
            f"supply `{table.of}` needs `pack`, or `have`",
            'write `pack = "2 cu ft"`, or `have = "9 cu ft"` for your own',
        )
    elif table.price is None and (table.from_ is not None or not table.on_hand):
        missing(
            "price",
            f"supply `{table.of}` has a pack without a price",
            "write `price = 8.99`; packs that are only used up need `on_hand` and no `from`",
        )
    if table.price is None and table.more:
        missing("price", f"supply `{table.of}` has quantity prices without a price", "")


def _check_breaks(table: SupplyTable, path: Path, context: Context) -> None:
    last, cents = 1, table.price
    for index, each in enumerate(table.more or ()):
        where: Path = (*path, "more", index)
        if each is None:
            continue
        for key in ("packs", "price"):
            if getattr(each, key) is None and not context.findings.seen((*where, key)):
                context.findings.error(
                    where,
                    "missing-key",
                    f"a quantity price needs `{key}`",
                    hint="write `more = [ { packs = 3, price = 29.00 } ]`",
                )
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


def _check_units(table: SupplyTable, kind: Kind, path: Path, context: Context) -> bool:
    """Note a size that does not suit the thing."""
    fine = True
    for key in ("pack", "have"):
        size: Pack | None = getattr(table, key)
        if size is None:
            continue
        if kind == "container" and size.pieces is None:
            hint = f"write the number in a package: `{key} = 10`"
            message = f"containers are counted in pieces: `{size.text}`"
        elif kind != "container" and size.pieces is not None:
            hint = f'write its unit: `{key} = "{size.text} L"`, `"{size.text} cu ft"` or a weight'
            message = f"a size needs its unit: `{size.text}`"
        elif kind == "mix" and size.litres is None:
            hint = "write the volume that stands on the bag"
            message = f"a mix is had by volume: `{size.text}`"
        else:
            continue
        context.findings.error((*path, key), "needs-unit", message, hint=hint)
        fine = False
    return fine


def _content(
    table: SupplyTable,
    kind: Kind,
    ingredient: Ingredient | None,
    path: Path,
    context: Context,
) -> tuple[Spread | None, float | None] | None:
    """Return what one pack comes to: loose litres and kilograms; None where that is not known."""
    findings = context.findings
    size = table.pack or table.have
    if any(findings.seen((*path, key)) for key in ("pack", "have", "swells", "yields", "weighs")):
        return None
    if kind == "container" or size is None:
        return (None, None) if size is not None else None
    if table.swells is not None and table.swells.low < 1:
        findings.error(
            (*path, "swells"),
            "bad-swelling",
            f"what is loosened does not shrink: `{table.swells.low:g}`",
            hint="`swells` is loose volume over packed volume, at least 1",
        )
        return None
    if table.swells is not None and table.yields is not None:
        findings.error(
            (*path, "yields"),
            "swells-and-yields",
            "a pack `swells` or `yields`, not both",
            key=True,
        )
        return None
    return _litres_and_mass(table, size, kind, ingredient, path, context)


def _litres_and_mass(
    table: SupplyTable,
    size: Pack,
    kind: Kind,
    ingredient: Ingredient | None,
    path: Path,
    context: Context,
) -> tuple[Spread | None, float | None] | None:
    density = _density(table, ingredient)
    if size.litres is not None:
        loose = _loosened(table, ingredient, float(size.litres))
        return loose, None if density is None else loose.likely * density.likely / 1000
    kilograms = float(size.kilograms or 0)
    if table.swells is not None:
        context.findings.error(
            (*path, "swells"),
            "bad-swelling",
            f"a pack by weight does not swell: `{size.text}`",
            hint='write what it comes to: `yields = "65 L"`',
            key=True,
        )
        return None
    if table.yields is not None:
        return Spread.exactly(table.yields), kilograms
    if table.weighs is None and ingredient is not None and ingredient.yields_l_per_kg is not None:
        return ingredient.yields_l_per_kg.map(lambda x: x * kilograms), kilograms
    if density is not None:
        litres = (kilograms / x * 1000 for x in (density.high, density.likely, density.low))
        return Spread(*litres), kilograms
    if kind == "addition":
        return None, kilograms
    context.findings.error(
        (*path, "pack" if table.pack is not None else "have"),
        "needs-weight",
        f"`{table.of}` is had by weight and measured by volume: `{size.text}`",
        hint='write `weighs = "12 oz/cup"`, or what the pack comes to: `yields = "65 L"`',
    )
    return None


def _loosened(table: SupplyTable, ingredient: Ingredient | None, litres: float) -> Spread:
    """Return what a pack by volume comes to: swollen, as stated, or as full as bags are [L]."""
    if table.yields is not None:
        return Spread.exactly(table.yields)
    swells = table.swells or _bale(table, ingredient)
    if swells is not None:
        return swells.map(lambda x: x * litres)
    if table.pack is not None:
        return factor("contents").map(lambda x: x * litres)
    return Spread.exactly(litres)


def _bale(table: SupplyTable, ingredient: Ingredient | None) -> Spread | None:
    """Return the shipped swelling of a pack that is sold as a bale and says nothing of it."""
    pack = table.pack
    told = table.swells is not None or table.yields is not None
    if told or ingredient is None or pack is None or pack.litres is None:
        return None
    return ingredient.bale(float(pack.litres))


def _assumed(
    table: SupplyTable, ingredient: Ingredient | None, swells: Spread | None
) -> Literal["", "swells", "yields"]:
    """Return the key that was left out where the shipped range stands for it."""
    if swells is not table.swells:
        return "swells"
    by_weight = table.pack is not None and table.pack.kilograms is not None
    told = table.yields is not None or table.weighs is not None
    soaked = by_weight and not told and ingredient is not None and ingredient.yields_l_per_kg
    return "yields" if soaked else ""


def _water_l(table: SupplyTable, ingredient: Ingredient | None) -> float | None:
    """Return the water that one pack is soaked with [L]."""
    if table.water is not None:
        return table.water
    by_weight = table.pack is not None and table.pack.kilograms is not None
    if not by_weight or ingredient is None or ingredient.soak_l_per_kg is None:
        return None
    assert table.pack is not None
    return ingredient.soak_l_per_kg.likely * float(table.pack.kilograms or 0)


def _density(table: SupplyTable, ingredient: Ingredient | None) -> Spread | None:
    if table.weighs is not None:
        return Spread.exactly(table.weighs)
    return None if ingredient is None else ingredient.density_kg_per_m3


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
