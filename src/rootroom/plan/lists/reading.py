"""A file with a list of plants, read as rows of the plan's own columns, and all that is unclear.

What was understood is told in lines (`ListRead.told`); what has two readings is a question or a
problem, and nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from attrs import define, evolve, field, frozen

from rootroom.plan.lists.grid import MOST_LIST_BYTES, Cell, Grid, GridRow, cell_text, letters
from rootroom.plan.lists.headings import (
    LEFT_OUT,
    Column,
    Head,
    Question,
    find_head,
    heading_data,
    key_meant,
    list_keys,
    plain,
)
from rootroom.plan.lists.text_files import read_text_file
from rootroom.plan.lists.values import (
    Readings,
    fit,
    is_nothing,
    is_same,
    order_of,
    orders_told,
    read_cell,
)
from rootroom.plan.lists.workbooks import OLD, ZIP, read_workbook
from rootroom.plan.names import closest, shown
from rootroom.plan.toml.source import check_file, file_problem, reason
from rootroom.problems import Problem, TextError

Value = str | int

_MOST_PROBLEMS = 100
_KEPT = ("name", "sort", "place")
"""Columns in which an empty cell may take what stands above it."""


@define
class Choices:
    """What the owner of a list says about it, in place of what would be asked.

    `headings` are headings (or a column's letters) and what they mean; `instead` is what stands in
    place of an empty cell or of a whole column that is not there.
    """

    sheet: str | None = None
    headings: dict[str, str] = field(factory=dict)
    readings: Readings = field(factory=Readings)
    instead: dict[str, str] = field(factory=dict)
    down: bool = False


@frozen
class ListRow:
    """One row as understood: where it stands, and its values by the plan's own columns."""

    row: GridRow
    values: Mapping[str, Value]

    @property
    def carries_on(self) -> bool:
        """Whether this is the next move of the row above."""
        return "now" not in self.values


@define
class ListRead:
    """A list as understood."""

    grid: Grid
    columns: list[Column]
    rows: list[ListRow] = field(factory=list)
    told: list[str] = field(factory=list)
    questions: list[Question] = field(factory=list)
    problems: list[Problem] = field(factory=list)
    notes: list[tuple[GridRow, str]] = field(factory=list)

    @property
    def keys(self) -> tuple[str, ...]:
        """The plan's own columns that some row fills, in their usual order."""
        used = {key for row in self.rows for key in row.values}
        return tuple(key for key in list_keys() if key in used)


def read_list(path: Path, choices: Choices) -> ListRead | Problem:
    """Return a list as understood, with its questions and problems; a Problem for no list."""
    grids = read_grids(path, choices.sheet)
    if isinstance(grids, Problem):
        return grids
    try:
        given = {name: _meant(text) for name, text in choices.headings.items()}
    except TextError as error:
        return file_problem(path, error.code, f"--heading: {error.message}", error.hint)
    for grid in grids:
        head = find_head(grid, given, fit)
        if head is not None:
            unknown = _unknown_heading(path, head, given)
            return unknown or _read(grid, grids, head, choices)
    return _no_heading(path, grids)


def _meant(text: str) -> str:
    """Return the column that `to (in pot)` means, its unit kept."""
    found = re.fullmatch(r"(.*?)\s*(\(.*\))?", text.strip(), re.DOTALL)
    assert found is not None
    return f"{key_meant(found[1])} {found[2] or ''}".strip()


def read_grids(path: Path, sheet: str | None = None) -> list[Grid] | Problem:
    """Return the sheets of a file that have something in them; a text file is one sheet."""
    problem = check_file(path, MOST_LIST_BYTES, "a list of plants that is read as a whole")
    if problem is not None:
        return problem
    try:
        data = path.read_bytes()
    except OSError as error:
        return file_problem(path, "unreadable-file", f"cannot read the file: {reason(error)}")
    if not data.startswith((ZIP, OLD)):
        if sheet is not None:
            return file_problem(path, "no-sheet", f"a text file has no sheets: `{shown(sheet)}`")
        grid = read_text_file(path, data)
        return grid if isinstance(grid, Problem) else [grid]
    grids = read_workbook(path, data, sheet)
    if grids == []:
        return file_problem(path, "empty-file", "there is nothing on the sheets that are shown")
    return grids


def _unknown_heading(path: Path, head: Head, given: Mapping[str, str]) -> Problem | None:
    there = {plain(one.heading)[0] for one in head.columns} | {
        letters(one.index) for one in head.columns
    }
    for name in given:
        if name not in there and plain(name)[0] not in there:
            names = [one.heading for one in head.columns if one.heading]
            near = closest(name, names)
            hint = f"did you mean `{shown(near)}`?" if near else f"headings are {_listed(names)}"
            message = f"--heading: no column of this heading: `{shown(name)}`"
            return file_problem(path, "unknown-column", message, hint)
    return None


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f"`{shown(name)}`" for name in names[:12])


