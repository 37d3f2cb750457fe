"""The commands that note what was really done, or that work must wait."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from rootroom.cli.common import (
    PlanPath,
    check_text,
    date_option,
    fail,
    load_as_written,
    note,
    opened,
    posted,
    refusing,
    report,
    say,
    seconds_option,
    tell_changes,
    with_notes,
)
from rootroom.counts import counted

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.file import Record


Texts = Sequence[tuple[str, str]]

Notes = list[tuple[str, Mapping[str, Any]]]

HandedBack = Annotated[
    list[Path] | None, typer.Argument(metavar="[FILE]...", help="What the phone page handed back.")
]

CutShort = Annotated[bool, typer.Option("--cut-short", help="The session ended early.")]

Instead = Annotated[
    str | None, typer.Option("--instead", metavar="ID", help="Corrects this line (see --list).")
]

TakeBack = Annotated[
    list[str] | None,
    typer.Option(
        "--take-back", metavar="ID", help="Withdraws a line, also as `line 12` (repeatable)."
    ),
]

Quick = Annotated[bool, typer.Option("--quick", help="Do not plan again now.")]

Anew = Annotated[
    bool, typer.Option("--anew", help="Choose recipes, suppliers and ready-made mix anew.")
]

ReplanSeconds = Annotated[float | None, seconds_option("Search so long for the new days at most.")]


class Told(NamedTuple):
    """What the options tell: notes as texts, of which day and session, and what they correct."""

    texts: Texts
    on: date | None
    session: date | None
    by: str
    state: str | None
    instead: str | None
    take_back: Sequence[str]

    @property
    def anything(self) -> bool:
        """Whether there is something to note."""
        return bool(self.texts or self.state or self.take_back or self.instead)


@with_notes
def record(
    plan: PlanPath,
    files: HandedBack = None,
    on: Annotated[date | None, date_option("--on", "The day it happened.")] = None,
    session: Annotated[date | None, date_option("--session", "Of which session.")] = None,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who tells it.")] = "",
    done: Annotated[bool, typer.Option("--done", help="All of the session, as planned.")] = False,
    cut_short: CutShort = False,
    instead: Instead = None,
    take_back: TakeBack = None,
    listed: Annotated[bool, typer.Option("--list", help="Show what the record holds.")] = False,
    quick: Quick = False,
    anew: Anew = False,
    seconds: ReplanSeconds = None,
    *,
    notes: Mapping[str, Sequence[str]],
) -> None:
    """Note what was really done, and list what changes by it."""
    state = "done" if done else "cut short" if cut_short else None
    texts = [(kind, text) for kind, several in notes.items() for text in several]
    told = Told(texts, on, session, by, state, instead, take_back or ())
    _check_together(told, files, both=done and cut_short)
    written = load_as_written(plan)
    before = opened(plan, written)
    if listed:
        from rootroom.sheets.answers.record_text import record_list

        say(record_list(written, before.events))
        return
    if files:
        _take_in(plan, written, before, files, on, seconds)
    elif told.anything:
        note(plan, _events(plan, written, before, told, seconds))
    else:
        _ask(plan, written, before, told, seconds)
    if state is None and any(kind == "weather" for kind, _ in texts):
        day = on or session
        say(f"If there was no work, `rootroom postpone {plan} --rain {day}` calls the day off.")
    if not quick:
        tell_changes(plan, written, seconds=seconds, anew=anew)


def _ask(plan: Path, written: "Plan", before: "Record", told: Told, seconds: float | None) -> None:
    """Ask for the notes of sessions, screen by screen."""
    from rootroom.cli.questions.session import ask_for_sessions
    from rootroom.replanning.posting import check_not_noted

    if told.session is not None:
        with refusing(coded=False):
            check_not_noted(told.session, before.events)
    ask_for_sessions(plan, written, session=told.session, by=told.by, seconds=seconds)


def _check_together(told: Told, files: list[Path] | None, *, both: bool) -> None:
    """Refuse options that contradict one another, or that tell nothing."""
    if files and (told.anything or told.session):
        fail("a phone's file stands alone: give it without other notes")
    if both:
        fail("a session is done as planned or cut short: give --done or --cut-short")
    if told.instead is not None and (len(told.texts) != 1 or told.state):
        fail("--instead corrects one line: give just one note beside it")
    check_text("--by", told.by)
    if told.on is not None and not told.anything and not files:
        fail(f"what was done on {told.on}?", hint='add a note, as --moved "Fig=12"')


def _take_in(
    plan: Path,
    written: "Plan",
    before: "Record",
    files: Iterable[Path],
    on: date | None,
    seconds: float | None,
) -> None:
    from rootroom.record.noting.hand_back import read_hand_back, with_listed

    held: Sequence[Event] = before.events
    for file in files:
        handed = read_hand_back(file, written, on)
        report(handed.problems)
        if any(problem.severity == "error" for problem in handed.problems):
            raise typer.Exit(1)
        if handed.plan and handed.plan != written.file:
            fail(
                f"`{file}` tells of another plan: `{handed.plan}`",
                hint=f"this one is `{written.file}`; record it there",
                code=1,
            )
        known = {event.id for event in held}
        fresh = {event.id: event for event in handed.events if event.id not in known}
        if fresh:
            # What the phone tells of was on the sheet: a plan that was never posted is now.
            held = posted(plan, written, seconds)
        told = with_listed(written, held, fresh.values())
        again = len(handed.events) - len(fresh)
        who = f" from {handed.name}" if handed.name else ""
        if again:
            say(f"{file.name}{who}: {again} of {len(handed.events)} lines were noted before")
        if fresh:
            note(plan, told)
            held = [*held, *told]


def _events(
    path: Path, written: "Plan", before: "Record", told: Told, seconds: float | None
) -> "list[Event]":
    """Return the events of the options; every text is read before anything is written."""
    from rootroom.record.events import new_event
    from rootroom.record.posted import as_planned, bought_as_listed, with_charges
    from rootroom.replanning.posting import (
        check_not_noted,
        check_season,
        next_session,
        session_work,
    )

    notes = _read(written, before, told.texts)
    known = {event.id: event for event in before.events}
    _check_ids((*told.take_back, *filter(None, [told.instead])), {*known, *before.set_aside})
    held: Sequence[Event] = before.events
    if told.state == "done" or any(kind == "bought" for kind, _ in notes):
        held = posted(path, written, seconds)  # which list has it, with which trip and tax
    with refusing(coded=False):
        if told.state == "done" and told.session is None:
            told = told._replace(session=next_session(written, held)[0])
        day, session = _day(told, known, written.work.first)
        check_season(day, written)
        if told.state is not None and session is not None:
            check_not_noted(session, before.events)
        if told.state == "done" and session is not None:
            notes += as_planned(session_work(held, session), notes)
            notes += bought_as_listed(held, session, notes)
    others = [event for event in held if told.instead is None or event.id != told.instead]
    notes = with_charges(written, others, notes)
    if told.state is not None:
        notes.append(("session", {"state": told.state}))
    return [
        new_event(kind, day, data, session=session, by=told.by, replaces=told.instead)
        for kind, data in notes
    ] + [
        new_event(
            "taken back", known[old].day if old in known else day, {}, by=told.by, replaces=old
        )
        for old in told.take_back
    ]


def _read(written: "Plan", before: "Record", texts: Texts) -> Notes:
    """Return kind and data of every note; exit 2 at one that cannot be read."""
    from rootroom.record.apply import replay
    from rootroom.record.noting.written_notes import Noter

    noter = Noter(written, replay(written, before.events))
    with refusing():
        return [noter.read(kind, text) for kind, text in texts]


def _check_ids(ids: Iterable[str], known: Collection[str]) -> None:
    """Exit 2 at an id that no line of the record has."""
    for old in ids:
        if old not in known:
            from rootroom.plan.names import shown, suggest

            hint = suggest(old, known, "`--list` shows every line with its id")
            fail(f"no line of the record has this id: `{shown(old)}`", hint=hint)


def _day(told: Told, known: "Mapping[str, Event]", first: date) -> tuple[date, date | None]:
    """Return on which day it was and of which session; a correction is of its line's day."""
    day, session = told.on or told.session, told.session
    if day is None and told.instead is not None and told.instead in known:
        return known[told.instead].day, known[told.instead].session
    if day is None and told.take_back and not told.texts and told.state is None:
        return min((known[old].day for old in told.take_back if old in known), default=first), None
    if day is None:
        fail("which day was it?", hint="give --on 2027-04-10, or --session with its date")
    return day, session


