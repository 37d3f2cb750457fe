"""The usual cautions as typed rows of data/cautions.toml: what sets each off, text, source."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from attrs import frozen

from rootroom.catalogue.tables import read_table, source_text

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
    traits: frozenset[str]
    ingredients: frozenset[str]
    actions: frozenset[str]
    places: frozenset[str]
    kilograms: float | None

    def due(
        self,
        *,
        traits: frozenset[str],
        ingredients: frozenset[str],
        actions: frozenset[str],
        places: frozenset[str],
        heaviest_kg: float,
    ) -> bool:
        """Return whether all of its triggers are met."""
        met = (
            not wanted or bool(wanted & given)
            for wanted, given in (
                (self.traits, traits),
                (self.ingredients, ingredients),
                (self.actions, actions),
                (self.places, places),
            )
        )
        return all(met) and (self.kilograms is None or heaviest_kg >= self.kilograms)


def _caution(table: Mapping[str, Any], row: Mapping[str, Any]) -> Caution:
    when = row["when"]
    if not when or not set(when) <= _TRIGGERS:
        raise ValueError(f"when must name triggers of {sorted(_TRIGGERS)}, got {when!r}")
    return Caution(
        key=row["key"],
        rank=row["rank"],
        brief=row["brief"],
        line=row["line"],
        more=row["more"],
        sources=tuple(source_text(table, key) for key in row["sources"]),
        traits=frozenset(when.get("traits", ())),
        ingredients=frozenset(when.get("ingredients", ())),
        actions=frozenset(when.get("actions", ())),
        places=frozenset(when.get("places", ())),
        kilograms=when.get("kilograms"),
    )


@cache
def cautions() -> tuple[Caution, ...]:
    """Return all cautions, the most urgent first, else in the order of the file."""
    table = read_table("cautions")
    found = [_caution(table, row) for row in table["caution"]]
    return tuple(sorted(found, key=lambda one: one.rank))
