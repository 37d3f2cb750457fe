"""The command that notes what was really done, and what then changes of the plan."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rootroom.cli.common import PlanPath, fail, load_as_written, refuse, report, say
from rootroom.cli.dates import date_option
from rootroom.cli.progress import working

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.file import Record
    from rootroom.record.state import State
    from rootroom.season import Season

__all__ = [
    "Quick",
    "ReplanSeconds",
    "hang_up",
    "new_event",
    "next_session",
    "note",
    "record",
    "session_work",
    "tell_changes",
]

Notes = list[str] | None
Day = Annotated[date | None, date_option("--on", "The day it happened.")]
Quick = Annotated[bool, typer.Option("--quick", help="Do not plan again now.")]
ReplanSeconds = Annotated[
    float | None,
    typer.Option("--seconds", min=0.1, max=3600, help="Search so long for the new days at most."),
]


def _many(name: str, example: str) -> Any:
    return typer.Option(name, metavar="TEXT", help=f"As `{example}` (repeatable).")


def record(
    plan: PlanPath,
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[FILE]...", help="What the phone page handed back."),
    ] = None,
    on: Day = None,
    session: Annotated[date | None, date_option("--session", "Of which session.")] = None,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who tells it.")] = "",
    done: Annotated[bool, typer.Option("--done", help="All of the session, as planned.")] = False,
    cut_short: Annotated[
        bool, typer.Option("--cut-short", help="The session ended early.")
    ] = False,
    moved: Annotated[Notes, _many("--moved", "Fig=12")] = None,
    lost: Annotated[Notes, _many("--lost", "Fig=2")] = None,
    not_yet: Annotated[Notes, _many("--not-yet", "Fig=4 until 2027-04-20")] = None,
    counted: Annotated[Notes, _many("--counted", "Fig:2=11")] = None,
    filled: Annotated[Notes, _many("--filled", "South bed=50 %")] = None,
    blended: Annotated[Notes, _many("--blended", "tree=70 L")] = None,
    used: Annotated[Notes, _many("--used", "tree=9 scoops")] = None,
    left: Annotated[Notes, _many("--left", "tree=1 scoop")] = None,
    spilled: Annotated[Notes, _many("--spilled", "tree=5 L")] = None,
    taken_out: Annotated[Notes, _many("--taken-out", "30 L of half barrel")] = None,
    bought: Annotated[Notes, _many("--bought", "peat=3 for 45.60 at Mill Road")] = None,
    freed: Annotated[Notes, _many("--freed", "#3=4")] = None,
    broken: Annotated[Notes, _many("--broken", "#3=1")] = None,
    worked: Annotated[Notes, _many("--worked", "90 min")] = None,
    measured: Annotated[Notes, _many("--measured", "fill #7=22 L")] = None,
    timed: Annotated[Notes, _many("--timed", "#3=18 in 95 min")] = None,
    weather: Annotated[Notes, _many("--weather", "rain")] = None,
    note_text: Annotated[Notes, _many("--note", "aphids on the figs")] = None,
    instead: Annotated[
        str | None, typer.Option("--instead", metavar="ID", help="Corrects this line (see --list).")
    ] = None,
    take_back: Annotated[
        Notes, typer.Option("--take-back", metavar="ID", help="Withdraws a line (repeatable).")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="Show what the record holds.")] = False,
    quick: Quick = False,
    seconds: ReplanSeconds = None,
) -> None:
    """Note what was really done: from options, from a phone's file, or one screen a session."""
    told = {
        "moved": moved, "lost": lost, "counted": counted, "not yet": not_yet, "filled": filled,
        "blended": blended, "used": used, "left": left, "spilled": spilled,
        "taken out": taken_out, "bought": bought, "freed": freed, "broken": broken,
        "worked": worked, "measured": measured, "timed": timed, "weather": weather,
        "note": note_text,
    }  # fmt: skip
    texts = [(kind, text) for kind, given in told.items() for text in given or ()]
    written = load_as_written(plan)
    before = _opened(plan)
    if listed:
        from rootroom.sheets.record_list import record_list

        say(record_list(written, before.events))
        return
    if files:
        if texts or done or cut_short or take_back or instead:
            fail("a phone's file stands alone: give it without other notes")
        _take_in(plan, written, before, files)
    elif texts or done or cut_short or take_back:
        events = _from_options(
            plan, written, before, texts,
            on=on, session=session, by=by,
            state="done" if done else "cut short" if cut_short else None,
            instead=instead, take_back=take_back or (), seconds=seconds,
        )  # fmt: skip
        note(plan, events)
    else:
        from rootroom.cli.asking import ask_for_sessions

        ask_for_sessions(plan, written, session=session, seconds=seconds)
    if not quick:
        tell_changes(plan, seconds=seconds)


def _opened(plan: Path) -> Record:
    from rootroom.record.file import read_record, record_path

    found = read_record(record_path(plan))
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


