"""How often the list is enough, and what it leaves in the middle season.

In each drawn season the ready-made mix that was bought is used first, the rest is blended by the
recipe of the list, and everything is enough if no good runs out. Packs that swell or are soaked
are drawn too, each supply in a stream of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from attrs import frozen

from rootroom.buying.formulation import Statement
from rootroom.buying.problem import SMALL, Basket, Problem, Unit, content_at
from rootroom.demand.draws import Streams, median
from rootroom.tolerances import DUST_L

if TYPE_CHECKING:
    from rootroom.demand.find import Demand
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan


@frozen
class Chance:
    """The share of the draws in which the list is enough, and the median of what is left.

    `left` is by good, in the problem's units; below nothing where it lacks in most seasons.
    """

    sure: float
    left: Mapping[int, float]


def chance_of(
    plan: Plan, statement: Statement, problem: Problem, basket: Basket, demand: Demand
) -> Chance:
    """Return how often `basket` is enough for the demand it was bought for."""
    streams = Streams(demand.draws)
    drawn_left = _left(
        problem,
        basket,
        direct={**demand.direct_draws_l, **demand.ingredient_draws_l},
        loose=demand.loose_draws,
        there=_there(plan, statement, problem, basket, streams),
        own=_pot_additions(plan, problem, demand),
    )
    enough = np.ones(demand.draws, dtype=bool)
    for over in drawn_left.values():
        enough &= over >= -DUST_L * SMALL["ml"]  # no shortage; of mg it is as little
    left = {index: median(over) for index, over in drawn_left.items()}
    return Chance(float(enough.mean()), left)


def _pot_additions(plan: Plan, problem: Problem, demand: Demand) -> Mapping[int, float]:
    """Return what pots are given of their own, in the unit that the problem counts it in."""
    own = {}
    for index, good in enumerate(problem.goods):
        given = demand.pot_additions.get(good.name)
        if given is None or good.kind not in ("addition", "ingredient"):
            continue
        amount = given.amount.likely * SMALL[good.unit]
        if (given.unit == "kg") != (good.unit == "mg"):
            density = plan.density_kg_per_l(good.name)
            assert density is not None  # the statement needed it too
            amount *= density if given.unit == "l" else 1 / density
        own[index] = amount
    return own


def _there(
    plan: Plan, statement: Statement, problem: Problem, basket: Basket, streams: Streams
) -> Mapping[int, Any]:
    """Return stock and bought of each good, at drawn contents."""
    supplies = {supply.number: supply for supply in plan.supplies}
    there: dict[int, Any] = {index: 0.0 for index in range(len(problem.goods))}
    for offer, packs in zip(problem.offers, basket.packs, strict=True):
        if packs:
            unit = problem.goods[offer.good].unit
            ratio = _ratio(supplies[offer.supply], unit, statement.level, streams)
            # An exact number times an array of draws would be 4,000 exact numbers.
            there[offer.good] = there[offer.good] + float(packs * offer.content) * ratio
    for supply, index, amount in statement.stock:
        unit = problem.goods[index].unit
        ratio = _ratio(supply, unit, statement.level, streams) if supply.on_hand else 1.0
        there[index] = there[index] + float(amount) * ratio
    return there


def _ratio(supply: Supply, unit: Unit, level: float, streams: Streams) -> Any:
    """Return drawn content over the content that was counted on."""
    spread = supply.loose_l
    by_mass = unit == "mg" and supply.mass_kg is not None
    if spread is None or spread.low == spread.high or by_mass or unit == "pieces":
        return 1.0
    counted = content_at(spread, level)
    pack = "" if supply.pack is None else supply.pack.text
    return streams.draw(f"pack {supply.of} {pack}", spread) / counted


def _left(
    problem: Problem,
    basket: Basket,
    *,
    direct: Mapping[str, Any],
    loose: Mapping[str, Any],
    there: Mapping[int, Any],
    own: Mapping[int, float],
) -> dict[int, Any]:
    """Return what is left of each named good."""
    wanted: dict[int, Any] = {}
    for index, good in enumerate(problem.goods):
        litres = direct.get(good.name, 0.0) * 1000 if good.kind in ("mix", "ingredient") else 0.0
        wanted[index] = litres + own.get(index, 0.0)
        if good.kind == "container":
            wanted[index] = float(good.need)
    ready: dict[int, Any] = {}
    for number, recipe in enumerate(problem.recipes):
        name = problem.goods[recipe.mix].name
        ready[recipe.mix] = np.minimum(wanted[recipe.mix], there[recipe.mix])
        blended = wanted[recipe.mix] - ready[recipe.mix]
        volumes = basket.parts[number]
        total = sum(volumes)
        for part, volume in zip(recipe.parts, volumes, strict=True):
            share = float(volume / total) if total else float(part.share)
            wanted[part.good] = wanted[part.good] + blended * loose[name] * share
        for good_index, rate in recipe.adds:
            wanted[good_index] = wanted[good_index] + blended * float(rate)
    for index, mix in enumerate(problem.goods):
        for good_index, rate in mix.adds:
            wanted[good_index] = wanted[good_index] + wanted[index] * float(rate)
    return {
        index: there[index] - ready.get(index, wanted[index])
        for index, good in enumerate(problem.goods)
        if good.named
    }
