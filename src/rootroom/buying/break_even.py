"""How far one price may go before another list is cheaper, and from where on bulk pays.

Both are found by solving the whole problem again at other prices or volumes, not from unit prices.

The least cost is a concave function of one price, so the present list stays the cheapest on one
stretch of prices. Its end is reached by steps: take the list that is best further on, find by exact
costs where it starts to beat the present one, and ask there again.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.buying.problem import Basket, Good, Offer, Problem, Seller
from rootroom.buying.shopping import BulkBreak, LeastOrder, Turn
from rootroom.buying.solve import cheapest_basket, least_cost
from rootroom.counts import least_that

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

# Up to so many times its price is a price followed.
FARTHEST = 10
# So many of the costliest lines are followed, beside every ready-made mix.
LINES = 3
# Buying so many times what is needed is far more.
FAR_MORE = 1.5
# The largest volume tried for a bulk delivery [ml]: 100 cubic metres.
MOST_ML = 100_000_000


def turns(plan: Plan, problem: Problem, basket: Basket, *, seconds: float) -> Iterable[Turn]:
    """Yield where the choice turns: for each ready-made mix, and for the costliest lines.

    What is bought is followed up, what is not is followed down.
    """
    supplies = {supply.number: supply for supply in plan.supplies}
    for place in _followed(problem, basket):
        offer = problem.offers[place]
        supply = supplies[offer.supply]
        up = basket.packs[place] > 0
        price = offer.each_cents(max(basket.packs[place], 1))
        found = _turn(problem, basket, place, up=up, seconds=seconds)
        yield Turn(
            supply=offer.supply,
            of=supply.of,
            pack="own" if supply.pack is None else supply.pack.text,
            source=supply.supplier,
            price_cents=price,
            direction="up" if up else "down",
            at_cents=None if found is None else price + found,
        )


def _followed(problem: Problem, basket: Basket) -> list[int]:
    """Return the offers whose price is followed, in the order of the file."""
    mixed = {recipe.mix for recipe in problem.recipes}
    ready = {i for i, offer in enumerate(problem.offers) if offer.good in mixed}
    costs = [
        (-packs * offer.each_cents(packs), place)
        for place, (packs, offer) in enumerate(zip(basket.packs, problem.offers, strict=True))
        if packs and place not in ready and offer.each_cents(packs)
    ]
    return sorted(ready | {place for _, place in sorted(costs)[:LINES]})


def _turn(problem: Problem, basket: Basket, place: int, *, up: bool, seconds: float) -> int | None:
    """Return the least change of a price [cents] at which the basket is no longer cheapest."""
    price = problem.offers[place].each_cents(max(basket.packs[place], 1))
    step = 1 if up else -1
    far = price * (FARTHEST - 1) if up else price

    def better(distance: int) -> Basket | None:
        """Return a basket that costs less than the present one this far on, if there is any."""
        there = _at_price(problem, place, step * distance)
        other = cheapest_basket(there, seconds=seconds)
        if other is None or other.cost_cents(there) >= basket.cost_cents(there):
            return None
        return other

    def starts(other: Basket, distance: int) -> int:
        """Return from where on the other basket costs less, knowing that it does this far on."""

        def costs_less(near: int) -> bool:
            there = _at_price(problem, place, step * near)
            return other.cost_cents(there) < basket.cost_cents(there)

        return least_that(costs_less, 0, distance)

    first = None
    other = better(far) if far > 0 else None
    while other is not None:
        first = starts(other, far)
        far = first - 1
        other = better(far) if far > 0 else None
    return None if first is None else step * first


def _at_price(problem: Problem, place: int, change: int) -> Problem:
    """Return the problem with every price step of one offer changed by so many cents."""
    offers = list(problem.offers)
    prices = tuple((packs, max(cents + change, 0)) for packs, cents in offers[place].prices)
    offers[place] = evolve(offers[place], prices=prices)
    return evolve(problem, offers=tuple(offers))


def bulk_breaks(plan: Plan, problem: Problem, *, seconds: float) -> Iterable[BulkBreak]:
    """Yield, for each good that is delivered and sold in packs too, from what volume bulk pays.

    Packs are counted without their trip, as if it is made anyway, the delivery with its fee and
    its least order. Both costs rise in steps, so it is the first such volume met when volumes are
    doubled and then halved, to a litre.
    """
    for index, good in enumerate(problem.goods):
        offers = [offer for offer in problem.offers if offer.good == index]
        bulk = [offer for offer in offers if _delivers(problem, offer)]
        packs = [offer for offer in offers if offer not in bulk]
        if not bulk or not packs or good.unit != "ml":
            continue
        seller = bulk[0].seller
        assert seller is not None
        yield BulkBreak(
            supply=bulk[0].supply,
            of=good.name,
            source=problem.sellers[seller].name,
            from_l=_break_l(problem, good, bulk, packs, seconds),
        )


def _delivers(problem: Problem, offer: Offer) -> bool:
    return offer.seller is not None and problem.sellers[offer.seller].delivery_cents is not None


def _break_l(
    problem: Problem, good: Good, bulk: list[Offer], packs: list[Offer], seconds: float
) -> float | None:
    taxed = tuple(
        Seller(one.name, tax=one.tax, least_cents=one.least_cents) for one in problem.sellers
    )

    def pays(litres: int) -> bool:
        one = evolve(good, need=litres * 1000, stock=0, missing=0, adds=())
        by_bulk = _alone(one, bulk, problem.sellers)
        by_pack = _alone(one, packs, taxed)
        dear = least_cost(by_pack, seconds=seconds)
        cheap = least_cost(by_bulk, seconds=seconds)
        return cheap is not None and (dear is None or cheap <= dear)

    litres = 1
    while not pays(litres):
        litres *= 2
        if litres * 1000 > MOST_ML:
            return None
    return float(least_that(pays, 0, litres))


def _alone(good: Good, offers: list[Offer], sellers: tuple[Seller, ...]) -> Problem:
    """Return the problem of one good alone."""
    return Problem(
        goods=(good,),
        offers=tuple(evolve(offer, good=0, at_most=None) for offer in offers),
        sellers=sellers,
    )


def least_orders(problem: Problem, basket: Basket, *, seconds: float) -> Iterable[LeastOrder]:
    """Yield each least order for which far more is bought than is needed, and the next best way.

    The order is what makes it where a pack less would not reach it.
    """
    left = basket.left(problem)
    for index, seller in enumerate(problem.sellers):
        taken = [
            (packs, offer)
            for packs, offer in zip(basket.packs, problem.offers, strict=True)
            if offer.seller == index and packs
        ]
        fetched = seller.delivery_cents is not None and not basket.delivered[index]
        bought = sum(packs * offer.loose_ml for packs, offer in taken)
        smallest = min((offer.loose_ml for _, offer in taken if offer.loose_ml), default=0)
        if fetched or not bought or bought - smallest >= seller.least_ml:
            continue
        needed = bought - sum(
            min(float(left.get(good, 0)) / content, packs) * loose
            for good, content, packs, loose in (
                (offer.good, offer.content, packs, offer.loose_ml) for packs, offer in taken
            )
        )
        if bought < FAR_MORE * needed:
            continue
        otherwise = _without_order(problem, index)
        other = cheapest_basket(otherwise, seconds=seconds)
        yield LeastOrder(
            source=seller.name,
            least_l=float(seller.least_ml) / 1000,
            bought_l=float(bought) / 1000,
            needed_l=float(needed) / 1000,
            other_cents=None if other is None else other.cost_cents(otherwise),
            other_from=() if other is None else _sources(otherwise, other),
        )


def _without_order(problem: Problem, index: int) -> Problem:
    """Return the problem without a seller's delivery, or without it where nothing else is left."""
    seller = problem.sellers[index]
    if seller.trip_cents is None or seller.delivery_cents is None:
        return evolve(problem, offers=tuple(o for o in problem.offers if o.seller != index))
    sellers = list(problem.sellers)
    sellers[index] = evolve(seller, delivery_cents=None, least_ml=0)
    return evolve(problem, sellers=tuple(sellers))


def _sources(problem: Problem, basket: Basket) -> tuple[str, ...]:
    pairs = zip(basket.packs, problem.offers, strict=True)
    used = {offer.seller for packs, offer in pairs if packs}
    return tuple(seller.name for n, seller in enumerate(problem.sellers) if n in used)
