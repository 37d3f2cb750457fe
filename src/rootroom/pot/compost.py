"""Compost and manure before they go into a mix: waiting times, ripeness checks, what C:N says."""

from __future__ import annotations

from typing import TYPE_CHECKING

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


def nitrogen_words(ratio: float) -> str:
    """Return what a C:N does to the nitrogen that plants get."""
    if ratio > TIES_UP_ABOVE:
        return "takes nitrogen from the plants while it rots on"
    if ratio < GIVES_BELOW:
        return "gives nitrogen to the plants"
    return "neither takes nor gives much nitrogen"


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
