"""Events of a record, written as briefly as a test wants them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import count
from typing import Any

from rootroom.plan.entries import PostedLine
from rootroom.record.events import Event

DAY = date(2027, 3, 20)
_numbers = count(1)


def event(
    kind: str, day: date = DAY, /, *, name: str = "", replaces: str | None = None, **data: Any
) -> Event:
    """Return an event with an id of its own, or the one given as `name`."""
    return Event(name or f"e{next(_numbers)}", day, kind, data, replaces=replaces)


def moved(plant: str, move: int, many: int, day: date = DAY, **more: Any) -> Event:
    """Return plants that made a move."""
    return event("moved", day, plant=plant, move=move, count=many, **more)


def as_rows(lines: Iterable[PostedLine]) -> list[dict[str, Any]]:
    """Return lines as the rows of a `planned` event."""
    return [
        {
            "day": line.day.isoformat(),
            "kind": line.kind,
            "name": line.name,
            "number": line.number,
            "count": line.count,
            "share": round(line.share, 6),
        }
        for line in lines
    ]