def _no_heading(path: Path, grids: Sequence[Grid]) -> Problem:
    first = max(
        grids[0].rows[:20],
        key=lambda row: sum(isinstance(cell, str) for cell in row.cells),
        default=None,
    )
    row = "" if first is None else _listed([cell_text(cell) for cell in first.cells if cell])
    return file_problem(
        path,
        "no-heading",
        "no row says what the columns are" + (f"; nearest is {row}" if row else ""),
        "put words as `Name`, `Qty`, `Current pot`, `New pot` above the list, or say what yours "
        'mean: `--heading "Anzahl=count"`',
    )


def _read(grid: Grid, grids: Sequence[Grid], head: Head, choices: Choices) -> ListRead:
    """Return the rows below a heading as understood."""
    columns = head.columns
    for column in columns:
        column.key = "" if column.key == LEFT_OUT else column.key
    read = ListRead(grid, columns, told=list(grid.told), questions=head.questions)
    if grid.sheet and len(grids) > 1:
        others = _listed([other.sheet for other in grids if other is not grid])
        read.told.insert(0, f"sheet `{shown(grid.sheet)}`; others are {others}: `--sheet NAME`")
    below = [row for row in grid.rows if row.number > head.last.number]
    _instead_of_name(read)
    _numbering(read, below, head)
    _tell_columns(read)
    _check_columns(read, choices, head)
    if not read.questions and not read.problems:
        _Rows(read, choices, _orders(read, below, choices)).read(below)
    else:
        _note_questions(read)
    return read


def _instead_of_name(read: ListRead) -> None:
    """A list without names is named by its crops or sorts."""
    if any(column.key == "name" for column in read.columns):
        return
    for key in ("crop", "sort"):
        for column in read.columns:
            if column.key == key:
                column.key = "name"
                return


def _numbering(read: ListRead, below: Sequence[GridRow], head: Head) -> None:
    """Ask about a count that only numbers the rows: 1, 2, 3."""
    for column in read.columns:
        if column.key != "count" or plain(column.heading)[0] not in ("number", "n"):
            continue
        cells = [row.cell(column.index) for row in below]
        numbers = [cell_text(cell) for cell in cells if not is_nothing(cell)]
        if len(numbers) > 2 and numbers == [str(n + 1) for n in range(len(numbers))]:
            column.key = ""
            words = "may number the rows or count plants"
            read.questions.append(Question(column, head.row, words, ("count", LEFT_OUT)))


def _tell_columns(read: ListRead) -> None:
    for column in read.columns:
        if column.key:
            unit = f', bare numbers in "{shown(column.unit)}"' if _unit_counts(column) else ""
            read.told.append(f"{column.called} read as {column.key}{unit}")
    asked = {question.column.index for question in read.questions}
    left = [one.called for one in read.columns if not one.key and one.index not in asked]
    if left:
        read.told.append(f"left out: {', '.join(left)}")


def _unit_counts(column: Column) -> bool:
    return bool(column.unit) and column.key in ("now", "to", "wait", "harden")


def _check_columns(read: ListRead, choices: Choices, head: Head) -> None:
    """Note columns that the list must have and has not, unless they are said instead."""
    there = {column.key for column in read.columns} | set(choices.instead)
    asked = {key for question in read.questions for key in question.keys}
    for key, words in (("name", "what it is"), ("count", "how many"), ("now", "what it is in now")):
        if key in there or key in asked:
            continue
        left = [
            column
            for column in read.columns
            if not column.key and _fits(read.grid, column, key, head)
        ]
        if left and key == "name":
            text = "has no known heading, and there is no column of names"
            read.questions.append(Question(left[0], head.row, text, ("name",)))
            continue
        example = {"count": "--count 1", "now": "--now '#1'", "name": '--heading "A=name"'}[key]
        hint = f"for all rows alike: `{example}`" if key != "name" else f"say which: `{example}`"
        if left and key != "name":
            name = left[0].heading or letters(left[0].index)
            hint = f'if it is {left[0].called}, say so: `--heading "{name}={key}"`; {hint}'
        read.problems.append(
            Problem(
                "missing-column",
                "error",
                read.grid.where(head.row),
                f"no column says {words}: `{key}`",
                hint,
                line=read.grid.line(head.row),
            )
        )


