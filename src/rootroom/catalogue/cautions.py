"""The usual cautions, rows of data/cautions.toml: what sets each off, text, source; which are due.

They never say that something is harmless, and defer to labels, local codes and licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from functools import cache
from typing import Any

from attrs import frozen

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.tables import read_table, record

ON_A_SHEET = 3
"""At most so many cautions stand on one sheet; more are not read."""
_TRIGGERS = frozenset({"traits", "ingredients", "actions", "places", "kilograms"})


@frozen
class Caution:
    """One caution: `brief` at a session, `line` in full, and `more` for the season page.

    It is due where each trigger that it has is met: one of `traits` or one of `ingredients` among
    what is handled, one of `actions`, one of `places`, at least `kilograms` [kg] moved at once.
    `rank` 1 comes first.
    """

    key: str
    rank: int
    brief: str
    line: str
    more: str
    sources: tuple[str, ...]
    traits: frozenset[str] = frozenset()
    ingredients: frozenset[str] = frozenset()
    actions: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    kilograms: float | None = None

    def due(self, given: Mapping[str, Set[str]], heaviest_kg: float) -> bool:
        """Return whether all of its triggers are met by what is `given` of each kind."""
        wanted: Iterable[Set[str]] = (getattr(self, kind) for kind in given)
        met = all(not some or some & had for some, had in zip(wanted, given.values(), strict=True))
        return met and (self.kilograms is None or heaviest_kg >= self.kilograms)


def _caution(table: Mapping[str, Any], row: Mapping[str, Any]) -> Caution:
    when = row["when"]
    if not when or not set(when) <= _TRIGGERS:
        raise ValueError(f"when must name triggers of {sorted(_TRIGGERS)}, got {when!r}")
    return record(Caution, table, {**row, **when})


@cache
def cautions() -> tuple[Caution, ...]:
    """Return all cautions, the most urgent first, else in the order of the file."""
    table = read_table("cautions")
    found = [_caution(table, row) for row in table["caution"]]
    return tuple(sorted(found, key=lambda one: one.rank))


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
    given: Mapping[str, Set[str]] = {
        "traits": {trait for row in known for trait in row.traits},
        "ingredients": touched | {row.name for row in known},
        "actions": frozenset(actions),
        "places": frozenset(places),
    }
    return tuple(one for one in cautions() if one.due(given, heaviest_kg))


def cautions_on_sheet(due: Iterable[Caution]) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
    """Return the few that stand on the sheet itself, and the rest for the season page."""
    ranked = tuple(due)
    return ranked[:ON_A_SHEET], ranked[ON_A_SHEET:]
