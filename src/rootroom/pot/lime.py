"""The lime of a mix beside published rates: rates only, since nothing here tells a pH."""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.uses import LimeRate, lime_rates

if TYPE_CHECKING:
    from rootroom.plan.model import Mix, Plan

__all__ = ["LimeNote", "lime_notes"]

COMPOST = frozenset({"compost", "manure", "leaf mold", "worm castings"})
"""Parts that are near neutral themselves, so that lime is cut or left out."""


@frozen
class LimeNote:
    """The ground limestone that a mix gets [kg/m3], and the published rate for its main part.

    `compost` says that the mix holds compost, with which published advice is less lime or none.
    """

    mix: str
    kg_per_m3: float
    rate: LimeRate
    compost: bool


def lime_notes(plan: Plan) -> tuple[LimeNote, ...]:
    """Return a note for each blended mix that is mostly peat or bark, by published rate."""
    found = []
    for name, mix in plan.mixes.items():
        main = max(mix.parts, key=lambda part: mix.parts[part], default=None)
        row = None if main is None else plan.ingredients.get(main)
        rate = next((one for one in lime_rates() if row and row.name in one.parts), None)
        if rate is not None:
            holds = {plan.ingredients[part].name for part in mix.parts if part in plan.ingredients}
            found.append(LimeNote(name, _lime(plan, mix), rate, bool(holds & COMPOST)))
    return tuple(found)


def _lime(plan: Plan, mix: Mix) -> float:
    """Return the limestone of a mix [kg/m3]; hydrated lime is another matter and not counted."""
    total = 0.0
    for name, rate in mix.add.items():
        row = plan.ingredients.get(name)
        if row is not None and "lime" in row.traits and "caustic" not in row.traits:
            total += (rate.kg_per_l or 0.0) * 1000
    return total
