"""The sheet on the wall: which sessions it has, what is on them, and a new one hung up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.cli.common import fail
from rootroom.cli.keeping import new_event, opened
from rootroom.cli.progress import working

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.season import Season

__all__ = [
    "check_open",
    "check_season",
    "first_sheet",
    "hang_up",
    "next_session",
    "session_work",
]

FAR = timedelta(days=200)
"""A note that lies further from the plan's work dates has a wrong year; goods come earlier."""


def next_session(path: Path, written: Plan, seconds: float | None) -> tuple[date, date]:
    """Return the day of the first session on the wall that is open yet, and the record's today."""
    from rootroom.record.state import replay

    first_sheet(path, written, seconds)
    state = replay(written, opened(path, written, again=True).events)
    days = sorted({line.day for line in state.wall} - state.worked)
    open_days = [
        day for day in days if not any(stop.first <= day < stop.end for stop in state.stops)
    ]
    if not open_days:
        fail("no session is left on the sheet", hint="give --on and what was done")
    return open_days[0], state.last or written.work.first


def session_work(
    path: Path, written: Plan, session: date, seconds: float | None
) -> list[Mapping[str, Any]]:
    """Return the rows of a session that was planned; exit if none was on that day."""
    from rootroom.record.wall import session_rows, wall_of

    first_sheet(path, written, seconds)
    events = opened(path, written, again=True).events
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


def check_open(session: date, events: Iterable[Event]) -> None:
    """Exit 2 where a session was noted before: noted again, its work would count twice."""
    from rootroom.record.events import holding

    for event in holding(events):
        if event.kind == "session" and session == (event.session or event.day):
            fail(
                f"this session was noted before, as {event.data['state']}: {session}",
                hint=f'add what is missing, as --session {session} --moved "Fig=2"; --list shows '
                "what was noted, --instead corrects a line",
            )


def check_season(day: date, written: Plan) -> None:
    """Exit 2 for a day so far from the plan's work that its year must be wrong."""
    first, last = written.work.first, written.work.last
    if not first - FAR <= day <= last + FAR:
        fail(
            f"{day} lies far outside the plan's work dates, {first} to {last}",
            hint="is it the right year, and the right plan?",
        )


def first_sheet(path: Path, written: Plan, seconds: float | None) -> None:
    """Hang up the plan as it was written, if the record has no sheet yet."""
    from rootroom.season import make_season

    if any(event.kind == "planned" for event in opened(path, written, again=True).events):
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
