"""A session as it is noted on a screen: a line for each thing planned, and what was done of it.

Nothing answered means as planned, `0` that it was not done. The terminal asks line by line, the
page shows all lines at once; both read the answers here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from attrs import frozen

from rootroom.plan.model import Plan
from rootroom.problems import TextError
from rootroom.record.apply import replay
from rootroom.record.events import Event
from rootroom.record.noting.written_notes import Noter
from rootroom.record.posted import (
    Note,
    bought_as_listed,
    by_sort,
    event_of_row,
    used_as_planned,
    with_charges,
)
from rootroom.units import System, show_volume

AMOUNTS: Mapping[System, str] = {"us": "`18 gal` or `9 scoops`", "metric": "`70 L` or `9 scoops`"}
"""What may be answered for an amount of mix, by the plan's units."""


@frozen
class Line:
    """One thing that was planned: what it is, how much of it, how to answer, and its event."""

    kind: str
    what: str
    planned: str
    example: str
    event: Note

    def answer(self, noter: Noter, text: str) -> Note | None:
        """Return what an answer tells, None if it was not done; TextError if it tells nothing."""
        kind, data = self.event
        text = text.strip()
        if not text:
            return self.event
        if text == "0":
            return None
        if kind == "moved":
            of = f"{data['plant']}/{data['sort']}" if "sort" in data else data["plant"]
            return noter.read(kind, f"{of}:{data['move']}={text}")
        if kind == "filled":
            return noter.read(kind, f"{data['bed']}:{data['layer']}={text}")
        if kind == "bought":
            source = f" at {data['from']}" if data.get("from") and " at " not in text else ""
            return noter.read(kind, f"{data['of']}={text}{source}")
        return noter.read(kind, f"{data['mix']}={text}")


@frozen
class Screen:
    """A session: its work and what had to be fetched for it, line by line.

    `heaps` are the mixes of which something is left over, `rows` those of the posted plan.
    """

    plan: Plan
    events: tuple[Event, ...]
    day: date
    noter: Noter
    work: tuple[Line, ...]
    fetched: tuple[Line, ...]
    heaps: tuple[str, ...]
    rows: tuple[Mapping[str, Any], ...]

    def notes(
        self, told: Sequence[Note], bought: Sequence[Note], *, as_planned: bool
    ) -> list[Note]:
        """Return all that is noted of the session: what was told, and what follows from it."""
        found = [*told, *used_as_planned(self.rows, told)]
        found += with_charges(self.plan, self.events, bought)
        return [*found, ("session", {"state": "done" if as_planned else "cut short"})]


def session_screen(
    plan: Plan, events: Sequence[Event], day: date, rows: Sequence[Mapping[str, Any]]
) -> Screen:
    """Return the screen of a session of the posted plan, whose rows these are."""
    system = plan.garden.system
    work = [line for row in by_sort(rows) if (line := _line(row, system)) is not None]
    fetched = [
        Line("fetch", data["of"], f"{data['packs']:g}", "`2` packs, or `2 for 31.00`", (kind, data))
        for kind, data in bought_as_listed(events, day, ())
    ]
    heaps = dict.fromkeys(row["name"] for row in rows if row["kind"] == "left")
    noter = Noter(plan, replay(plan, events))
    return Screen(
        plan, tuple(events), day, noter, tuple(work), tuple(fetched), tuple(heaps), tuple(rows)
    )


def _line(row: Mapping[str, Any], system: System) -> Line | None:
    planned = event_of_row(row)
    if planned is None:
        return None
    kind, data = planned
    if kind == "moved":
        way = f"/{data['sort']}" if "sort" in data else ""
        way += f" to {row['to']}" if row.get("to") else ""
        said, example = str(data["count"]), "a number of plants"
    elif kind == "filled":
        way = f", layer {data['layer']}"
        said, example = f"{data['share']:.0%}", "a share as `50 %`"
    else:
        way, said, example = "", show_volume(data["l"], system), AMOUNTS[system]
    return Line(row["kind"], row["name"] + way, said, example, planned)


def read_more(noter: Noter, kind: str, text: str, mix: str = "") -> list[Note]:
    """Return what was told that nobody planned; of minutes a plain number will do."""
    text = text.strip()
    if not text:
        return []
    if kind == "worked" and text.isdigit():
        text += " min"
    return [noter.read(kind, f"{mix}={text}" if mix else text)]


def read_answers(
    screen: Screen, answers: Mapping[str, str]
) -> tuple[list[Note], dict[str, TextError]]:
    """Return what is noted of a session by answers, and what of them cannot be read, by their key.

    Keys are `work N` and `fetch N` (from 0), `left N`, `worked`, `lost` and `note`; of `lost` each
    line tells of one plant.
    """
    told: list[Note] = []
    bought: list[Note] = []
    wrong: dict[str, TextError] = {}
    as_planned = True

    def more(key: str, kind: str, text: str, mix: str = "") -> None:
        try:
            told.extend(read_more(screen.noter, kind, text, mix))
        except TextError as error:
            wrong[key] = error

    for into, name, lines in ((told, "work", screen.work), (bought, "fetch", screen.fetched)):
        for number, line in enumerate(lines):
            key = f"{name} {number}"
            try:
                event = line.answer(screen.noter, answers.get(key, ""))
            except TextError as error:
                hint = f"{line.example} belongs here, `0` for none, or nothing: as planned"
                wrong[key] = TextError(error.message, code=error.code, hint=hint)
                continue
            as_planned = as_planned and (event == line.event or name == "fetch")
            into += [] if event is None else [event]
    for number, mix in enumerate(screen.heaps):
        more(f"left {number}", "left", answers.get(f"left {number}", ""), mix)
    more("worked", "worked", answers.get("worked", ""))
    for text in answers.get("lost", "").splitlines():
        more("lost", "lost", text)
    more("note", "note", " ".join(answers.get("note", "").split()))
    return screen.notes(told, bought, as_planned=as_planned), wrong
