"""The sheet on the wall: which sessions it has, what is on them, and a new one hung up."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.cli.common import fail, load_as_written
from rootroom.cli.keeping import new_event, opened
from rootroom.cli.progress import working

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.season import Season

__all__ = ["first_sheet", "hang_up", "next_session", "session_work"]


def next_session(path: Path, seconds: float | None) -> tuple[date, date]:
    """Return the day of the first session on the wall that is open yet, and the record's today."""
    from rootroom.record.state import replay

    written = load_as_written(path)
    first_sheet(path, written, seconds)
    state = replay(written, opened(path).events)
    days = sorted({line.day for line in state.wall} - state.worked)
    open_days = [
        day for day in days if not any(stop.first <= day < stop.end for stop in state.stops)
    ]
    if not open_days:
        fail("no session is left on the sheet", hint="give --on and what was done")
    return open_days[0], state.last or written.work.first


def session_work(path: Path, session: date, seconds: float | None) -> list[Mapping[str, Any]]:
    """Return the rows of a session that was planned; exit if none was on that day."""
    from rootroom.record.wall import session_rows, wall_of

    first_sheet(path, load_as_written(path), seconds)
    events = opened(path).events
    rows = session_rows(events, session)
    if not rows:
        days = {line.day for line in wall_of(events)}
        near = sorted(sorted(days, key=lambda day: (abs(day - session), day))[:3])
        sheet = ", ".join(str(day) for day in near)
        fail(
            f"no session was planned on this day: {session}",
            hint=(f"the sheet has {sheet}; " if near else "")
            + "of another day, say with --on what was done",
        )
    return rows


def first_sheet(path: Path, written: Plan, seconds: float | None) -> None:
    """Hang up the plan as it was written, if the record has no sheet yet."""
    from rootroom.season import make_season

    if any(event.kind == "planned" for event in opened(path).events):
        return
    with working("finding the days that were planned"):
        season = make_season(written, seconds=seconds)
    hang_up(path, season, written.work.first)


def hang_up(path: Path, season: Season, day: date) -> None:
    """Note a season as the sheet that hangs on the wall from `day` on."""
    from rootroom.record.file import append, record_path
    from rootroom.sheets.record_planned import planned_data

    if season.schedule.found:
        append(record_path(path), [new_event("planned", day, planned_data(season))])
