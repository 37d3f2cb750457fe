"""What is fetched, or must have come, by the evening before each session: packages by supplier.

The sessions know which good is first needed when, the shopping list in which packages it comes.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.sheets.layout import clip
from rootroom.units import show_minutes

if TYPE_CHECKING:
    from rootroom.buying.shopping import Line, Shopping
    from rootroom.sessions.session import Before
    from rootroom.sessions.timeline import Schedule


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