def _fits(grid: Grid, column: Column, key: str, head: Head) -> bool:
    kinds = {"name": "text", "count": "whole", "now": "container"}
    rows = [row for row in grid.rows if row.number > head.last.number][:200]
    cells = [cell for row in rows if not is_nothing(cell := row.cell(column.index))]
    return len(cells) * 2 > len(rows) and fit(kinds[key], cells, column.unit) >= 0.8


def _note_questions(read: ListRead) -> None:
    """Have each question stand as a problem too, for those who cannot be asked."""
    for question in read.questions:
        name = question.column.heading or letters(question.column.index)
        ways = " or ".join(f'`--heading "{shown(name)}={key}"`' for key in question.keys)
        last = "" if LEFT_OUT in question.keys else f'; `--heading "{shown(name)}=-"` leaves it out'
        where = read.grid.where(question.row, question.column.index)
        read.problems.append(
            Problem(
                "unclear-heading",
                "error",
                where,
                f"{question.column.called} {question.words}",
                f"say which: {ways}{last}",
                line=read.grid.line(question.row),
            )
        )


def _orders(read: ListRead, below: Sequence[GridRow], choices: Choices) -> dict[str, Readings]:
    """Return how each column of dates is read: as told, or as a date without a choice tells."""
    readings = choices.readings
    dated = [column for column in read.columns if column.key in ("from", "by")]
    told = {
        column.key: orders_told([row.cell(column.index) for row in below], readings.year)
        for column in dated
    }
    every = {order: text for orders in told.values() for order, text in orders.items()}
    found = {}
    for column in dated:
        orders = told[column.key] or every
        if readings.dates is None and not order_of(column.unit) and len(orders) == 1:
            ((order, text),) = orders.items()
            found[column.key] = evolve(readings, dates=order)
            if _slashed(below, column):
                words = order.replace("-", " ")
                read.told.append(f"{column.called} read {words}, as `{text}` can only be")
    return found


def _slashed(below: Sequence[GridRow], column: Column) -> bool:
    return any(
        isinstance(cell := row.cell(column.index), str) and re.search(r"\d[/-]\d", cell)
        for row in below
    )


@define
class _Rows:
    """One pass over the rows below the heading."""

    read_list: ListRead
    choices: Choices
    orders: Mapping[str, Readings]
    above: dict[str, Value] = field(factory=dict)
    refused: dict[tuple[str, str, str], list[GridRow]] = field(factory=dict)
    errors: dict[tuple[str, str, str], tuple[TextError, Column | None]] = field(factory=dict)
    plants: int = 0

    def read(self, rows: Sequence[GridRow]) -> None:
        """Read all rows; mistakes alike are one problem with the number of their cells."""
        for row in rows:
            self._row(row)
        for key, (error, column) in self.errors.items():
            self._note(error, column, self.refused[key])
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
            try:
                value = read_cell(key, cell, column.unit, self.orders.get(key, self._readings))
            except TextError as error:
                fine = self._refuse(row, key, cell_text(cell), error, column)
                continue
            if value is not None:
                values[key] = value
        if fine:
            self._complete(row, values)

    @property
    def _readings(self) -> Readings:
        return self.choices.readings

    def _left_out(self, row: GridRow, cells: Mapping[str, tuple[Column, Cell]]) -> bool:
        """Tell of a row that adds up others, and of one with a single text in it."""
        read = self.read_list
        filled = [cell for cell in row.cells if not is_nothing(cell)]
        words = plain(next((cell for cell in filled if isinstance(cell, str)), ""))[0]
        totals = {plain(word)[0] for word in heading_data()["totals"]["words"]}
        count = cells.get("count")
        if (words in totals or words.split(" ")[0] in totals) and "now" not in cells:
            self._total(row, None if count is None else count[1])
            return True
        if set(cells) == {"count"} and cell_text(count[1] if count else None) == str(self.plants):
            self._total(row, self.plants)
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
            if int(said) != self.plants and not self.errors:
                words += f"; the rows above come to {self.plants}"
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
        missing = [key for key in ("name", "count", "now") if key not in values]
        for key in missing:
            self._refuse(row, key, "", _missing(key), None)
        self.above = dict(values)
        if not missing:
            self.plants += int(values["count"])
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

    def _note(self, error: TextError, column: Column | None, rows: Sequence[GridRow]) -> None:
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
        read.problems.append(
            Problem(
                error.code,
                "error",
                where,
                f"{name}{error.message}{more}",
                error.hint,
                line=read.grid.line(first),
            )
        )


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
