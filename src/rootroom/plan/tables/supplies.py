"""The list `supplies` and the table [suppliers]: what can be had, in which packages, from whom."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, NewType

from attrs import astuple, evolve, frozen

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.plan.context import Context
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.entries import WITHOUT_DECIMALS, PriceBreak, Supplier, Supply, least_cents
from rootroom.plan.measures import Litres, MinutesText, Share
from rootroom.plan.names import meant, one_name, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.tables.packs import (
    Kind,
    SupplyTable,
    bale_swelling,
    pack_content,
    taken_for_granted,
    units_fit,
    water_l,
)
from rootroom.plan.tables.plants import entries_of
from rootroom.plan.values import MOST, READERS, Cents, Days, Text, exact, show
from rootroom.problems import TextError
from rootroom.units import Amount, read_amount


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


Carried = NewType("Carried", Amount)


def _read_carried(value: object) -> Amount:
    """Return what one trip takes: a volume, a weight, or a list of one of each."""
    texts = value if isinstance(value, list) else [value]
    amounts = [read_amount(text) for text in texts if isinstance(text, str)]
    kg = [one.kg for one in amounts if one.kg is not None]
    litres = [one.l for one in amounts if one.l is not None]
    if len(amounts) < len(texts) or not amounts or len(kg) > 1 or len(litres) > 1:
        raise TextError(
            f"a trip takes so much by volume, by weight, or one of each: {show(value)}",
            code="bad-load",
            hint='write `carries = "40 cu ft"`, `"800 lb"` or `["40 cu ft", "800 lb"]`',
        )
    if min(*kg, *litres, MOST) <= 0 or max(*kg, *litres, 0) > MOST:
        raise TextError(
            f"a load is above zero and below any lorry's: {show(value)}", code="bad-load"
        )
    return Amount(kg[0] if kg else None, litres[0] if litres else None)


READERS[Carried] = _read_carried


@frozen(eq=False, repr=False)
class SupplierTable:
    """A table under [suppliers] as written."""

    trip: Cents | None = None
    delivery: Cents | None = None
    tax: Share | None = None
    least: Litres | None = None
    lead: Days | None = None
    carries: Carried | None = None
    minutes: MinutesText | None = None


def read_suppliers(data: dict[str, Any], currency: str, findings: Findings) -> dict[str, Supplier]:
    """Return the suppliers that have a table, by name; note prices that no coins can pay."""
    hint = 'write `[suppliers."Mill Road"]` with `trip = 6.00`'
    raw = tables_under("suppliers", data, "supplier", hint, findings)
    suppliers = {
        tidy(name): _supplier(tidy(name), table, currency, findings, ("suppliers", name))
        for name, table in raw.items()
    }
    _check_decimals(data, currency, findings)
    return suppliers


def _supplier(name: str, raw: object, currency: str, findings: Findings, path: Path) -> Supplier:
    table = structure(SupplierTable, raw, path, findings)
    delivers = table.delivery is not None or findings.seen((*path, "delivery"))
    if table.least is not None and not delivers:
        findings.error(
            (*path, "least"),
            "missing-key",
            f"`least` is of a delivery, and `{name}` has none",
            hint="write `delivery = 55.00`, or 0 if it is free",
            key=True,
        )
    carries = table.carries or Amount(None, None)
    return Supplier(
        name=name,
        where=findings.where(path),
        trip_cents=table.trip,
        delivery_cents=table.delivery,
        tax_share=exact(table.tax) if table.tax else Fraction(0),
        least_l=None if table.least is None else exact(table.least),
        lead_days=table.lead or 0,
        carries_l=None if carries.l is None else exact(carries.l),
        trip_min=table.minutes or 0.0,
        carries_kg=None if carries.kg is None else exact(carries.kg),
        least_cents=least_cents(currency),
    )


def _check_decimals(data: dict[str, Any], currency: str, findings: Findings) -> None:
    """Note each price with a part of a coin that its currency does not have (ISO 4217)."""
    if currency not in WITHOUT_DECIMALS:
        return
    prices: list[tuple[Path, Any]] = []
    for path, raw in entries_of(data, "supplies"):
        if isinstance(raw, dict):
            prices.append(((*path, "price"), raw.get("price")))
            breaks = raw.get("more", ())
            prices += [
                ((*path, "more", index, "price"), each.get("price"))
                for index, each in enumerate(breaks if isinstance(breaks, list) else ())
                if isinstance(each, dict)
            ]
    tables = data.get("suppliers", {})
    for name, raw in tables.items() if isinstance(tables, dict) else ():
        if isinstance(raw, dict):
            prices += [(("suppliers", name, key), raw.get(key)) for key in ("trip", "delivery")]
    for path, price in prices:
        if isinstance(price, Decimal) and price.is_finite() and price % 1 and price < MOST:
            findings.error(
                path,
                "price-decimals",
                f"a price in {currency} has no decimals: {show(price)}",
                hint="write whole numbers, or another `currency` under `[garden]`",
            )


def complete_suppliers(
    suppliers: dict[str, Supplier], supplies: tuple[Supply, ...]
) -> dict[str, Supplier]:
    """Return all suppliers that are named: without a table, going there costs nothing."""
    for supply in supplies:
        if supply.supplier is not None and supply.supplier not in suppliers:
            suppliers[supply.supplier] = Supplier(supply.supplier, None)
    return suppliers
