"""The sheet that hangs on the wall: kept in the record, and found there again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from rootroom.plan.model import Hung
from rootroom.record.correcting import holding
from rootroom.record.events import Event

__all__ = ["as_rows", "wall_of"]


def as_rows(wall: Iterable[Hung]) -> list[dict[str, Any]]:
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
        for line in wall
    ]


def wall_of(events: Iterable[Event]) -> tuple[Hung, ...]:
    """Return the lines that the last sheet told; nothing if none was ever hung up."""
    sheets = [event for event in holding(events) if event.kind == "planned"]
    if not sheets:
        return ()
    lines = (_line(row) for row in sheets[-1].data["sessions"])
    return tuple(line for line in lines if line is not None)


def _line(row: Mapping[str, Any]) -> Hung | None:
    """Return a row as a line; None for one that tells of something else or is incomplete."""
    try:
        return Hung(
            day=date.fromisoformat(row["day"]),
            kind=str(row["kind"]),
            name=str(row["name"]),
            number=int(row["number"]),
            count=int(row["count"]),
            share=float(row.get("share", 1.0)),
        )
    except (KeyError, TypeError, ValueError):
        return None
