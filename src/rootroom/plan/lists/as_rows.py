"""A spreadsheet beside a plan, and a list that was read, as rows that the plan's reader takes."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection
from pathlib import Path
from typing import Any

from attrs import define, evolve, frozen

from rootroom.plan.lists.grid import GridRow, Readings
from rootroom.plan.lists.headings import Column
from rootroom.plan.lists.model import Choices, ListRead
from rootroom.plan.lists.reading import read_list
from rootroom.plan.tables.csv_sheet import SheetPlaces
from rootroom.plan.tables.plants import known_columns
from rootroom.problems import Location, Problem

GOES_ALONG = ("sort", "place", "tag")


@define
class WorkbookPlaces(SheetPlaces):
    """Where the cells stand from which tidy rows were made; the head is row 1."""

    read: ListRead | None = None

    def where(self, row: int, column: str | None) -> Location | None:
        """Return the place of a row or of its cell; None for a cell that is not there."""
        assert self.read is not None
        source = self._source(row)
        if column is None:
            return self.read.grid.where(source)
        found = self._column(row, column)
        if found is None or source.cell(found.index) is None:
            return None
        return self.read.grid.where(source, found.index)

    def line(self, row: int) -> str:
        """Return the text of a row."""
        assert self.read is not None
        return self.read.grid.line(self._source(row))

    def called(self, row: int, column: str | None) -> str:
        """Return how a row or its cell is called in a message."""
        assert self.read is not None
        found = self._column(row, column)
        return f"row {self._source(row).number}" if found is None else found.called

    def _column(self, row: int, column: str | None) -> Column | None:
        """Return where the value of a row and of a plan's column stands in the spreadsheet."""
        assert self.read is not None
        rows = self.read.rows
        move = rows[row - 2].move if 2 <= row < len(rows) + 2 else 1
        keys = [f"{column} {move}" if move > 1 else column]
        keys += {"now": ["pots"], "to": ["pots"], "from": ["window"], "by": ["window"]}.get(
            str(column), []
        )
        return next((one for key in keys for one in self.read.columns if one.key == key), None)

    def _source(self, row: int) -> GridRow:
        assert self.read is not None
        rows = self.read.rows
        return rows[row - 2].row if 2 <= row < len(rows) + 2 else self.read.head


@frozen
class WorkbookRows:
    """Tidy lines, head first, with the places of their cells; None where there are none."""

    lines: tuple[str, ...]
    places: WorkbookPlaces | None
    problems: tuple[Problem, ...]


def workbook_rows(file: Path, said: tuple[str, ...], names: Collection[str] = ()) -> WorkbookRows:
    """Return the tidy rows of a spreadsheet, and its problems.

    `said` are keys beside `rows`, `names` those of the plan's own containers and beds.
    What is unclear in it is an error; `rootroom import` tells what was understood, and settles it.
    """
    read = read_list(file, Choices(elsewhere=said, readings=Readings(own=tuple(names))))
    if isinstance(read, Problem):
        return WorkbookRows((), None, (read,))
    problems = [_with_command(problem, file) for problem in read.problems]
    for column in read.columns:
        if not column.key and column.heading and not read.questions:
            where = read.grid.where(read.head, column.index)
            words = f"{column.called} is no column of a plan and is left out"
            line = read.grid.line(read.head)
            problems.append(Problem("unknown-column", "warning", where, words, "", (), line))
    if read.problems:
        return WorkbookRows((), None, tuple(problems))
    head, rows = tidy_rows(read)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    places = WorkbookPlaces(str(file), read=read)
    return WorkbookRows(tuple(out.getvalue().splitlines(keepends=True)), places, tuple(problems))


def tidy_rows(read: ListRead) -> tuple[tuple[str, ...], list[tuple[str | int | None, ...]]]:
    """Return head and rows of the CSV that `[[plants]] rows = ` reads.

    Notes are left out; what a plan has no column for goes into the name.
    """
    rows = [known_values(dict(row.values)) for row in read.rows]
    used = {key for row in rows for key in row}
    keys = tuple(key for key in known_columns() if key in used | {"name", "count"})
    return keys, [tuple(row.get(key) for key in keys) for row in rows]


def known_values(values: dict[str, Any]) -> dict[str, Any]:
    """Return values in columns that a plan has; a sort without a column goes into the name."""
    for key in GOES_ALONG:
        if key in values and key not in known_columns():
            text = values.pop(key)
            if key == "sort" and values.get("name") not in (None, text):
                values["name"] = f"{values['name']}, {text}"
    if values.get("sort") is not None and values.get("name") == values["sort"]:
        del values["sort"]
    values.pop("note", None)
    return values


def _with_command(problem: Problem, file: Path) -> Problem:
    """Return a problem whose hint says of which command its options are: a plan takes none."""
    if "`--" not in problem.hint:
        return problem
    command = f"`rootroom import {file.name} --out rows.csv`"
    return evolve(problem, hint=f"{problem.hint} ({command} takes options, and a plan its rows)")
