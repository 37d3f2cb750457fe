"""What is done for plants after a move: feeding, pinching, whatever a plan names, and when.

It is dated from the session that makes the move, so it follows wherever that goes; it takes none
of a session's minutes, since most of it is done in passing on other days.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING

from attrs import frozen

if TYPE_CHECKING:
    from rootroom.units import Amount


@frozen
class CareStep:
    """One thing to do `times` times, first `after_days` [days] after the move.

    From then on it is done every `every_days` [days]; each plant gets `amount` of the addition
    `of`, both None where nothing is given.
    """

    do: str
    after_days: int
    every_days: int = 0
    times: int = 1
    of: str | None = None
    amount: Amount | None = None

    def days(self, moved: date) -> Iterator[date]:
        """Yield the days on which it is due for plants that were moved on a day."""
        for number in range(self.times):
            yield moved + timedelta(self.after_days + number * self.every_days)


@frozen
class MadeMove:
    """A move that a record tells of and that has aftercare: when it was made, with how many."""

    plant: str
    move: int
    count: int
    day: date
    care: tuple[CareStep, ...]

    def due(self, first: date) -> Iterator[tuple[date, CareStep]]:
        """Yield what is due from a day on; what lies before it is taken to have been done."""
        for step in self.care:
            yield from ((day, step) for day in step.days(self.day) if day >= first)


@frozen
class Care:
    """What is due on a day for `count` plants of one name after one of their moves."""

    date: date
    plant: str
    move: int
    count: int
    step: CareStep
