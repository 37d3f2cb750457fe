"""What differs between two plans, in the words of their files.

Rows are matched by name (a supply by what it is of), so another order is no difference; a plant's
only move is the same on the plant and under `moves`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from attrs import frozen

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

NOT_GIVEN = ""
"""What stands in a plan that does not have the value."""


@frozen
class Difference:
    """One value that differs: where it stands, as `plants.Fig.to`, and what it is in each plan.

    A text is empty where the plan does not give the value.
    """

    at: str
    here: str
    there: str


def differences(here: str, there: str) -> tuple[Difference, ...]:
    """Return what differs between the texts of two plans without mistakes, in their order."""
    one, other = (dict(_leaves(_read(text), ())) for text in (here, there))
    found = []
    for path in dict.fromkeys((*one, *other)):
        # A whole row that only one of them has is told once, by its name.
        if (left := one.get(path, NOT_GIVEN)) != (right := other.get(path, NOT_GIVEN)):
            found.append(Difference(".".join(map(_shown, path)), left, right))
    return tuple(_joined(_rows_once(found, one, other)))


def listed_differences(here: Plan, there: Plan) -> tuple[Difference, ...]:
    """Return the plants that differ, for plans whose plants stand in a list beside them."""
    one, other = (dict(_groups(plan)) for plan in (here, there))
    return tuple(
        Difference(f"plants.{_shown(name)}", one.get(name, NOT_GIVEN), other.get(name, NOT_GIVEN))
        for name in dict.fromkeys((*one, *other))
        if one.get(name) != other.get(name)
    )


def _read(text: str) -> dict[str, Any]:
    return tomllib.loads(text, parse_float=Decimal)


Path = tuple[str, ...]


def _leaves(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    """Return every single value below a path, rows by their names."""
    if isinstance(value, Mapping):
        for key, inside in _flat(value, path).items():
            yield from _leaves(inside, (*path, str(key)))
    elif isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
        for name, row in zip(_names(value), value, strict=True):
            yield from _leaves(row, (*path, name))
    else:
        yield path, _text(value)


def _flat(row: Mapping[str, Any], path: Path) -> Mapping[str, Any]:
    """Return a plant with its only move written straight on it; all else as it is."""
    moves = row.get("moves")
    if path[:1] != ("plants",) or not isinstance(moves, list) or len(moves) != 1:
        return row
    if "count" in moves[0]:  # of the plants some stay behind, so both counts are told
        return row
    return {**{key: value for key, value in row.items() if key != "moves"}, **moves[0]}


def _names(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return a name for each row: its own, with a number where there are several, or a number."""
    own = [row.get("name") or row.get("of") or row.get("rows") or "" for row in rows]
    names: list[str] = []
    for number, name in enumerate(map(str, own), 1):
        before = own[: number - 1].count(name)
        names.append(f"{number}" if not name else f"{name} ({before + 1})" if before else name)
    return names


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(map(_text, value)) or "none"
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_text(inside)}" for key, inside in value.items())
    if isinstance(value, Decimal | float | int):
        return f"{Decimal(str(value)).normalize():f}"
    return str(value) or '""'


def _shown(part: str) -> str:
    """Return a part of a path as `--set` takes it: in quotes where it holds a dot."""
    return f'"{part}"' if "." in part or '"' in part else part


def _rows_once(
    found: Sequence[Difference], one: Mapping[Path, str], other: Mapping[Path, str]
) -> Iterator[Difference]:
    """Return the differences with the values of a row that only one plan has on one line."""
    rows = [{_row(path) for path in plan if _row(path)} for plan in (one, other)]
    whole = rows[0] ^ rows[1]
    told: set[Path] = set()
    at = {".".join(map(_shown, path)): path for path in (*one, *other)}
    for each in found:
        row = _row(at[each.at])
        if row not in whole:
            yield each
        elif row not in told:
            told.add(row)
            here, there = (
                ", ".join(f"{path[-1]} {text}" for path, text in plan.items() if _row(path) == row)
                for plan in (one, other)
            )
            yield Difference(".".join(map(_shown, row)), here, there)


def _joined(found: Iterable[Difference]) -> Iterator[Difference]:
    """Join what is one value in one plan and a table in the other: `people = 2` and by days."""
    joined: dict[str, Difference] = {}
    for each in found:
        before = joined.get(each.at, Difference(each.at, NOT_GIVEN, NOT_GIVEN))
        joined[each.at] = Difference(each.at, before.here or each.here, before.there or each.there)
    yield from joined.values()


def _row(path: Path) -> Path:
    """Return the row or named table that a value stands in: its first two parts."""
    return path[:2] if len(path) > 2 else ()


def _groups(plan: Plan) -> Iterator[tuple[str, str]]:
    """Return every group of a list beside the plan by its name, and what is done with it."""
    seen: dict[str, int] = {}
    for group in plan.plants:
        if FilePath(group.kind.where.file).name == plan.file:
            continue
        seen[group.name] = number = seen.get(group.name, 0) + 1
        steps = [group.kind.now.text]
        for move in group.kind.moves:
            new = move.to.text if move.to is not None else move.place or "refreshed"
            steps.append(f"{new} {move.opens:%Y-%m-%d} to {move.due:%Y-%m-%d}")
        name = group.name if number == 1 else f"{group.name} ({number})"
        yield name, f"{group.count}: {', '.join(steps)}"