def _take_in(plan: Path, written: Plan, before: Record, files: Iterable[Path]) -> None:
    from rootroom.record.handback import read_hand_back

    known = set(before.ids)
    for file in files:
        handed = read_hand_back(file)
        report(handed.problems)
        if any(problem.severity == "error" for problem in handed.problems):
            raise typer.Exit(1)
        if handed.plan and handed.plan != written.file:
            fail(
                f"`{file}` tells of another plan: `{handed.plan}`",
                hint=f"this one is `{written.file}`; record it there",
                code=1,
            )
        fresh = {event.id: event for event in handed.events if event.id not in known}
        again = len(handed.events) - len(fresh)
        who = f" from {handed.name}" if handed.name else ""
        if again:
            say(f"{file.name}{who}: {again} of {len(handed.events)} lines were noted before")
        if fresh:
            note(plan, list(fresh.values()))
        known |= set(fresh)


def _from_options(
    path: Path,
    written: Plan,
    before: Record,
    texts: Sequence[tuple[str, str]],
    *,
    on: date | None,
    session: date | None,
    by: str,
    state: str | None,
    instead: str | None,
    take_back: Sequence[str],
    seconds: float | None,
) -> list[Event]:
    """Return the events of the options; every text is read before anything is written."""
    from rootroom.problems import TextError
    from rootroom.record.noting import Noter
    from rootroom.record.state import replay

    now = replay(written, before.events)
    noter = Noter(written, now)
    try:
        read = [noter.read(kind, text) for kind, text in texts]
    except TextError as error:
        refuse(error)
    if instead is not None and len(read) != 1:
        fail("--instead corrects one line: give just one note beside it")
    known = {event.id: event for event in before.events}
    for old in (*take_back, *([instead] if instead is not None else [])):
        if old not in known:
            from rootroom.plan.names import shown, suggest

            hint = suggest(old, known, "`--list` shows every line with its id")
            fail(f"no line of the record has this id: `{shown(old)}`", hint=hint)
    if state == "done" and session is None:
        session, _ = next_session(path, seconds)
    day = on or session
    if day is None and instead is not None:
        day, session = known[instead].day, known[instead].session
    if day is None and take_back and not read and state is None:
        day = known[take_back[0]].day
    if day is None:
        fail("which day was it?", hint="give --on 2027-04-10, or --session with its date")
    if state == "done" and session is not None:
        rows = session_work(path, session, seconds)
        read += _as_planned(rows, read)
    if state is not None:
        read.append(("session", {"state": state}))
    events = [
        new_event(kind, day, data, session=session, by=by, replaces=instead) for kind, data in read
    ]
    return events + [
        new_event("taken back", known[old].day, {}, by=by, replaces=old) for old in take_back
    ]


def _as_planned(
    rows: Sequence[Mapping[str, Any]], told: Sequence[tuple[str, Mapping[str, Any]]]
) -> list[tuple[str, dict[str, Any]]]:
    """Return what the sheet says of a session, save what was told otherwise."""
    from rootroom.record.wall import event_of_row, same_work, used_as_planned

    found = [event for row in rows if (event := event_of_row(row)) is not None]
    kept = [one for one in found if not any(same_work(one, other) for other in told)]
    return kept + used_as_planned(rows, [*told, *kept])


def next_session(path: Path, seconds: float | None) -> tuple[date, date]:
    """Return the day of the first session on the wall that is open yet, and the record's today."""
    from rootroom.record.state import replay

    written = load_as_written(path)
    _first_sheet(path, written, seconds)
    state = replay(written, _opened(path).events)
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

    _first_sheet(path, load_as_written(path), seconds)
    events = _opened(path).events
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


def _first_sheet(path: Path, written: Plan, seconds: float | None) -> None:
    """Hang up the plan as it was written, if the record has no sheet yet."""
    from rootroom.season import make_season

    if any(event.kind == "planned" for event in _opened(path).events):
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


def tell_changes(path: Path, *, seconds: float | None) -> None:
    """Plan again from the record, list what changes with its reason, and hang up the new sheet."""
    from rootroom.record.apply import plan_from
    from rootroom.record.state import replay
    from rootroom.season import make_season
    from rootroom.sessions.changes import find_changes, find_missed
    from rootroom.sheets.record_changes import changes_text

    written = load_as_written(path)
    _first_sheet(path, written, seconds)
    events = _opened(path).events
    state = replay(written, events)
    for odd in state.odd:
        sys.stderr.write(f"note: {odd}\n")
    plan = plan_from(written, state)
    with working("planning the rest again"):
        season = make_season(plan, seconds=seconds)
    changes = find_changes(
        plan,
        season.schedule,
        done=_done_since_sheet(written, events, state),
        today=_first_left(state),
        stops=state.called_off,
    )
    say(changes_text(plan, season.schedule, changes, find_missed(plan, season.schedule)))
    if not season.schedule.found:
        raise typer.Exit(3)
    if changes:
        hang_up(path, season, state.last or written.work.first)


def _first_left(state: State) -> date | None:
    """Return the first day that is planned: today, or tomorrow after a day's work."""
    if state.last is None:
        return None
    return state.last + timedelta(1) if state.last in state.worked else state.last


def _done_since_sheet(
    written: Plan, events: Sequence[Event], state: State
) -> dict[tuple[str, int], int]:
    """Return how many plants have made each move since the last sheet was hung up."""
    from rootroom.record.state import replay

    last = max((n for n, event in enumerate(events) if event.kind == "planned"), default=-1)
    before = replay(written, events[: last + 1]).done
    return {
        move: made - before.get(move, 0)
        for move, made in state.done.items()
        if made > before.get(move, 0)
    }
