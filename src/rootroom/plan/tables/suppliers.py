"""The table [suppliers]: what going there or having it brought costs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any, NewType

from attrs import frozen

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.goods import WITHOUT_DECIMALS, Supplier, Supply
from rootroom.plan.measures import Litres, MinutesText, Share
from rootroom.plan.names import tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.tables.plants import entries_of
from rootroom.plan.values import MOST, READERS, Cents, Days, exact, show
from rootroom.problems import TextError
from rootroom.units import Amount, read_amount

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
        tidy(name): _supplier(tidy(name), table, ("suppliers", name), findings)
        for name, table in raw.items()
    }
    _check_decimals(data, currency, findings)
    return suppliers


def _supplier(name: str, raw: object, path: Path, findings: Findings) -> Supplier:
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
