"""Noting a session by answering questions: one screen a session, Enter keeps what was planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.cli.common import say
from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.written_notes import Noter

Told = tuple[str, Mapping[str, Any]]

EXAMPLES = {"us": "`18 gal` or `9 scoops`", "metric": "`70 L` or `9 scoops`"}
"""What may be answered for an amount of mix, by the plan's units."""


def ask_for_sessions(
    path: Path, written: Plan, *, session: date | None, by: str, seconds: float | None
) -> None:
    """Ask about the session, then about the next one as long as the answer is yes.

    Nothing of a session is written before its last question is answered.
    """
    from rootroom.cli.common import note, posted, refusing
    from rootroom.record.events import new_event
    from rootroom.replanning.posting import next_session, session_work

    while True:
        events = posted(path, written, seconds)
        with refusing():
            day = session or next_session(written, events)[0]
            rows = session_work(events, day)
        try:
            told = _ask_session(written, day, rows, events)
        except EOFError:
            told = None
        if told is None:
            say("nothing noted")
            return
        note(path, [new_event(kind, day, data, session=day, by=by) for kind, data in told])
        try:
            if not _yes("Another session? [y/N] ", default=False):
                return
        except EOFError:
            return
        session = None


def _ask_session(
    written: Plan, day: date, rows: Sequence[Mapping[str, Any]], events: Sequence[Event]
) -> list[Told] | None:
    """Return what was done in a session; None if it is not to be noted."""
    from rootroom.record.apply import replay
    from rootroom.record.posted import bought_as_listed, by_sort, used_as_planned, with_charges
    from rootroom.record.written_notes import Noter
    from rootroom.sheets.layout import day_long

    noter = Noter(written, replay(written, events))
    say(f"\nSession of {day_long(day)}")
    say("Enter keeps what was planned; a figure says what was done, 0 that it was not.\n")
    told: list[Told] = []
    as_planned = True
    for row in by_sort(rows):
        found = _ask_row(noter, row)
        if found is not None:
            event, kept = found
            as_planned = as_planned and kept
            told += [] if event is None else [event]
    bought = _ask_bought(noter, bought_as_listed(events, day, ()))
    for mix in dict.fromkeys(row["name"] for row in rows if row["kind"] == "left"):
        told += _ask_more(
            noter, "left", f"  {mix} left over, as `9 scoops` (Enter: not looked)", mix
        )
    told += _ask_more(noter, "worked", "  minutes of all together, as `150 min` (Enter: not timed)")
    told += _ask_more(noter, "lost", "  plants lost, as `Fig=2` (Enter: none)")
    told += _ask_more(noter, "note", "  a note (Enter: none)")
    if not _yes("Note this? [Y/n] ", default=True):
        return None
    told += used_as_planned(rows, told)
    told += with_charges(written, events, bought)
    return [*told, ("session", {"state": "done" if as_planned else "cut short"})]


def _ask_row(noter: Noter, row: Mapping[str, Any]) -> tuple[Told | None, bool] | None:
    """Ask about one row; return its event (None: not done) and whether the plan was kept."""
    from rootroom.record.posted import event_of_row
    from rootroom.sheets.layout import clip
    from rootroom.units import show_volume

    planned = event_of_row(row)
    if planned is None:
        return None
    kind, data = planned
    system = noter.plan.garden.system
    if kind == "moved":
        way = f"/{data['sort']}" if "sort" in data else ""
        way += f" to {row['to']}" if row.get("to") else ""
        said, example = str(data["count"]), "a number of plants"
    elif kind == "filled":
        way = f", layer {data['layer']}"
        said, example = f"{data['share']:.0%}", "a share as `50 %`"
    else:
        way, said, example = "", show_volume(data["l"], system), EXAMPLES[system]
    question = f"  {row['kind']:<9} {clip(row['name'] + way, 44)} [{said}]: "
    while True:
        answer = input(question).strip()
        if not answer:
            return (kind, data), True
        try:
            event = _answered(noter, kind, data, answer)
        except TextError:
            say(f"    {example} belongs here, or nothing")
            continue
        return event, event == (kind, data)


def _ask_bought(noter: Noter, listed: list[Told]) -> list[Told]:
    """Return what was fetched for the session: as listed, but for what is told otherwise."""
    from rootroom.sheets.layout import clip

    if not listed:
        return []
    shown = ", ".join(f"{data['packs']:g} × {clip(data['of'], 24)}" for _, data in listed)
    say(f"  fetched   {shown}")
    differs: list[Told] = []
    while True:
        answer = input("  Enter: as listed; or what differs, as `peat=2 for 31.00` (0: none): ")
        if answer.strip() == "0":
            return differs
        if not answer.strip():
            known = {data["of"] for _, data in differs}
            return [*differs, *(one for one in listed if one[1]["of"] not in known)]
        try:
            differs.append(noter.read("bought", answer))
        except TextError as wrong:
            say(f"    {wrong.message}{': ' + wrong.hint if wrong.hint else ''}")


def _answered(noter: Noter, kind: str, data: Mapping[str, Any], answer: str) -> Told | None:
    if answer == "0":
        return None
    if kind == "moved":
        of = f"{data['plant']}/{data['sort']}" if "sort" in data else data["plant"]
        return noter.read(kind, f"{of}:{data['move']}={answer}")
    if kind == "filled":
        return noter.read(kind, f"{data['bed']}:{data['layer']}={answer}")
    return noter.read(kind, f"{data['mix']}={answer}")


def _ask_more(noter: Noter, kind: str, question: str, mix: str = "") -> list[Told]:
    """Ask for something that nobody planned; return its event, if there is one."""
    while True:
        answer = input(f"{question}: ").strip()
        if not answer:
            return []
        if kind == "worked" and answer.isdigit():
            answer += " min"
        try:
            return [noter.read(kind, f"{mix}={answer}" if mix else answer)]
        except TextError as wrong:
            say(f"    {wrong.message}{': ' + wrong.hint if wrong.hint else ''}")


def _yes(question: str, *, default: bool) -> bool:
    answer = input(question).strip().casefold()
    return default if not answer else answer in ("y", "yes")
