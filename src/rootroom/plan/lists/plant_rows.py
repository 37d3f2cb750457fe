"""The rows below a list's heading: plants, next moves, totals and headlines, and all mistakes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from attrs import define, field

from rootroom.plan.lists.grid import Cell, GridRow, cell_text
from rootroom.plan.lists.headings import Column, heading_data, plain, spoken
from rootroom.plan.lists.model import Choices, ListRead, ListRow, Unread, Value
from rootroom.plan.lists.values import Readings, is_nothing, is_same, read_cell
from rootroom.plan.names import shown
from rootroom.problems import Problem, TextError

_MOST_PROBLEMS = 100
_KEPT = ("name", "sort", "place")
"""Columns in which an empty cell may take what stands above it."""


@cache
def _totals() -> frozenset[str]:
    return frozenset(plain(word)[0] for word in heading_data()["totals"]["words"])


@define
class PlantRows:
    """One pass over the rows: it fills the list read, with one problem for mistakes alike."""

    read_list: ListRead
    choices: Choices
    orders: Mapping[str, Readings]
    above: dict[str, Value] = field(factory=dict)
    refused: dict[tuple[str, str, str], list[GridRow]] = field(factory=dict)
    errors: dict[tuple[str, str, str], tuple[TextError, Column | None]] = field(factory=dict)
    known: dict[Any, Value | TextError | None] = field(factory=dict)
    plants: int = 0
    totalled: int = 0

    def read(self, rows: Sequence[GridRow]) -> None:
        """Read all rows; mistakes alike are one problem with the number of their cells."""
        for row in rows:
            self._row(row)
        for same, (error, column) in self.errors.items():
            problem = self._note(error, column, self.refused[same])
            self.read_list.problems.append(problem)
            if column is not None:
                unread = Unread(same[0], same[1], column.unit, problem)
                self.read_list.unread.append(unread)
        self.read_list.problems.sort(key=lambda one: one.where)

    def _row(self, row: GridRow) -> None:
        read, cells = self.read_list, {}
        for column in read.columns:
            cell = row.cell(column.index)
            if column.key and not is_nothing(cell):
                cells[column.key] = (column, cell)
        if self._left_out(row, cells):
            return
        values: dict[str, Value] = {}
        fine = True
        for key, (column, cell) in cells.items():
            if is_same(cell) and key in self.above:
                values[key] = self.above[key]
                continue
            # Cells repeat: a pot is read once for a list of thousands.
            same = (key, type(cell), cell)
            if same not in self.known:
                try:
                    readings = self.orders.get(key, self.choices.readings)
                    self.known[same] = read_cell(key, cell, column.unit, readings)
                except TextError as error:
                    self.known[same] = error
            value = self.known[same]
            if isinstance(value, TextError):
                fine = self._refuse(row, key, cell_text(cell), value, column)
                continue
            if value is not None:
                values[key] = value
        if fine:
            self._complete(row, values)

    def _left_out(self, row: GridRow, cells: Mapping[str, tuple[Column, Cell]]) -> bool:
        """Tell of a row that adds up others, and of one with a single text in it."""
        read = self.read_list
        filled = [cell for cell in row.cells if not is_nothing(cell)]
        texts = (cell for cell in filled if isinstance(cell, str) and re.search("[^\\W\\d_]", cell))
        first = next(texts, None)
        words = [] if first is None else plain(first)[0].split()
        totals = _totals()
        count = cells.get("count")
        adds_up = " ".join(words) in totals or bool({*words[:1], *words[-1:]} & totals)
        numbers = [cell for cell in filled if not isinstance(cell, str) or cell.isdigit()]
        if adds_up and ("now" not in cells or len(numbers) == len(filled) - 1):
            self._total(row, None if count is None else count[1])
            return True
        if set(cells) == {"count"} and cell_text(count[1] if count else None) == str(self.plants):
            self._total(row, self.plants)
            return True
        again = [one for one in read.columns if one.heading and row.cell(one.index) == one.heading]
        if len(again) > 1:
            read.notes.append((row, "left out, the heading once more"))
            return True
        if len(filled) <= 1 and not {"now", "to"} & set(cells):
            text = f"`{shown(cell_text(filled[0]))}` alone" if filled else "marks for nothing"
            read.notes.append((row, f"left out, {text}"))
            return True
        return False

    def _total(self, row: GridRow, count: Cell) -> None:
        read, said = self.read_list, cell_text(count)
        words = "left out, a total"
        if said.isdigit():
            words += f" of {said}"
            since = self.plants - self.totalled
            if int(said) not in (self.plants, since) and not self.errors:
                words += f"; the rows above come to {since}"
        self.totalled = self.plants
        read.notes.append((row, words))

    def _complete(self, row: GridRow, values: dict[str, Value]) -> None:
        """Add a row with what stands instead of its empty cells, or note what it lacks."""
        own = dict(values)
        for key, text in self.choices.instead.items():
            values.setdefault(key, int(text) if key == "count" else text)
        carries_on = "now" not in values and "to" in values and self._same_plant(values)
        if carries_on:
            values.pop("name", None)
            if "count" not in own:
                values.pop("count", None)
            self.read_list.rows.append(ListRow(row, values))
            return
        if self.choices.down:
            for key in _KEPT:
                if key not in values and key in self.above:
                    values[key] = self.above[key]
        if "name" not in values and "sort" in values:
            values["name"] = values["sort"]
        if values.get("count") == 0:
            self.read_list.notes.append((row, f"left out, none of `{shown(_name(values))}`"))
            return
        there = {*values, *self.choices.elsewhere}
        missing = [key for key in ("name", "count", "now") if key not in there]
        for key in missing:
            self._refuse(row, key, "", _missing(key), None)
        self.above = dict(values)
        if not missing:
            self.plants += int(values.get("count", 0))
            self.read_list.rows.append(ListRow(row, values))

    def _same_plant(self, values: Mapping[str, Value]) -> bool:
        name = values.get("name")
        return bool(self.above) and name in (None, self.above.get("name"))

    def _refuse(
        self, row: GridRow, key: str, text: str, error: TextError, column: Column | None
    ) -> bool:
        """Keep a mistake with those alike; return False."""
        same = (key, text, error.message)
        if len(self.errors) < _MOST_PROBLEMS:
            self.errors.setdefault(same, (error, column))
        self.refused.setdefault(same, []).append(row)
        return False

    def _note(self, error: TextError, column: Column | None, rows: Sequence[GridRow]) -> Problem:
        """Return the problem of cells alike, at the first of them."""
        read, first = self.read_list, rows[0]
        where = read.grid.where(first, None if column is None else column.index)
        more = ""
        if len(rows) > 1 and column is not None:
            others = ", ".join(read.grid.called(row, column.index) for row in rows[1:4])
            more = f" (and {len(rows) - 1} more: {others}{', ...' if len(rows) > 4 else ''})"
        elif len(rows) > 1:
            others = ", ".join(str(row.number) for row in rows[1:4])
            more = f" (and {len(rows) - 1} more rows: {others}{', ...' if len(rows) > 4 else ''})"
        name = f"{column.called}: " if column is not None else f"row {first.number}: "
        message, line = f"{name}{error.message}{more}", read.grid.line(first)
        hint = error.hint
        if column is not None:
            hint = hint.replace('"...=', f'"{spoken(column, read.columns)}=')
        return Problem(error.code, "error", where, message, hint, (), line)


def _name(values: Mapping[str, Value]) -> str:
    return str(values.get("name", "a plant"))


def _missing(key: str) -> TextError:
    words = {
        "name": ("no name", "write it in, or `--down` takes the one above"),
        "count": ("no count", "write how many; `--count 1` counts every such row as one"),
        "now": ("nothing says what it is in now", "write it in, or for all such rows `--now '#1'`"),
    }
    message, hint = words[key]
    return TextError(message, code="missing-key", hint=hint)
