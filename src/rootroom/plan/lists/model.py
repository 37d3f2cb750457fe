"""What is said about a list of plants, and what was understood of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from attrs import define, field, frozen

from rootroom.plan.lists.grid import Grid, GridRow, Readings
from rootroom.plan.lists.headings import Column, Question
from rootroom.plan.lists.table import list_keys
from rootroom.problems import Problem

Value = str | int


@define
class Choices:
    """What the owner of a list says about it, in place of what would be asked.

    `headings` are headings (or a column's letters) and what they mean; `instead` is what stands in
    place of an empty cell or of a whole column that is not there; `elsewhere` are columns that are
    said outside the list. `hidden` says whether rows that the spreadsheet hides are read.
    """

    sheet: str | None = None
    headings: dict[str, str] = field(factory=dict)
    readings: Readings = field(factory=Readings)
    instead: dict[str, str] = field(factory=dict)
    down: bool = False
    hidden: Literal["read", "leave"] | None = None
    elsewhere: tuple[str, ...] = ()


@frozen
class ListRow:
    """One row as understood: where it stands, and its values by the plan's own columns."""

    row: GridRow
    values: Mapping[str, Value]
    move: int = 1
    """Which move of its row this is, where the list has several in one row."""

    @property
    def carries_on(self) -> bool:
        """Whether this is the next move of the row above."""
        return "now" not in self.values


@frozen
class Unread:
    """Cells alike that could not be read: what they say, why not, and the problem told for them."""

    key: str
    text: str
    unit: str
    problem: Problem


@define
class ListRead:
    """A list as understood."""

    grid: Grid
    columns: list[Column]
    head: GridRow
    rows: list[ListRow] = field(factory=list)
    told: list[str] = field(factory=list)
    questions: list[Question] = field(factory=list)
    problems: list[Problem] = field(factory=list)
    notes: list[tuple[GridRow, str]] = field(factory=list)
    unread: list[Unread] = field(factory=list)
    said: frozenset[str] = frozenset()

    def refuse(
        self, row: GridRow, code: str, words: str, hint: str, column: int | None = None
    ) -> None:
        """Note what is wrong with a row, or with its cell in a column."""
        where, line = self.grid.where(row, column), self.grid.line(row)
        self.problems.append(Problem(code, "error", where, words, hint, (), line))

    @property
    def keys(self) -> tuple[str, ...]:
        """The plan's own columns that some row fills, in their usual order."""
        used = {key for row in self.rows for key in row.values}
        return tuple(key for key in list_keys() if key in used)
