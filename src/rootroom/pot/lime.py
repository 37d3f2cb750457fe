"""The lime of a mix beside published rates: rates only, since nothing here tells a pH."""

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
