"""Supplies, suppliers and needs built by hand, for tests of buying.

Amounts are litres, kilograms, pieces and whole cents.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from rootroom.buying.shopping import Shopping
from rootroom.catalogue.spread import Spread
from rootroom.demand.estimates import Needs
from rootroom.plan.entries import Pack, PriceBreak, Supplier, Supply
from rootroom.plan.model import Plan
from tests.support.plans import HERE, plan, spread


def pack(number: int, of: str, litres: float | Spread, cents: int | None, **more: Any) -> Supply:
    """Return a pack of so many litres loose; `of_kind` is an ingredient unless given."""
    loose = spread(litres)
    text = more.pop("text", f"{loose.likely:g} L")
    given: dict[str, Any] = {
        "of_kind": "ingredient",
        "pack": Pack(text, litres=Fraction(str(loose.likely))),
        "loose_l": loose,
    }
    return supply(number, of, cents, **{**given, **more})


def sack(number: int, of: str, kilograms: float, cents: int, **more: Any) -> Supply:
    """Return a pack of an addition, sold by mass."""
    given: dict[str, Any] = {
        "of_kind": "addition",
        "pack": Pack(f"{kilograms:g} kg", kilograms=Fraction(str(kilograms))),
        "mass_kg": kilograms,
    }
    return supply(number, of, cents, **{**given, **more})


def pieces(number: int, of: str, count: int, cents: int, **more: Any) -> Supply:
    """Return a pack of containers."""
    given: dict[str, Any] = {"of_kind": "container", "pack": Pack(str(count), pieces=count)}
    return supply(number, of, cents, **{**given, **more})


def heap(number: int, of: str, litres: float) -> Supply:
    """Return an own heap, never bought."""
    return supply(number, of, None, of_kind="ingredient", have_l=Fraction(str(litres)))


def supply(number: int, of: str, cents: int | None, **more: Any) -> Supply:
    """Return a supply; `more` prices are pairs of packs and cents."""
    breaks = tuple(PriceBreak(packs, each) for packs, each in more.pop("more", ()))
    return Supply(number=number, of=of, where=HERE, price_cents=cents, more=breaks, **more)


def supplier(name: str, **more: Any) -> tuple[str, Supplier]:
    """Return a supplier with its name, as a row of a plan's table."""
    return name, Supplier(name, HERE, **more)


def needs(
    mixes_l: Mapping[str, float] | None = None,
    *,
    loose_per_l: Mapping[str, float] | None = None,
    level: float = 0.9,
    **more: Any,
) -> Needs:
    """Return needs; a mix loses nothing in blending unless `loose_per_l` says so."""
    mixes = dict(mixes_l or {})
    loose = {**dict.fromkeys(mixes, 1.0), **(loose_per_l or {})}
    given: dict[str, Any] = {"ingredients_l": {}, "additions_kg": {}, "additions_l": {}}
    return Needs(level=level, sure=level, mixes_l=mixes, loose_per_l=loose, **{**given, **more})


def packs(shopping: Shopping) -> dict[int, int]:
    """Return packs by supply."""
    return {line.supply: line.packs for line in shopping.lines}


def fees(shopping: Shopping) -> list[tuple[str, str, int]]:
    """Return fees as source, kind and cents."""
    return [(fee.source, fee.kind, fee.cents) for fee in shopping.fees]


def peat(litres: float) -> Needs:
    """Return the need of so many litres of peat for a bed."""
    return needs(ingredients_l={"peat": litres})


def selling(*supplies: Any, **more: Any) -> Plan:
    """Return a plan with these supplies and suppliers."""
    return plan(supplies=supplies, suppliers=dict(more.pop("suppliers", ())), **more)
