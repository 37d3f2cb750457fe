"""A list's cells as they stand in the file, each with its place, and how to read unclear ones."""

from __future__ import annotations

from datetime import date
from typing import Literal

from attrs import define, field, frozen

from rootroom.plan.tables.csv_sheet import SheetPlaces
from rootroom.problems import Location
from rootroom.visible import visible

MOST_LIST_BYTES = 50_000_000
MOST_ROWS = 100_000
MOST_CELLS = 3_000_000
"""Limits of a list that is read as a whole; a longer one is a tidy CSV, which is streamed."""

Cell = str | int | float | bool | date | None


@frozen
class GridRow:
    """One row that is not empty: its number in the spreadsheet (from 1), its cells from column A.

    `line` is where it begins in a text file, `merged` the columns whose cell is one with
    that of a row above, `hidden` says that the spreadsheet does not show the row.
    """

    number: int
    cells: tuple[Cell, ...]
    line: int = 0
    merged: frozenset[int] = frozenset()
    hidden: bool = False

    def cell(self, column: int) -> Cell:
        """Return a cell, None beyond the end of the row."""
        return self.cells[column] if column < len(self.cells) else None


@define
class Grid:
    """The rows of one sheet, or of a text file (`sheet` is empty), and what there is to tell."""

    file: str
    sheet: str
    rows: list[GridRow]
    told: list[str] = field(factory=list)
    places: SheetPlaces | None = None
    hidden_columns: frozenset[int] = frozenset()

    def where(self, row: GridRow, column: int | None = None) -> Location:
        """Return the place of a row or of its cell: `file:line:column`, or `file:Sheet:B7`."""
        if self.places is not None:
            name = None if column is None else str(column)
            found = self.places.where(row.number, name) or self.places.where(row.number, None)
            assert found is not None
            return found
        texts = [cell_text(cell) for cell in row.cells]
        if column is None or column >= len(texts):
            start, end, address = 1, len(self.line(row)) + 1, str(row.number)
        else:
            start = sum(len(text) + len(_BAR) for text in texts[:column]) + 1
            end = start + max(len(texts[column]), 1)
            address = f"{letters(column)}{row.number}"
        return Location(self.file, row.number, start, end, f"{self.sheet}:{address}")

    def line(self, row: GridRow) -> str:
        """Return the text of a row, as a problem shows it."""
        if self.places is not None:
            return self.places.line(row.number)
        return _BAR.join(cell_text(cell) for cell in row.cells)

    def called(self, row: GridRow, column: int) -> str:
        """Return how a cell is called in a sentence: `B7`."""
        return f"{letters(column)}{row.number}"


_BAR = " | "


def letters(column: int) -> str:
    """Return a column's letters: 0 is A, 26 is AA."""
    text = ""
    column += 1
    while column:
        column, over = divmod(column - 1, 26)
        text = chr(65 + over) + text
    return text


def cell_text(cell: Cell) -> str:
    """Return a cell as a person would read it, on one line."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    text = " ".join(str(cell).split())
    return visible(text)


Order = Literal["day-first", "month-first"]


@define
class Readings:
    """How cells with more than one reading are to be read, as far as somebody said so.

    `own` are names of a plan's own containers and beds, which mean what the plan says.
    """

    dates: Order | None = None
    year: int | None = None
    gallons: Literal["class", "true"] | None = None
    decimal: Literal["point", "comma"] | None = None
    means: dict[str, str] = field(factory=dict)
    own: tuple[str, ...] = ()
