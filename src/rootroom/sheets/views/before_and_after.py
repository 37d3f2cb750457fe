"""What goes with sessions on other days: fetching before them, aftercare when it is due."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from attrs import frozen

from rootroom.counts import counted, some_of
from rootroom.demand.recipes import given_by_spoon
from rootroom.sheets.layout import clip, item
from rootroom.sheets.writing import ScreenWriter
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from datetime import date

    from rootroom.buying.shopping import Line, Shopping
    from rootroom.plan.entries import Care, CareStep
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Before
    from rootroom.sessions.timeline import Schedule
    from rootroom.sheets.writing import Writer


@frozen
class Fetch:
    """The packages of one supplier (None: not named) that must be there; `brought` by it.

    `minutes` [min] is how long fetching takes, where the plan says it and one day has it all.
    """

    source: str | None
    brought: bool
    lines: tuple[Line, ...]
    minutes: float = 0.0

    @property
    def head(self) -> str:
        """Return `Mill Road`, `Quarry Lane, delivered`, or nothing where nobody is named."""
        if self.source is None:
            return ""
        name = clip(self.source, 24)
        if self.minutes:
            return f"{name}, {show_minutes(self.minutes)}"
        return f"{name}, delivered" if self.brought else name

    @property
    def packs(self) -> list[str]:
        """Return each line as `4 × 3.8 cu ft peat`."""
        return [packs_text(line) for line in self.lines]


def packs_text(line: Line) -> str:
    """Return the packages of a line as `4 × 3.8 cu ft peat`, `2 packs of 10 × #3`."""
    name, pack = clip(line.of, 30), clip(line.pack, 20)
    if not pack.isdigit():
        return f"{line.packs} × {pack} {name}"
    if int(pack) == 1:
        return f"{line.packs} × {name}"
    return (
        f"1 pack of {pack} × {name}"
        if line.packs == 1
        else f"{line.packs} packs of {pack} × {name}"
    )


@frozen
class Fetches:
    """Packages by the day of the session that first needs them, and what needs no fetching.

    `known` are all goods that the list buys or takes from what is there.
    """

    by_day: dict[date, tuple[Fetch, ...]]
    known: frozenset[str]

    def on(self, day: date) -> tuple[Fetch, ...]:
        """Return what must be there by the evening before `day`."""
        return self.by_day.get(day, ())

    def others(self, steps: Iterable[Before]) -> list[Before]:
        """Return the steps without the fetching of what the list knows about."""
        return [step for step in steps if step.kind != "fetch" or step.name not in self.known]


def fetches(schedule: Schedule, shopping: Shopping) -> Fetches:
    """Return the list's packages by session."""
    from rootroom.replanning.posting import fetched

    known = {line.of for line in shopping.lines} | {use.of for use in shopping.stock}
    parts = [(line, day) for line, day in fetched(schedule, shopping) if day is not None]
    found: dict[date, list[Fetch]] = {}
    for source in dict.fromkeys(line.source for line, _ in parts):
        lines = [(line, day) for line, day in parts if line.source == source]
        brought = any(fee.source == source and fee.kind == "delivery" for fee in shopping.fees)
        days = sorted({day for _, day in lines})
        minutes = shopping.trip_min.get(source or "", 0.0) if len(days) == 1 else 0.0
        for day in days:
            due = tuple(line for line, when in lines if when == day)
            found.setdefault(day, []).append(Fetch(source, brought, due, minutes))
    return Fetches({day: tuple(ones) for day, ones in found.items()}, frozenset(known))


MOST_ROWS = 30
"""Rows shown on a screen; the calendar and the tables have all."""


@frozen
class Due:
    """The same thing for some plants on one day: their names in the order of the plan."""

    date: date
    step: CareStep
    names: tuple[str, ...]
    count: int


def due_rows(aftercare: Iterable[Care]) -> list[Due]:
    """Return what is due with plants that get the same on a day together."""
    found: dict[object, list[Care]] = {}
    for one in aftercare:
        step = one.step
        found.setdefault((one.date, step.do, step.of, step.amount), []).append(one)
    return [
        Due(
            ones[0].date,
            ones[0].step,
            tuple(dict.fromkeys(one.plant for one in ones)),
            sum(one.count for one in ones),
        )
        for ones in found.values()
    ]


def aftercare_text(plan: Plan, schedule: Schedule) -> str:
    """Return all that is due as text within 80 columns, nothing where nothing is."""
    rows = due_rows(schedule.aftercare)
    if not rows:
        return ""
    writer = ScreenWriter.of(plan.garden, given_by_spoon(plan))
    lines = ["Aftercare (what a label says comes first)"]
    for due in rows[:MOST_ROWS]:
        lines.append(item(f"{writer.day_long(due.date)}: {due_view(due, writer)}"))
    if rows[MOST_ROWS:]:
        lines.append(f"  and {counted(len(rows) - MOST_ROWS, 'more row')} (the calendar has them)")
    return "\n".join(lines)


def due_record(due: Due) -> dict[str, Any]:
    """Return one row as the record tells of it, once all of its plants got it."""
    record = {
        "kind": "cared", "due": due.date.isoformat(), "do": due.step.do,
        "plants": list(due.names), "planned": due.count,
    }  # fmt: skip
    return record if due.step.of is None else {**record, "of": due.step.of}


def due_view(due: Due, writer: Writer) -> str:
    """Return `feed Fig, Bay (22 plants): 1 tbsp liquid feed each; 22 tbsp in all`."""
    step = due.step
    text = f"{writer.name(step.do)} {some_of(map(writer.name, due.names))}"
    text += f" ({counted(due.count, 'plant')})"
    if step.of is None or step.amount is None:
        return text
    each, total = (
        writer.amount(step.of, step.amount.size * times, step.amount.unit)
        for times in (1, due.count)
    )
    more = f"; {total} in all" if due.count > 1 else ""
    return f"{text}: {each} {writer.marks(step.of)} each{more}"