PutOff = Annotated[
    int | None,
    typer.Option("--days", min=1, max=365, metavar="N", help="All work, from the next session on."),
]


Rain = Annotated[list[date] | None, date_option("--rain", "A day rained off (repeatable).")]


def postpone(
    plan: PlanPath,
    days: PutOff = None,
    rain: Rain = None,
    because: Annotated[str, typer.Option("--because", metavar="TEXT", help="Why.")] = "",
    quick: Quick = False,
    anew: Anew = False,
    seconds: ReplanSeconds = None,
) -> None:
    """Note that work must wait, and plan the rest again."""
    from rootroom.record.events import new_event
    from rootroom.replanning.posting import next_session

    if (days is None) == (not rain):
        fail("give either --days, or --rain with the day")
    check_text("--because", because)
    written = load_as_written(plan)
    first, last = written.work.first, written.work.last
    for day in rain or ():
        if not first <= day <= last:
            fail(f"--rain: {day} lies outside the work dates, {first} to {last}")
    opened(plan, written)
    held = posted(plan, written, seconds)
    with refusing(coded=False):
        ahead, now = next_session(written, held)
    events = []
    for day in rain or ():
        data = {"day": day.isoformat(), "reason": because or "rain"}
        # With a session before it still open, rain is a forecast, and today is not yet that day.
        events.append(new_event("day off", day if day <= ahead else now, data, session=day))
    if days is not None:
        data = {
            "until": (ahead + timedelta(days)).isoformat(),
            "reason": because or f"put off by {counted(days, 'day')}",
        }
        events.append(new_event("postponed", ahead, data))
    note(plan, events)
    if not quick:
        tell_changes(plan, written, seconds=seconds, anew=anew)
