"""What cannot be had, and the smallest change that would do.

What is missing was found by solving for the least that can be; a good's change follows from what
stands in its way: a limit of packs, an own heap, a missing price, a least order, a supplier left
out.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from rootroom.buying.result import Change, Short
from rootroom.buying.stating import SMALL

if TYPE_CHECKING:
    from rootroom.buying.problem import Basket, Problem
    from rootroom.buying.result import Unit
    from rootroom.plan.model import Plan, Supply

__all__ = ["PLAIN", "short_goods"]

PLAIN: Mapping[str, Unit] = {"ml": "l", "mg": "kg", "pieces": "pieces"}


def short_goods(
    plan: Plan,
    problem: Problem,
    basket: Basket,
    *,
    uses: Mapping[int, tuple[str, ...]],
    by: Mapping[int, date | None],
    without: frozenset[str],
) -> tuple[Short, ...]:
    """Return every good of which some is missing, with what it is for and what would do."""
    used = basket.used(problem)
    found = []
    for index, good in enumerate(problem.goods):
        if not good.missing:
            continue
        small = SMALL[good.unit]
        found.append(
            Short(
                of=good.name,
                unit=PLAIN[good.unit],
                need=float(used[index]) / small,
                missing=float(good.missing) / small,
                uses=uses.get(index, ()),
                by=by.get(index),
                change=_change(plan, problem, index, without),
            )
        )
    return tuple(found)


def _change(plan: Plan, problem: Problem, index: int, without: frozenset[str]) -> Change:
    """Return the smallest change: fewest packs beyond a limit, else what is nearest at hand."""
    good = problem.goods[index]
    missing = float(good.missing) / SMALL[good.unit]
    limited = [
        (-(-good.missing // offer.content) * offer.each_cents(1), offer.supply, offer)
        for offer in problem.offers
        if offer.good == index and offer.at_most is not None
    ]
    if limited:
        _, number, offer = min(limited, key=lambda found: found[:2])
        now = offer.at_most or 0
        return Change("at_most", number, now, now - (-good.missing // offer.content))
    blocked = [offer for offer in problem.offers if offer.good == index]
    if blocked and blocked[0].seller is not None:
        seller = problem.sellers[blocked[0].seller]
        return Change(
            "least", blocked[0].supply, amount=float(seller.least_ml) / 1000, source=seller.name
        )
    mine = [s for s in plan.supplies if _is_for(s, good.name, good.kind)]
    for supply in mine:
        if supply.price_cents is not None and supply.supplier in without:
            return Change("without", supply.number, source=supply.supplier)
    for supply in mine:
        if supply.pack is not None and supply.price_cents is None:
            return Change("price", supply.number, amount=missing)
    return Change("have", mine[0].number, amount=missing)


def _is_for(supply: Supply, name: str, kind: str) -> bool:
    return supply.of == name and (supply.of_kind == "container") == (kind == "container")
