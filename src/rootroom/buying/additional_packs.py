"""What more would cost: the cheapest whole packages of one good on top of a list.

The list itself stays as it is; this prices a wish beside it.
Who is gone to or delivers anyway is paid already, so no trip, delivery or least order comes again.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.buying.problem import Offer, Problem, Seller
from rootroom.buying.shopping import More
from rootroom.buying.solve import cheapest

if TYPE_CHECKING:
    from rootroom.buying.problem import Basket
    from rootroom.plan.model import Supply

__all__ = ["packs_for"]


def packs_for(
    supplies: Mapping[int, Supply],
    problem: Problem,
    basket: Basket,
    of: str,
    litres: float,
    *,
    seconds: float,
) -> tuple[More, ...]:
    """Return the cheapest whole packages that hold `litres` [L] more of a good by volume.

    `supplies` are the plan's by number. Nothing is returned when nobody sells so much more.
    The price is that of the packages alone; a fee of a supplier not yet gone to counts in the
    choice.
    """
    index = next((i for i, good in enumerate(problem.goods) if good.name == of), None)
    if index is None or problem.goods[index].unit != "ml" or not litres > 0:
        return ()
    need = -(-Fraction(format(litres, ".13g")) * 1000 // 1)
    offers = tuple(
        _beyond(offer, packs)
        for offer, packs in zip(problem.offers, basket.packs, strict=True)
        if offer.good == index and (offer.at_most is None or offer.at_most > packs)
    )
    wish = Problem(
        goods=(evolve(problem.goods[index], need=need, stock=0, missing=0, adds=()),),
        offers=offers,
        sellers=tuple(
            _again(seller, basket, number) for number, seller in enumerate(problem.sellers)
        ),
    )
    found = cheapest(wish, seconds=seconds)
    if found.basket is None or found.status == "infeasible":
        return ()
    return tuple(
        More(offer.supply, of, _pack_text(supplies[offer.supply]), supplies[offer.supply].supplier,
             packs, packs * offer.each_cents(packs))
        for offer, packs in zip(offers, found.basket.packs, strict=True)
        if packs
    )  # fmt: skip


def _beyond(offer: Offer, packs: int) -> Offer:
    """Return what is left of an offer: steps and limits count from what was bought."""
    reached = offer.each_cents(packs + 1)
    later = [(least - packs, cents) for least, cents in offer.prices if least - packs > 1]
    most = None if offer.at_most is None else offer.at_most - packs
    return evolve(offer, good=0, prices=((1, reached), *later), at_most=most)


def _again(seller: Seller, basket: Basket, number: int) -> Seller:
    """Return a seller as it stands after the list: free to add to where something is bought."""
    if basket.trips[number] or basket.delivered[number]:
        return evolve(seller, trip_cents=None, delivery_cents=None, least_ml=0, carries_ml=None)
    return seller


def _pack_text(supply: Supply) -> str:
    return "" if supply.pack is None else supply.pack.text
