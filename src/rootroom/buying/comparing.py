"""What a litre of an own mix costs beside ready-made mix, at unit prices.

A unit price is that of the cheapest pack by content, tax with it, trips and deliveries without
(they belong to no single litre). What an own heap holds is counted at no price where nothing of
it can be bought. So the share saved does not change when all prices rise alike.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.buying.problem import Offer, Problem, Recipe
from rootroom.buying.result import Comparison, ReadyMade

if TYPE_CHECKING:
    from rootroom.buying.stating import Statement
    from rootroom.plan.model import Plan

__all__ = ["compare_mixes", "unit_cents"]


def unit_cents(problem: Problem, offer: Offer) -> Fraction:
    """Return what a unit of an offer's content costs, tax with it, at the price of one pack."""
    tax = Fraction(0) if offer.seller is None else problem.sellers[offer.seller].tax
    return Fraction(offer.prices[0][1], offer.content) * (1 + tax)


def compare_mixes(plan: Plan, statement: Statement) -> tuple[Comparison, ...]:
    """Return the comparison of every mix that can be blended, in the order of the plan.

    Ready-made mix that the plan forbids is compared too.
    """
    problem = statement.problem
    ready = (*problem.offers, *statement.shown)
    costs: dict[int, tuple[Fraction, Fraction] | None] = {}
    found: dict[str, Comparison] = {}
    for recipe in reversed(problem.recipes):
        lacking = _lacking(problem, recipe, costs)
        costs[recipe.mix] = None if lacking else _own_cents(problem, recipe, costs)
        name = problem.goods[recipe.mix].name
        offers = [offer for offer in ready if offer.good == recipe.mix]
        found[name] = _comparison(plan, problem, recipe, offers, costs[recipe.mix], lacking)
    return tuple(found[name] for name in plan.mixes if name in found)


def _price(
    problem: Problem, index: int, costs: dict[int, tuple[Fraction, Fraction] | None]
) -> Fraction | None:
    """Return the least unit price of a good, its own blending among the ways to get it.

    What is put into bagged mix counts with it.
    """
    good = problem.goods[index]
    added = sum((rate * (_price(problem, put, costs) or 0) for put, rate in good.adds), Fraction(0))
    prices = [unit_cents(problem, offer) + added for offer in problem.offers if offer.good == index]
    own = costs.get(index)
    if own is not None:
        prices.append(own[1] / 1000)
    if not prices and good.stock:
        return added
    return min(prices, default=None)


def _lacking(
    problem: Problem, recipe: Recipe, costs: dict[int, tuple[Fraction, Fraction] | None]
) -> list[str]:
    inside = [part.good for part in recipe.parts] + [good for good, _ in recipe.adds]
    inside += [put for part in recipe.parts for put, _ in problem.goods[part.good].adds]
    return [problem.goods[i].name for i in inside if _price(problem, i, costs) is None]


def _own_cents(
    problem: Problem, recipe: Recipe, costs: dict[int, tuple[Fraction, Fraction] | None]
) -> tuple[Fraction, Fraction]:
    """Return cents for a loose litre of parts, and for a finished litre with its additions."""
    loose = sum(
        (part.share * (_price(problem, part.good, costs) or 0) for part in recipe.parts),
        Fraction(0),
    )
    added = sum(
        (rate * (_price(problem, good, costs) or 0) for good, rate in recipe.adds), Fraction(0)
    )
    return loose * 1000, (loose * recipe.loose + added) * 1000


def _comparison(
    plan: Plan,
    problem: Problem,
    recipe: Recipe,
    offers: list[Offer],
    own: tuple[Fraction, Fraction] | None,
    lacking: list[str],
) -> Comparison:
    supplies = {supply.number: supply for supply in plan.supplies}
    ready = []
    for offer in sorted(offers, key=lambda offer: offer.supply):
        supply = supplies[offer.supply]
        cents = unit_cents(problem, offer) * 1000
        saved = 1 - own[1] / cents if own is not None and cents else None
        pack = supply.pack.text if supply.pack is not None else "own"
        ready.append(ReadyMade(offer.supply, pack, supply.supplier, cents, saved))
    return Comparison(
        mix=problem.goods[recipe.mix].name,
        own_cents_per_l=None if own is None else own[1],
        own_loose_cents_per_l=None if own is None else own[0],
        ready=tuple(ready),
        unpriced=tuple(lacking),
    )
