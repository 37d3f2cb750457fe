"""What the phone page hands back, as events."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.plan.toml.source import check_file
from rootroom.problems import Location, Problem, TextError
from rootroom.record.events import Event, decode, new_event
from rootroom.record.file import far_off
from rootroom.record.posted import bought_as_listed, with_charges

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

MOST_BYTES = 50_000_000
"""The largest hand-back, more than ten years of records."""

FROM_SESSION = timedelta(days=60)
"""A day further from its own session than this was told by a wrong clock."""


@frozen
class HandBack:
    """The events of one hand-back: which plan it is of, who handed it back, what was not read."""

    plan: str
    name: str
    events: tuple[Event, ...]
    problems: tuple[Problem, ...]


def read_hand_back(path: Path, plan: Plan | None = None, on: date | None = None) -> HandBack:
    """Return the events of a hand-back; a record's own lines are read as well.

    With a `plan`, lines that a phone with a wrong clock has dated are told and set aside, or taken
    in as of the day `on`.
    What is no file of a fair size is a problem of its own and is not read.
    Raises OSError for a file that the system refuses to read.
    """
    unfit = check_file(path, MOST_BYTES, "a phone's hand-back")
    if unfit is not None:
        return HandBack("", "", (), (unfit,))
    head: dict[str, object] = {}
    events: list[Event] = []
    problems: list[Problem] = []
    lines = path.read_bytes().removeprefix(b"\xef\xbb\xbf").splitlines()
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        if not head and not events and _is_head(line):
            head = json.loads(line)
            continue
        try:
            event = evolve(decode(line, number), line=0)
            events.append(event if plan is None else _of_its_day(event, plan, on))
        except TextError as wrong:
            problems.append(_problem(path, number, line, wrong))
    promised = head.get("events")
    if isinstance(promised, int) and promised > len(events) + len(problems):
        missing = promised - len(events) - len(problems)
        where = Location(str(path), max(len(lines), 1), 1, 1)
        message = f"the text was cut short: {missing} of {promised} events are missing"
        hint = "hand it back again as a file; what is read twice counts once"
        problems.append(Problem("cut-hand-back", "warning", where, message, hint))
    if not head and not events and not any(one.code == "wrong-clock" for one in problems):
        where = Location(str(path), 1, 1, 1)
        message = "neither a phone's hand-back nor a record"
        hint = "hand over the file that the phone page saved"
        problems = [Problem("no-hand-back", "error", where, message, hint)]
    return HandBack(
        str(head.get("plan") or ""), str(head.get("name") or ""), tuple(events), tuple(problems)
    )


def with_listed(plan: Plan, before: Sequence[Event], fresh: Iterable[Event]) -> list[Event]:
    """Return a phone's events with tax and fees, and what else its done sessions had to fetch.

    `before` are the events of the record, the posted plan among them.
    """
    told: list[Event] = []
    for event in fresh:
        known = [one for one in (*before, *told) if one.id != event.replaces]
        [(_, data)] = with_charges(plan, known, [(event.kind, event.data)])
        told.append(evolve(event, data=data))
    for event in list(told):
        if event.kind == "session" and event.data["state"] == "done":
            day, known = event.session or event.day, [*before, *told]
            for kind, data in with_charges(plan, known, bought_as_listed(known, day, ())):
                told.append(new_event(kind, event.day, data, session=day, by=event.by))
    return told


def _of_its_day(event: Event, plan: Plan, on: date | None) -> Event:
    """Return an event, on another day if its own cannot be; TextError where nobody gave one."""
    wrong = far_off(event, plan)
    if wrong is None and event.session is not None:
        wrong = event.day if abs(event.day - event.session) > FROM_SESSION else None
    if wrong is None:
        return event
    if on is not None:
        told = evolve(event, day=on)
        if far_off(told, plan) is None:
            return told
    raise TextError(f"the phone's clock was wrong: {wrong}, `{event.kind}`", code="wrong-clock")


def _is_head(line: bytes) -> bool:
    try:
        raw = json.loads(line)
    except (ValueError, RecursionError):
        return False
    return isinstance(raw, dict) and raw.get("kind") == "hand back"


def _problem(path: Path, number: int, line: bytes, wrong: TextError) -> Problem:
    text = line.decode("utf-8", "replace")[:60]
    where = Location(str(path), number, 1, len(text) + 1)
    hint = "hand it back again; what is read twice counts once"
    if wrong.code == "wrong-clock":
        hint = "set aside; to take it in, read the file again with --on and the right day, as "
        hint += "`--on 2027-04-10`"
    return Problem(wrong.code, "warning", where, wrong.message, hint, line=text)
