"""What is due for plants after their moves, by date: one row for all that get the same on a day."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from attrs import frozen

from rootroom.counts import counted, some_of
from rootroom.demand.recipes import given_by_spoon
from rootroom.sheets.layout import fill
from rootroom.sheets.writing import ScreenWriter

if TYPE_CHECKING:
    from datetime import date

    from rootroom.plan.entries import Care, CareStep
    from rootroom.plan.model import Plan
    from rootroom.sessions.timeline import Schedule
    from rootroom.sheets.writing import Writer

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
        text = f"{writer.day_long(due.date)}: {due_view(due, writer)}"
        lines.append(fill(text, indent="  ", hanging="    "))
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
