"""The buying problem in exact numbers and their rounding: what must be had, is there, is sold.

Nothing here knows a plan, a file or a unit.
An amount is millilitres, milligrams or pieces, as the good's `unit` says, an exact number; needs
were rounded up and contents down before they came here. Money is whole cents.

Rules, all hard:

- of every good that somebody could supply, what is used is at most stock plus what is bought;
- of a mix with a recipe, blended plus ready-made used is the need, its own and other mixes';
- what is blended of a mix is blended by one of its recipes in half scoops, one for the season;
- of every good at least `floor` is there, used or not: what the sessions bring;
- additions go into what is blended, and into all that is used of a mix without a recipe;
- a supplier's goods are fetched in trips, each carrying at most `carries_ml` and `carries_mg`, or
  come as one delivery of at least `least_ml` loose; without a delivery fee, `least_ml` is what any
  order must reach;
- the price of a pack is that of the highest step reached, for all packs of the offer.

Cost is packs, trips, deliveries, and each supplier's tax on its goods, rounded half up to a cent.
Aims, one after the other: least cost, least left over (millilitres of goods by volume), fewest
packs, parts nearest the plan's shares (millilitres moved), and packs from early in the file (least
sum of the places of all packs).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom.counts import ceil_count, payable
from rootroom.formulas import triangular
from rootroom.optimize.linear_form import Number

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread

Kind = Literal["ingredient", "addition", "container", "mix"]
Unit = Literal["ml", "mg", "pieces"]


# Base units of the plan in base units of the problem: litres, kilograms, pieces.
SMALL: Mapping[Unit, int] = {"ml": 1000, "mg": 1_000_000, "pieces": 1}
# Steps that amounts are rounded to, for each millilitre or milligram.
STEPS = 10**9


@frozen
class Good:
    """Something needed: `need` of its own, beside what goes into mixes.

    `stock` is there already, and `floor` must be there with what is bought.
    `named`: some supply names it, so it must come from stock or shops; otherwise any amount is
    taken as had. `missing` is what the answer may do without.
    `adds` is how much of other goods goes into each millilitre used of a mix that has no recipe.
    """

    name: str
    kind: Kind
    unit: Unit
    need: Number
    stock: Number = 0
    named: bool = True
    missing: Number = 0
    adds: tuple[tuple[int, Fraction], ...] = ()
    floor: Number = 0


@frozen
class Offer:
    """A pack that can be bought: `content` of a good, in `prices` steps (from packs, cents each).

    `room_ml` is what a pack takes on the way and `mass_mg` what it weighs, as far as that is known;
    `loose_ml` is what it counts towards a least order.
    """

    supply: int
    good: int
    content: Number
    prices: tuple[tuple[int, int], ...]
    seller: int | None = None
    at_most: int | None = None
    room_ml: Number = 0
    mass_mg: Number = 0
    loose_ml: Number = 0

    def each_cents(self, packs: int) -> int:
        """Return the price of one pack when so many are bought."""
        return [cents for least, cents in self.prices if packs >= least or least == 1][-1]


@frozen
class Seller:
    """A supplier: cents of a trip or a delivery (None: not offered, or a trip that costs nothing).

    A seller with neither is free to go to.
    """

    name: str
    trip_cents: int | None = None
    delivery_cents: int | None = None
    tax: Fraction = Fraction(0)
    least_ml: Number = 0
    carries_ml: Number | None = None
    carries_mg: Number | None = None
    least_cents: int = 1

    def tax_cents(self, goods_cents: int) -> int:
        """Return the tax on goods, rounded half up to a sum that can be paid."""
        return payable(self.tax * goods_cents, self.least_cents)


@frozen
class Part:
    """One part of a recipe: the plan's share of the loose volume."""

    good: int
    share: Fraction


@frozen
class Recipe:
    """How a mix is blended: loose millilitres for each finished one, parts, and additions.

    `choices` are the shares of the parts by each recipe that it may be blended by, one of them for
    the whole season; `adds` is how much of other goods goes into each finished millilitre.
    """

    mix: int
    loose: Fraction
    parts: tuple[Part, ...]
    choices: tuple[tuple[Fraction, ...], ...]
    adds: tuple[tuple[int, Fraction], ...] = ()


