"""Figures of the demand stage, each with its doubt; the whole is `find.Demand`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from attrs import frozen


@frozen
class Estimate:
    """An answer with its doubt: the formula at the likely values, and quantiles of the draws.

    `low` and `high` are the 10th and 90th percentile, widened to hold `likely`; `median` is enough
    in one season of two, and what paper and screen call "plan on". Only `likely` adds up.
    """

    low: float
    likely: float
    high: float
    median: float


@frozen
class MoveDemand:
    """One move of one group: fill and ball of one container [L], `mix_l` for all its pots.

    `fills_up` says that a pot filled in part is filled further, and nothing renewed.
    """

    plant: str
    move: int
    count: int
    old: str
    new: str
    mix: str | None
    fill_l: Estimate
    ball_l: Estimate
    mix_l: Estimate
    fills_up: bool = False


@frozen
class BedDemand:
    """One layer of one bed: loose litres of a mix or an ingredient."""

    bed: str
    of: str
    litres: Estimate


@frozen
class Addition:
    """How much of an addition the season takes, in the unit that its rates are given in."""

    unit: Literal["kg", "l"]
    amount: Estimate


@frozen
class Doubt:
    """An input that widens the answer: `share` of the spread goes when it, too, is known exactly.

    `measure` says in words what to measure, `line` the line to write into the plan.
    """

    factor: str
    share: float
    measure: str
    line: str


@frozen
class Needs:
    """What must be had at one level of certainty, before it is decided what is bought ready.

    `level` is the common percentile of every amount [0 to 1] and `sure` the share of the draws in
    which all are enough together. `mixes_l` is finished mix that plants and beds use themselves
    (not what goes into other mixes), `loose_per_l` how many loose litres of parts a finished litre
    takes, `ingredients_l` what beds take unmixed, `additions_*` what pots get of their own.
    """

    level: float
    sure: float
    mixes_l: Mapping[str, float]
    loose_per_l: Mapping[str, float]
    ingredients_l: Mapping[str, float]
    additions_kg: Mapping[str, float]
    additions_l: Mapping[str, float]
