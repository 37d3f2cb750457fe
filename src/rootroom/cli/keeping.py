"""The record beside a plan: opened with its problems told, and added to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.cli.common import report, say
from rootroom.cli.progress import working

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.file import Record

__all__ = ["new_event", "note", "opened"]


def opened(path: Path, plan: Plan, *, again: bool = False) -> Record:
    """Return the plan's record, what is wrong with it printed unless it is read `again`."""
    from rootroom.record.file import read_record, record_path

    with working("reading the record"):
        found = read_record(record_path(path), plan)
    if not again:
        report(found.problems)
    return found


def new_event(
    kind: str,
    day: date,
    data: Mapping[str, Any],
    *,
    session: date | None = None,
    by: str = "",
    replaces: str | None = None,
) -> Event:
    """Return an event with an id of its own."""
    import secrets  # slow to load, for a command that few runs need

    from rootroom.record.events import Event

    return Event(secrets.token_hex(8), day, kind, dict(data), by, session, replaces)


def note(plan: Path, events: Sequence[Event]) -> None:
    """Add events to the plan's record and say so once they are on the disk."""
    from rootroom.record.file import append, record_path

    path = record_path(plan)
    append(path, events)
    say(f"noted in {path.name}: {len(events)} line{'s' if len(events) != 1 else ''}")
