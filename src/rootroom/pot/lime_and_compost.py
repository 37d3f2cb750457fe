"""Lime of a mix beside published rates, and compost before it goes into one.

Rates only, since nothing here tells a pH: waiting times, ripeness checks, what C:N says.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.uses import LimeRate, lime_rates, most_published

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rootroom.catalogue.ingredients import Ingredient
    from rootroom.plan.model import Mix, Plan


COMPOST = frozenset({"compost", "manure", "leaf mold", "worm castings"})
"""Parts that are near neutral themselves, so that lime is cut or left out."""

SAME = 0.01
"""A rate that is above a published one by less is that rate, written in other units."""


@frozen
class LimeNote:
    """The ground limestone that a mix gets [kg/m3], and the published rate for its main part.

    None: it is given by the spoon, and nobody says what a spoon weighs.
    `compost` says that the mix holds compost, with which published advice is less lime or none.
    """

    mix: str
    kg_per_m3: float | None
    rate: LimeRate
    compost: bool


def lime_notes(plan: Plan) -> tuple[LimeNote, ...]:
    """Return a note for each blended mix that is mostly peat or bark, by published rate."""
    found = []
    for name, mix in plan.mixes.items():
        rate = _lime_rate(plan, mix)
        if rate is not None:
            holds = {plan.ingredients[part].name for part in mix.parts if part in plan.ingredients}
            found.append(LimeNote(name, _lime(plan, mix), rate, bool(holds & COMPOST)))
    return tuple(found)


def above_published(plan: Plan, mix: Mix) -> Mapping[str, float]:
    """Return the highest published rate [kg/m3] of each addition that a mix gets more of.

    Limestone counts together, and by the main part of the mix where its rate is known.
    """
    rate, found = _lime_rate(plan, mix), {}
    for name in mix.add:
        row, given = plan.ingredients.get(name), _kg_per_m3(plan, mix, name)
        most = None if row is None else most_published().get(row.name)
        if row is not None and _is_limestone(row):
            given, most = _lime(plan, mix), most if rate is None else rate.high
        if most is not None and given is not None and given > most * (1 + SAME):
            found[name] = most
    return found


def _lime_rate(plan: Plan, mix: Mix) -> LimeRate | None:
    main = max(mix.parts, key=lambda part: mix.parts[part], default=None)
    row = None if main is None else plan.ingredients.get(main)
    return next((one for one in lime_rates() if row and row.name in one.parts), None)


def _is_limestone(row: Ingredient) -> bool:
    """Whether it is ground limestone; hydrated lime is another matter."""
    return "lime" in row.traits and "caustic" not in row.traits


def _lime(plan: Plan, mix: Mix) -> float | None:
    """Return the limestone of a mix [kg/m3], None where a spoon of it has no known weight."""
    rows = [(name, plan.ingredients.get(name)) for name in mix.add]
    given = [_kg_per_m3(plan, mix, name) for name, row in rows if row and _is_limestone(row)]
    return None if None in given else sum(one for one in given if one is not None)


def _kg_per_m3(plan: Plan, mix: Mix, name: str) -> float | None:
    """Return the rate of an addition [kg/m3], by its density where it is given by the spoon."""
    rate = mix.add[name]
    if rate.kg_per_l is not None:
        return rate.kg_per_l * 1000
    density = plan.density_kg_per_l(name)
    return None if density is None or rate.l_per_l is None else rate.l_per_l * density * 1000


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
