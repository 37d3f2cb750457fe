"""What cannot be had, and the smallest change that would do.

What is missing was found by solving for the least that can be; a good's change follows from what
stands in its way: a limit of packs, an own heap, a missing price, a least order, a supplier left
out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.buying.problem import SMALL
from rootroom.buying.shopping import PLAIN, Change, Purpose, Short
from rootroom.buying.solve import lacks
from rootroom.counts import least_that

if TYPE_CHECKING:
    from rootroom.buying.problem import Basket, Problem
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan


def short_goods(
    plan: Plan,
    problem: Problem,
    basket: Basket,
    *,
    why: Sequence[Purpose],
    by: Mapping[int, date | None],
    without: frozenset[str],
    seconds: float,
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
                uses=tuple(one.use for one in why if one.of == good.name),
                by=by.get(index),
                change=_change(plan, problem, index, without, seconds),
            )
        )
    return tuple(found)


def _change(
    plan: Plan, problem: Problem, index: int, without: frozenset[str], seconds: float
) -> Change:
    """Return the smallest change: fewest packs beyond a limit, else what is nearest at hand."""
    good = problem.goods[index]
    missing = float(good.missing) / SMALL[good.unit]
    limited = [
        (-(-good.missing // offer.content) * offer.each_cents(1), place)
        for place, offer in enumerate(problem.offers)
        if offer.good == index and offer.at_most is not None
    ]
    if limited:
        place = min(limited)[1]
        offer = problem.offers[place]
        then = _least_limit(problem, index, place, seconds)
        if then is not None:
            return Change("at_most", offer.supply, offer.at_most or 0, then)
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


def _least_limit(problem: Problem, index: int, place: int, seconds: float) -> int | None:
    """Return the least limit of one offer at which nothing of a good is missing, by solving."""
    offer = problem.offers[place]
    now, good = offer.at_most or 0, problem.goods[index]

    def does(most: int) -> bool:
        offers = list(problem.offers)
        offers[place] = evolve(offer, at_most=most)
        goods = tuple(evolve(one, missing=0) for one in problem.goods)
        changed = evolve(problem, goods=goods, offers=tuple(offers))
        return not lacks(changed, index, seconds=seconds)

    least = 0 if offer.seller is None else problem.sellers[offer.seller].least_ml
    far = now + int(-(-good.missing // offer.content))
    if offer.loose_ml:
        far = max(far, int(-(-least // offer.loose_ml)))
    return least_that(does, now, far) if does(far) else None


def _is_for(supply: Supply, name: str, kind: str) -> bool:
    return supply.of == name and (supply.of_kind == "container") == (kind == "container")
