"""Which of the usual cautions concern a piece of work, the most urgent first.

They never say that something is harmless, and defer to labels, local codes and licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rootroom.catalogue.cautions import Caution, cautions
from rootroom.catalogue.ingredients import Ingredient

ON_A_SHEET = 3
"""At most so many cautions stand on one sheet; more are not read."""


def cautions_for(
    handled: Iterable[str] = (),
    actions: Iterable[str] = (),
    places: Iterable[str] = (),
    *,
    ingredients: Mapping[str, Ingredient] | None = None,
    heaviest_kg: float = 0.0,
) -> tuple[Caution, ...]:
    """Return every caution that concerns the work, ranked.

    `handled` names ingredients and additions, looked up in `ingredients` (a plan's own);
    `actions` are kinds of work ("blend", "move", "refresh", "fill bed", "plant out", "wash",
    "moisten", "fetch"), `places` where ("bed", "ground", "deck"), `heaviest_kg` [kg] the heaviest
    thing that is moved.
    """
    rows, touched = ingredients or {}, frozenset(handled)
    known = [rows[name] for name in sorted(touched) if name in rows]
    names = touched | {row.name for row in known}
    traits = frozenset(trait for row in known for trait in row.traits)
    done, where = frozenset(actions), frozenset(places)
    return tuple(
        one
        for one in cautions()
        if one.due(
            traits=traits,
            ingredients=names,
            actions=done,
            places=where,
            heaviest_kg=heaviest_kg,
        )
    )


def cautions_on_sheet(due: Iterable[Caution]) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
    """Return the few that stand on the sheet itself, and the rest for the season page."""
    ranked = tuple(due)
    return ranked[:ON_A_SHEET], ranked[ON_A_SHEET:]
