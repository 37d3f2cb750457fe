"""Compost and manure before they go into a mix: C:N of a blend, waiting times, ripeness checks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal

from attrs import frozen

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

ROTTED = frozenset({"compost", "manure", "leaf mold"})
"""Ingredients that may not be ripe yet."""

RAW_MANURE_DAYS = {"touches soil": 120, "does not touch soil": 90}
"""Days from working raw manure in to harvest, by whether what is eaten touches soil."""

RAW_MANURE_SOURCE = "7 CFR 205.203(c)(1), the US organic rule"

TIES_UP_ABOVE, GIVES_BELOW = 30.0, 20.0
"""C:N above and below which compost takes or gives nitrogen."""

NITROGEN_SOURCE = "Clemson Agricultural Service Laboratory, compost interpretation"


@frozen
class CompostPart:
    """One material of a heap: mass as it is [kg], water, and carbon and nitrogen of its dry mass.

    The last three are shares, 0 to 1; carbon and nitrogen together at most 1.
    Raises ValueError for what no material has.
    """

    mass_kg: float
    carbon_share: float
    nitrogen_share: float
    moisture_share: float

    def __attrs_post_init__(self) -> None:
        if not self.mass_kg >= 0:
            raise ValueError(f"mass_kg must not be negative, got {self.mass_kg}")
        if not 0 <= self.moisture_share < 1:
            raise ValueError(f"moisture_share must lie from 0 to below 1: {self.moisture_share}")
        if not (self.carbon_share >= 0 and self.nitrogen_share >= 0):
            raise ValueError("carbon_share and nitrogen_share must not be negative")
        if self.carbon_share + self.nitrogen_share > 1:
            raise ValueError("carbon and nitrogen are more than the whole dry mass")


@frozen
class MaturityCheck:
    """One check of ripeness: how to do it, what tells that compost is not ready, the source."""

    name: str
    how: str
    not_ready: str
    source: str


MATURITY_CHECKS = (
    MaturityCheck(
        "smell",
        "dig a hand deep and smell",
        "sour, rotten or of ammonia",
        "California Compost Quality Council index, 2001: very mature compost has no odor",
    ),
    MaturityCheck(
        "heat",
        "feel the middle of the heap two days after turning it, or put a thermometer in",
        "clearly warmer than the air",
        "common practice, no source",
    ),
    MaturityCheck(
        "germination",
        "sow 20 cress or radish seeds in it damp, and 20 in a known mix; count after a week",
        "fewer than 80 % as many come up, or they look weak",
        "Minnesota PCA compost specification: emergence and vigor at least 80 % of control",
    ),
)
"""What to check before compost is mixed in, quickest first."""


def carbon_to_nitrogen(parts: Sequence[CompostPart]) -> float:
    """Return C:N of a blend: carbon of all dry mass over nitrogen of all dry mass.

    R = sum Q C (100 - M) / sum Q N (100 - M), Cornell Waste Management Institute 1996 (the
    variables as published, the formula from memory).
    Raises ValueError where there is no nitrogen.
    """
    carbon = sum(one.mass_kg * (1 - one.moisture_share) * one.carbon_share for one in parts)
    nitrogen = sum(one.mass_kg * (1 - one.moisture_share) * one.nitrogen_share for one in parts)
    if nitrogen <= 0:
        raise ValueError("parts must hold some nitrogen")
    return carbon / nitrogen


def nitrogen_words(ratio: float) -> str:
    """Return what a C:N does to the nitrogen that plants get."""
    if ratio > TIES_UP_ABOVE:
        return "takes nitrogen from the plants while it rots on"
    if ratio < GIVES_BELOW:
        return "gives nitrogen to the plants"
    return "neither takes nor gives much nitrogen"


def last_raw_manure(
    harvest: date, eaten: Literal["touches soil", "does not touch soil"] = "touches soil"
) -> date:
    """Return the last day to work raw manure in before a harvest."""
    return harvest - timedelta(days=RAW_MANURE_DAYS[eaten])


def mixes_with(plan: Plan, names: frozenset[str]) -> tuple[str, ...]:
    """Return the mixes of a plan that hold one of some shipped ingredients as a part of their own.

    An ingredient that the plan renames counts as the shipped one that it is.
    """
    return tuple(
        mix.name
        for mix in plan.mixes.values()
        if any(
            part in plan.ingredients and plan.ingredients[part].name in names for part in mix.parts
        )
    )
