"""From finished mix to loose parts, through mixes that hold other mixes, and to what is added.

The same for likely values and for arrays of draws; volumes in litres [L].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from graphlib import TopologicalSorter
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np
from attrs import frozen

from rootroom.demand.draws import Draws, estimate
from rootroom.demand.estimates import Addition
from rootroom.demand.room import Number

if TYPE_CHECKING:
    from rootroom.demand.moves import MoveLoad
    from rootroom.plan.model import Mix, Plan


Spoons = Mapping[str, float | None]
"""What a plan gives by volume, and what a litre of it weighs [kg/L], None where nobody says."""


@frozen(eq=False)
class Recipes:
    """The recipes of a plan: share of each part in each mix, outer mixes before inner ones.

    `shares` holds blended mixes only; a name in it that is not in `mixes` is an ingredient.
    """

    mixes: Mapping[str, Mix]
    shares: Mapping[str, Mapping[str, float]]
    order: tuple[str, ...]

    @classmethod
    def of(cls, mixes: Mapping[str, Mix]) -> Recipes:
        """Return the recipes of these mixes, none of which may lie inside itself."""
        shares = {name: mix.shares for name, mix in mixes.items() if mix.is_blended}
        # Sorted throughout: neither the plan's order nor a set's may decide the order of sums.
        holders: dict[str, list[str]] = {name: [] for name in sorted(mixes)}
        for name in sorted(shares):
            for part in shares[name]:
                if part in mixes:
                    holders[part].append(name)
        return cls(mixes, shares, tuple(TopologicalSorter(holders).static_order()))

    def mixes_l(
        self, direct_l: Mapping[str, Number], loose: Mapping[str, Number]
    ) -> dict[str, Number]:
        """Return the finished litres of every mix that is needed, what other mixes take included.

        `direct_l` is what plants and beds use themselves, `loose` the loose litres per litre.
        """
        totals = dict(direct_l)
        for name in self.order:
            if name not in totals:
                continue
            for part, share in self.shares.get(name, {}).items():
                if part in self.mixes:
                    taken = totals[name] * loose[name] * share
                    totals[part] = totals[part] + taken if part in totals else taken
        return totals

    def ingredients_l(
        self,
        totals_l: Mapping[str, Number],
        loose: Mapping[str, Number],
        unmixed_l: Mapping[str, Number],
    ) -> dict[str, Number]:
        """Return the loose litres of every ingredient, from the totals of the mixes.

        `unmixed_l` is what beds take of ingredients by themselves.
        """
        loads: dict[str, Number] = {}
        for name in self.order:
            if name not in totals_l:
                continue
            for part, share in self.shares.get(name, {}).items():
                if part not in self.mixes:
                    taken = totals_l[name] * loose[name] * share
                    loads[part] = loads[part] + taken if part in loads else taken
        for name, litres in unmixed_l.items():
            loads[name] = loads[name] + litres if name in loads else litres
        return loads


class Given(NamedTuple):
    """So much of an addition [kg or L]: likely and, where it depends on something drawn, drawn."""

    of: str
    unit: Literal["kg", "l"]
    likely: float
    draws: Draws | float


def given_to_pots(loads: Iterable[MoveLoad]) -> Iterator[Given]:
    """Yield what moves give to each pot; pots are counted, so nothing makes it doubtful."""
    for load in loads:
        pots = int(load.pots @ load.rows)
        for name, amount in load.move.add.items():
            unit, each = _unit_and_size(amount.kg, amount.l)
            yield Given(name, unit, each * pots, each * pots)


def given_in_aftercare(plan: Plan, loads: Iterable[MoveLoad]) -> Iterator[Given]:
    """Yield what plants get after their moves, those that are made already included."""
    for load in loads:
        plants = int(load.plants @ load.rows)
        for step in load.move.care:
            if step.of is not None and step.amount is not None:
                unit, each = _unit_and_size(step.amount.kg, step.amount.l)
                yield Given(step.of, unit, each * plants * step.times, each * plants * step.times)
    for made in plan.made:
        for _, step in made.due(plan.work.first):
            if step.of is not None and step.amount is not None:
                unit, each = _unit_and_size(step.amount.kg, step.amount.l)
                yield Given(step.of, unit, each * made.count, each * made.count)


def given_to_mixes(
    plan: Plan, mixes_l: Mapping[str, float], draws_l: Mapping[str, Draws]
) -> Iterator[Given]:
    """Yield what mixes take at a rate of their finished volume, not of their parts.

    A mix that is wanted ready-made, though it has a recipe, takes nothing: it comes with its own.
    One without a recipe can only come out of bags, so what the plan adds is put into those.
    """
    for name in sorted(mixes_l):
        if plan.mixes[name].only == "ready" and not plan.mixes[name].bought:
            continue
        for addition, rate in plan.mixes[name].add.items():
            unit, a_litre = _unit_and_size(rate.kg_per_l, rate.l_per_l)
            yield Given(addition, unit, a_litre * mixes_l[name], a_litre * draws_l[name])


def sum_given(plan: Plan, given: Iterable[Given]) -> dict[str, Addition]:
    """Return each addition's season total, in the unit that its rates are given in.

    Where some are given by mass and some by volume, all becomes mass by the addition's density.
    Raises ValueError when that is not known.
    """
    found: dict[str, list[Given]] = {}
    for one in given:
        found.setdefault(one.of, []).append(one)
    totals = {}
    for name in sorted(found):
        alike = _in_one_unit(plan, name, found[name])
        likely = sum(one.likely for one in alike)
        drawn = sum((np.asarray(one.draws, dtype=np.float64) for one in alike), np.zeros(()))
        totals[name] = Addition(alike[0].unit, estimate(likely, np.atleast_1d(drawn)))
    return totals


def given_by_spoon(plan: Plan) -> Spoons:
    """Return what some mix or move gives by volume: by the spoon or cup."""
    rates = [rate for mix in plan.mixes.values() for rate in mix.add.items()]
    moves = [move for kind in plan.plants.kinds for move in kind.moves]
    amounts = [one for move in moves for one in move.add.items()]
    care = [step for move in moves for step in move.care]
    care += [step for made in plan.made for step in made.care]
    amounts += [(step.of, step.amount) for step in care if step.of and step.amount]
    names = [name for name, rate in rates if rate.l_per_l is not None]
    names += [name for name, amount in amounts if amount.l is not None]
    return {name: plan.density_kg_per_l(name) for name in dict.fromkeys(names)}


def _unit_and_size(kg: float | None, litres: float | None) -> tuple[Literal["kg", "l"], float]:
    if kg is not None:
        return "kg", kg
    if litres is None:
        raise ValueError("an amount needs a mass or a volume, got neither")
    return "l", litres


def _in_one_unit(plan: Plan, name: str, given: list[Given]) -> list[Given]:
    if len({one.unit for one in given}) == 1:
        return given
    density = plan.density_kg_per_l(name)
    if density is None:
        raise ValueError(f"{name!r} is given by mass and by volume, and its density is not known")
    return [
        one if one.unit == "kg" else Given(name, "kg", one.likely * density, one.draws * density)
        for one in given
    ]