@frozen
class Problem:
    """Goods, offers in the order of the file, sellers, and recipes, each before its parts'."""

    goods: tuple[Good, ...]
    offers: tuple[Offer, ...]
    sellers: tuple[Seller, ...] = ()
    recipes: tuple[Recipe, ...] = ()


@frozen
class Basket:
    """An answer: packs of each offer, trips and deliveries of each seller, and how mixes are made.

    `blended` is finished millilitres of each recipe, `parts` its loose millilitres by part, and
    `ready` the millilitres of ready-made mix used for it.
    """

    packs: tuple[int, ...]
    trips: tuple[int, ...]
    delivered: tuple[bool, ...]
    blended: tuple[Fraction, ...]
    ready: tuple[Fraction, ...]
    parts: tuple[tuple[Fraction, ...], ...]

    def goods_cents(self, problem: Problem, seller: int | None) -> int:
        """Return what the packs of one seller cost before tax."""
        return sum(
            packs * offer.each_cents(packs)
            for packs, offer in zip(self.packs, problem.offers, strict=True)
            if offer.seller == seller and packs
        )

    def cost_cents(self, problem: Problem) -> int:
        """Return what everything costs, fees and tax with it."""
        cost = self.goods_cents(problem, None)
        for index, seller in enumerate(problem.sellers):
            goods = self.goods_cents(problem, index)
            cost += goods + seller.tax_cents(goods) + self.trips[index] * (seller.trip_cents or 0)
            cost += (seller.delivery_cents or 0) if self.delivered[index] else 0
        return cost

    def used(self, problem: Problem) -> Mapping[int, Fraction]:
        """Return how much of each good is used from stock and packs; own mix is not counted."""
        used = {index: Fraction(good.need) for index, good in enumerate(problem.goods)}
        for recipe, blended, parts in zip(problem.recipes, self.blended, self.parts, strict=True):
            for part, amount in zip(recipe.parts, parts, strict=True):
                used[part.good] += amount
            for good, rate in recipe.adds:
                used[good] += rate * blended
        for index, mix in enumerate(problem.goods):
            for good, rate in mix.adds:
                used[good] += rate * used[index]
        for recipe, ready in zip(problem.recipes, self.ready, strict=True):
            used[recipe.mix] = ready
        return used

    def bought(self, problem: Problem, good: int) -> Number:
        """Return how much of a good the packs come to."""
        return sum(
            packs * offer.content
            for packs, offer in zip(self.packs, problem.offers, strict=True)
            if offer.good == good
        )

    def missing(self, problem: Problem) -> Mapping[int, Fraction]:
        """Return what is missing of each named good: what is used beyond stock and bought."""
        used = self.used(problem)
        return {
            index: max(
                max(used[index], Fraction(good.floor)) - good.stock - self.bought(problem, index),
                Fraction(0),
            )
            for index, good in enumerate(problem.goods)
            if good.named
        }

    def left(self, problem: Problem) -> Mapping[int, Fraction]:
        """Return what is left of each named good: stock and bought less used, never below 0."""
        used = self.used(problem)
        return {
            index: max(
                good.stock + self.bought(problem, index) - used[index] + good.missing, Fraction(0)
            )
            for index, good in enumerate(problem.goods)
            if good.named
        }

    def left_ml(self, problem: Problem) -> int:
        """Return whole millilitres left over of all goods by volume, rounded up."""
        left = self.left(problem)
        total = sum((left[i] for i in left if problem.goods[i].unit == "ml"), Fraction(0))
        return int(-(-total // 1))


def content_at(spread: Spread, level: float) -> float:
    """Return what a pack surely comes to when needs are read at `level`: its percentile 1 - level.

    The percentile is that of the triangular distribution.
    """
    return triangular(1 - level, spread.low, spread.likely, spread.high)


def rounded_up(amount: float, unit: Unit) -> Number:
    """Return an amount in the problem's unit, rounded up."""
    if unit == "pieces":
        return ceil_count(amount, 1)
    return Fraction(-(-_thirteen_digits(amount) * SMALL[unit] * STEPS // 1), STEPS)


def rounded_down(amount: float, unit: Unit) -> Number:
    """Return an amount in the problem's unit, rounded down."""
    if unit == "pieces":
        return int(amount)
    return Fraction(_thirteen_digits(amount) * SMALL[unit] * STEPS // 1, STEPS)


def _thirteen_digits(amount: float) -> Fraction:
    return Fraction(format(amount, ".13g"))
