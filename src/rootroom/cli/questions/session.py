"""Noting a session by answering questions: one screen a session, Enter keeps what was planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.cli.common import note, posted, refusing, say
from rootroom.cli.questions.asking import Interview
from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.noting.session_screen import Line
    from rootroom.record.noting.written_notes import Noter

Told = tuple[str, Mapping[str, Any]]


def ask_for_sessions(
    path: Path, written: Plan, *, session: date | None, by: str, seconds: float | None
) -> None:
    """Ask about the session, then about the next one as long as the answer is yes.

    Nothing of a session is written before its last question is answered.
    """
    from rootroom.record.events import new_event
    from rootroom.replanning.posting import next_session, session_work

    while True:
        events = posted(path, written, seconds)
        with refusing(coded=False):
            day = session or next_session(written, events)[0]
            rows = session_work(events, day)
        try:
            told = Interview().step(partial(_ask_session, written, day, rows, events))
        except EOFError:
            told = None
        if told is None:
            say("nothing noted")
            return
        note(path, [new_event(kind, day, data, session=day, by=by) for kind, data in told])
        try:
            if input("Another session? [y/N] ").strip().casefold() not in ("y", "yes"):
                return
        except EOFError:
            return
        session = None


def _ask_session(
    written: Plan,
    day: date,
    rows: Sequence[Mapping[str, Any]],
    events: Sequence[Event],
    ask: Interview,
) -> list[Told] | None:
    """Return what was done in a session; None if it is not to be noted."""
    from rootroom.record.noting.session_screen import session_screen
    from rootroom.sheets.layout import day_long

    screen = session_screen(written, events, day, rows)
    ask.say(f"\nSession of {day_long(day)}")
    ask.say("Enter keeps what was planned; a figure says what was done, 0 that it was not.")
    ask.say("< goes back, Ctrl-D leaves without a note.\n")
    told: list[Told] = []
    as_planned = True
    for line in screen.work:
        event = _ask_line(ask, screen.noter, line)
        as_planned = as_planned and event == line.event
        told += [] if event is None else [event]
    bought = _ask_bought(ask, screen.noter, [line.event for line in screen.fetched])
    for mix in screen.heaps:
        question = f"  {mix} left over, as `9 scoops` (Enter: not looked)"
        told += _ask_more(ask, screen.noter, "left", question, mix)
    told += _ask_more(
        ask, screen.noter, "worked", "  minutes of all together, as `150 min` (Enter: not timed)"
    )
    told += _ask_more(ask, screen.noter, "lost", "  plants lost, as `Fig=2` (Enter: none)")
    told += _ask_more(ask, screen.noter, "note", "  a note (Enter: none)")
    if not ask.yes("Note this?", usual=True):
        return None
    return screen.notes(told, bought, as_planned=as_planned)


def _ask_line(ask: Interview, noter: Noter, line: Line) -> Told | None:
    """Ask about one line; return its event, None if it was not done."""
    from rootroom.sheets.layout import clip

    question = f"  {line.kind:<9} {clip(line.what, 44)} [{line.planned}]: "
    example = f"{line.example} belongs here, or nothing; 0 if it was not done"
    return ask.line(question, partial(line.answer, noter), lambda wrong: example)


def _ask_bought(ask: Interview, noter: Noter, listed: list[Told]) -> list[Told]:
    """Return what was fetched for the session: as listed, but for what is told otherwise."""
    from rootroom.sheets.layout import clip

    if not listed:
        return []
    shown = ", ".join(f"{data['packs']:g} × {clip(data['of'], 24)}" for _, data in listed)
    ask.say(f"  fetched   {shown}")
    differs: list[Told] = []
    prompt = "  Enter: as listed; or what differs, as `peat=2 for 31.00` (0: none): "
    while True:
        answer = ask.line(prompt, partial(_bought, noter), _wrong)
        if answer == "0":
            return differs
        if isinstance(answer, str):
            known = {data["of"] for _, data in differs}
            return [*differs, *(one for one in listed if one[1]["of"] not in known)]
        differs.append(answer)


def _bought(noter: Noter, text: str) -> Told | str:
    return text if text in ("", "0") else noter.read("bought", text)


def _ask_more(ask: Interview, noter: Noter, kind: str, question: str, mix: str = "") -> list[Told]:
    """Ask for something that nobody planned; return its event, if there is one."""
    from rootroom.record.noting.session_screen import read_more

    return ask.line(f"{question}: ", lambda text: read_more(noter, kind, text, mix), _wrong)


def _wrong(error: TextError) -> str:
    return f"{error.message}{': ' + error.hint if error.hint else ''}"
