"""A session noted on the page: its lines as a form, and what was answered, into the record.

By the same functions as `rootroom record`; a record is only ever added to.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.plan.reader import read_plan
from rootroom.problems import TextError
from rootroom.record import record_path
from rootroom.record.events import Event, new_event
from rootroom.record.file import append, read_record
from rootroom.record.noting.session_screen import Screen, read_answers, session_screen
from rootroom.replanning import posting
from rootroom.sheets.answers.record_text import changes_text
from rootroom.sheets.layout import day_long

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

Found = dict[str, Any]
REFUSED = "the plan has errors: mend them first"
ON_PAGE = "what is missing is noted with `rootroom record`, whose `--list` shows what was noted"


def session_form(path: Path) -> Found:
    """Return the next session's lines, or in `refused` why there are none; nothing is written."""
    written, _ = read_plan(path)
    if written is None:
        return {"refused": REFUSED}
    try:
        events = posting.would_be_posted(path, written)
        day = posting.next_session(written, events)[0]
        screen = session_screen(written, events, day, posting.session_work(events, day))
    except TextError as error:
        hint = "" if error.code == "no-session" else f": {error.hint}"
        return {"refused": f"{error.message}{hint}"}
    return {"day": day.isoformat(), "title": f"Session of {day_long(day)}", **_lines(screen)}


def _lines(screen: Screen) -> Found:
    lines = [
        {"key": f"{name} {number}", "kind": line.kind, "what": line.what,
         "planned": line.planned, "example": line.example}
        for name, several in (("work", screen.work), ("fetch", screen.fetched))
        for number, line in enumerate(several)
    ]  # fmt: skip
    fields: list[Found] = [
        {"key": f"left {number}", "label": f"{mix} left over", "says": "as `9 scoops`"}
        for number, mix in enumerate(screen.heaps)
    ]
    fields += [
        {"key": "worked", "label": "Minutes of all together", "says": "as `150`"},
        {"key": "lost", "label": "Plants lost", "says": "as `Fig=2`, one a line", "long": True},
        {"key": "note", "label": "A note", "says": ""},
    ]
    return {"lines": lines, "fields": fields}


def note_session(path: Path, day: date, answers: Mapping[str, str]) -> Found:
    """Note a session and plan the rest again; `wrong` tells of answers that tell nothing."""
    written, _ = read_plan(path)
    if written is None:
        return {"said": REFUSED, "fine": False}
    try:
        before = read_record(record_path(path), written).events
        posting.check_not_noted(day, before)
        events = posting.would_be_posted(path, written)
        rows = posting.session_work(events, day)
        screen = session_screen(written, events, day, rows)
        notes, wrong = read_answers(screen, answers)
    except TextError as error:
        hint = ON_PAGE if error.code == "session-noted" else error.hint
        return {"said": f"{error.message}\n{hint}", "fine": False}
    if wrong:
        told = {key: {"message": one.message, "hint": one.hint} for key, one in wrong.items()}
        return {"wrong": told, "fine": False}
    new = [new_event(kind, day, data, session=day) for kind, data in notes]
    try:
        posting.make_posted(path, written)
        return {"said": _noted(path, written, new), "fine": True}
    except OSError as error:
        return {"said": f"the disk refuses: {error.strerror or error}", "fine": False}


def _noted(path: Path, written: Plan, new: list[Event]) -> str:
    record = record_path(path)
    append(record, new)
    found = posting.plan_again(path, written)
    lines = [f"noted in {record.name}: {len(new)} line{'s' if len(new) != 1 else ''}"]
    lines += [f"note: {odd}" for odd in found.state.odd]
    return "\n".join([*lines, changes_text(found)])
