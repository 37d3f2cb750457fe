"""What a litre of an own mix costs beside ready-made mix, at unit prices.

A good that the list buys counts at what the list pays for a unit of it, quantity prices and all; a
good that it does not buy at its cheapest pack by content. So bulk that would need a delivery, or a
price from ten packs on, counts only where it is taken. Tax is with it, trips and deliveries are not
(they belong to no single litre). What an own heap holds is counted at no price where nothing of
it can be bought. So the share saved does not change when all prices rise alike.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.buying.problem import Offer, Problem, Recipe
from rootroom.buying.shopping import Comparison, ReadyMade

if TYPE_CHECKING:
    from rootroom.buying.formulation import Statement
    from rootroom.buying.problem import Basket
    from rootroom.plan.model import Plan


def unit_cents(problem: Problem, offer: Offer, packs: int = 1) -> Fraction:
    """Return what a unit of an offer's content costs, tax with it, for so many packs."""
    tax = Fraction(0) if offer.seller is None else problem.sellers[offer.seller].tax
    return Fraction(offer.each_cents(packs)) / offer.content * (1 + tax)


def compare_mixes(plan: Plan, statement: Statement, basket: Basket) -> tuple[Comparison, ...]:
    """Return the comparison of every mix that can be blended, in the order of the plan.

    Ready-made mix that the plan forbids is compared too.
    """
    return _Prices(plan, statement, basket).compare()


class _Prices:
    """Unit prices of all goods, inner mixes before those that hold them.

    `own` is cents for a loose and for a finished unit of each mix that is blended, or None.
    """

    def __init__(self, plan: Plan, statement: Statement, basket: Basket) -> None:
        self.plan = plan
        self.problem: Problem = statement.problem
        self.shown = statement.shown
        self.packs = basket.packs
        self.own: dict[int, tuple[Fraction, Fraction] | None] = {}

    def compare(self) -> tuple[Comparison, ...]:
        found: dict[str, Comparison] = {}
        for recipe in reversed(self.problem.recipes):
            lacking = self._lacking(recipe)
            self.own[recipe.mix] = None if lacking else self._own_cents(recipe)
            found[self.problem.goods[recipe.mix].name] = self._comparison(recipe, lacking)
        return tuple(found[name] for name in self.plan.mixes if name in found)

    def _price(self, index: int) -> Fraction | None:
        """Return the unit price of a good, its own blending among the ways to get it.

        What is put into bagged mix counts with it.
        """
        good = self.problem.goods[index]
        added = sum((rate * (self._price(put) or 0) for put, rate in good.adds), Fraction(0))
        bought = self._bought(index)
        prices = [one + added for one in ([self._paid(bought)] if bought else self._asked(index))]
        own = self.own.get(index)
        if own is not None:
            prices.append(own[1])
        if not prices and good.stock:
            return added
        return min(prices, default=None)

    def _bought(self, index: int) -> list[tuple[int, Offer]]:
        both = zip(self.packs, self.problem.offers, strict=True)
        return [(packs, offer) for packs, offer in both if packs and offer.good == index]

    def _paid(self, bought: list[tuple[int, Offer]]) -> Fraction:
        """Return what the list pays for a unit of what it buys of one good."""
        cents = sum(n * o.content * unit_cents(self.problem, o, n) for n, o in bought)
        return Fraction(cents) / sum(n * o.content for n, o in bought)

    def _asked(self, index: int) -> list[Fraction]:
        return [unit_cents(self.problem, o) for o in self.problem.offers if o.good == index]

    def _lacking(self, recipe: Recipe) -> list[str]:
        goods = self.problem.goods
        inside = [part.good for part in recipe.parts] + [good for good, _ in recipe.adds]
        inside += [put for part in recipe.parts for put, _ in goods[part.good].adds]
        return [goods[i].name for i in inside if self._price(i) is None]

    def _own_cents(self, recipe: Recipe) -> tuple[Fraction, Fraction]:
        """Return cents for a loose unit of parts, and for a finished one with its additions."""
        loose = sum((p.share * (self._price(p.good) or 0) for p in recipe.parts), Fraction(0))
        added = sum((rate * (self._price(good) or 0) for good, rate in recipe.adds), Fraction(0))
        return loose, loose * recipe.loose + added

    def _comparison(self, recipe: Recipe, lacking: list[str]) -> Comparison:
        own = self.own[recipe.mix]
        taken = zip(self.packs, self.problem.offers, strict=True)
        offers = [(max(packs, 1), offer) for packs, offer in taken if offer.good == recipe.mix]
        offers += [(1, offer) for offer in self.shown if offer.good == recipe.mix]
        return Comparison(
            mix=self.problem.goods[recipe.mix].name,
            own_cents_per_l=None if own is None else own[1] * 1000,
            own_loose_cents_per_l=None if own is None else own[0] * 1000,
            ready=tuple(
                self._ready(offer, packs, own)
                for packs, offer in sorted(offers, key=lambda one: one[1].supply)
            ),
            unpriced=tuple(lacking),
        )

    def _ready(self, offer: Offer, packs: int, own: tuple[Fraction, Fraction] | None) -> ReadyMade:
        supply = next(one for one in self.plan.supplies if one.number == offer.supply)
        cents = unit_cents(self.problem, offer, packs)
        saved = 1 - own[1] / cents if own is not None and cents else None
        pack = supply.pack.text if supply.pack is not None else "own"
        return ReadyMade(offer.supply, pack, supply.supplier, cents * 1000, saved)
