"""A file with a list of plants, read as rows of the plan's own columns, and all that is unclear.

What was understood is told in lines (`told`); what has two readings is a question or a
problem, and nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from attrs import evolve

from rootroom.plan.lists.days import order_of, orders_told
from rootroom.plan.lists.files import OLD, ZIP, read_text_file, read_workbook
from rootroom.plan.lists.grid import MOST_LIST_BYTES, Grid, GridRow, Readings, cell_text, letters
from rootroom.plan.lists.headings import Column, Head, Question, find_head, spoken
from rootroom.plan.lists.model import Choices, ListRead
from rootroom.plan.lists.plant_rows import PlantRows
from rootroom.plan.lists.table import (
    LEFT_OUT,
    MOVE_COLUMNS,
    ONLY_NO,
    ONLY_YES,
    base,
    key_meant,
    look_up,
    move_of,
    plain,
)
from rootroom.plan.lists.values import fit, is_nothing
from rootroom.plan.names import closest, shown
from rootroom.plan.toml.source import check_file, file_problem, reason
from rootroom.problems import Problem, TextError


def read_list(path: Path, choices: Choices) -> ListRead | Problem:
    """Return a list as understood, with its questions and problems; a Problem for no list."""
    grids = read_grids(path, choices.sheet)
    if isinstance(grids, Problem):
        return grids
    try:
        given = {name: _meant(text) for name, text in choices.headings.items()}
    except TextError as error:
        return file_problem(path, error.code, f"--heading: {error.message}", error.hint)
    heads = [(grid, head) for grid in grids if (head := find_head(grid, given, fit)) is not None]
    if not heads:
        return _no_heading(path, grids)
    grid, head = max(heads, key=lambda one: _of_plants(one[1]))  # the first of those alike
    return _unknown_heading(path, head, given) or _read(grid, grids, head, choices)


def _of_plants(head: Head) -> int:
    """Return how well a heading is that of plants: by names, their number, pots and next pots."""
    keys = {column.key for column in head.columns}
    keys |= {key for question in head.questions for key in question.keys}
    kinds = ({"name", "sort", "crop"}, {"count", "counted", "trays"}, {"now", "pots", "cells"})
    return sum(bool(keys & kind) for kind in (*kinds, {"to", "pots", "refresh"}))


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
    texts = [] if first is None else [cell_text(cell) for cell in first.cells if cell]
    row = _listed(texts)
    words = [text for text in texts if re.fullmatch(r"[^\W\d_][^\d#]{1,30}", text)]
    unknown = [text for text in words if not look_up(text)[0]]
    own = f'`--heading "{shown(unknown[0])}=name"`, or ' if unknown else ""
    return file_problem(
        path,
        "no-heading",
        "no row says what the columns are" + (f"; nearest is {row}" if row else ""),
        "put words as `Name`, `Qty`, `Current pot`, `New pot` above the list, or say what yours "
        f'mean: {own}without headings by their letters `--heading "A=name"`',
    )


def _read(grid: Grid, grids: Sequence[Grid], head: Head, choices: Choices) -> ListRead:
    """Return the rows below a heading as understood."""
    columns = head.columns
    for column in columns:
        column.key = "" if column.key == LEFT_OUT else column.key
    said = frozenset((*choices.instead, *choices.elsewhere))
    told = list(grid.told)
    read = ListRead(grid, columns, head.row, told=told, questions=head.questions, said=said)
    if grid.sheet and len(grids) > 1:
        others = _listed([other.sheet for other in grids if other is not grid])
        read.told.insert(0, f"sheet `{shown(grid.sheet)}`; others are {others}: `--sheet NAME`")
    below = [row for row in grid.rows if row.number > head.last.number]
    below = _shown(read, below, choices)
    _instead_of_name(read)
    _tell_columns(read)
    _check_columns(read, choices, head)
    if not read.questions and not read.problems:
        PlantRows(read, choices, _orders(read, below, choices)).read(below)
    else:
        # Cells of the columns that are known are checked all the same, so that all is told at once.
        open_keys = (*choices.elsewhere, "name", "count", "now")
        known = evolve(choices, elsewhere=open_keys)
        PlantRows(read, known, _orders(read, below, choices)).read(below)
        read.rows, read.notes = [], []
        read.questions.sort(key=lambda one: one.column.index)
        _note_questions(read)
        read.problems.sort(key=lambda one: one.where)
    return read


def _shown(read: ListRead, below: list[GridRow], choices: Choices) -> list[GridRow]:
    """Return the rows that are read; those that the sheet hides are asked about or left out."""
    hidden = [row for row in below if row.hidden]
    if not hidden:
        return below
    rows = ", ".join(str(row.number) for row in hidden[:5]) + (", ..." if len(hidden) > 5 else "")
    if choices.hidden is None:
        hint = "`--hidden leave` leaves them out, `--hidden read` reads them like the others"
        read.refuse(hidden[0], "hidden-rows", f"hidden rows may be plants or not: {rows}", hint)
    else:
        done = "left out" if choices.hidden == "leave" else "read"
        read.told.append(f"hidden rows {done}: {rows}")
    return [row for row in below if not row.hidden] if choices.hidden == "leave" else below


def _instead_of_name(read: ListRead) -> None:
    """A list without names is named by its crops or sorts."""
    keys = {column.key for column in read.columns}
    if keys & {"name", "counted"}:
        return
    for key in ("crop", "sort"):
        for column in read.columns:
            if column.key == key:
                column.key = "name"
                return


def _tell_columns(read: ListRead) -> None:
    for column in read.columns:
        if column.key:
            read.told.append(f"{_called(read, column)} {_read_as(column)}")
    asked = {question.column.index for question in read.questions}
    left = [one for one in read.columns if not one.key and one.index not in asked]
    if left:
        read.told.append(f"left out: {', '.join(_called(read, one) for one in left)}")
    _tell_no_moves(read, asked)
    for column in left:
        if column.ticks:
            name = spoken(column, read.columns)
            words = f'to read only rows with yes: `--heading "{name}=only yes"`'
            read.told.append(f"{column.called} chooses no rows; {words}")


def _tell_no_moves(read: ListRead, asked: Collection[int]) -> None:
    """Ask about a column of pots that is left out, or tell that nobody moves."""
    moving = {"to", "refresh", "pots"}
    keys = {base(column.key) for column in read.columns}
    keys |= {base(key) for question in read.questions for key in question.keys}
    if moving & {*keys, *read.said}:
        return
    for column in read.columns:
        every = (row.cell(column.index) for row in read.grid.rows[:300])
        cells = [cell for cell in every if not is_nothing(cell)]
        pots = not column.key and column.index not in asked and len(cells) > 1
        if pots and fit("container", cells[1:], column.unit) > 0.9:
            text = "holds pots, and no column says where plants go"
            read.questions.append(Question(column, read.head, text, ("to", LEFT_OUT)))
            return
    read.told.append("no column says where plants go, so none of them moves")


def _called(read: ListRead, column: Column) -> str:
    hidden = column.index in read.grid.hidden_columns
    return f"{column.called} (hidden)" if hidden else column.called


def _read_as(column: Column) -> str:
    """Return what a column is read as, in words."""
    if column.key in (ONLY_YES, ONLY_NO):
        return f"chooses: rows with {column.key.removeprefix('only ')} are read, others left out"
    unit = f', bare numbers in "{shown(column.unit)}"' if _unit_counts(column) else ""
    if column.unit in ("pot", "square pot", "azalea pot", "pan", "basket"):
        unit = f", widths as of a {column.unit}"
    if column.key == "name 2":
        return "read as the name too, after what stands before it"
    if column.key == "pots":
        return f"read as now and to{unit}"
    several = {"window": "from and by", "trays": "trays, their plants by the cells",
               "cells": "cells of a tray", "counted": "count and name"}  # fmt: skip
    key = several.get(base(column.key), base(column.key))
    return f"read as {key}{_which(column.key)}{unit}"


def _which(key: str) -> str:
    return f" of move {move_of(key)}" if move_of(key) > 1 else ""


def _unit_counts(column: Column) -> bool:
    return bool(column.unit) and base(column.key) in ("now", "to", "pots", "wait", "harden")


def _check_columns(read: ListRead, choices: Choices, head: Head) -> None:
    """Note columns read as one thing, and those that the list must have, unless said instead."""
    for column in read.columns:
        first = next(one for one in read.columns if one.key == column.key)
        if column.key and first is not column:
            words = f"{column.called} is read as `{column.key}`, as is {first.called}"
            hint = _twice(column, read.columns)
            read.refuse(head.row, "column-twice", words, hint, column.index)
    there = {column.key for column in read.columns} | {*choices.instead, *choices.elsewhere}
    if "counted" in there:
        there |= {"name", "count"}
    if "pots" in there or "cells" in there:
        there.add("now")
    if "trays" in there:
        there.add("count")
    asked = {key for question in read.questions for key in question.keys}
    for key, words in (("name", "what it is"), ("count", "how many"), ("now", "what it is in now")):
        if key in there or key in asked:
            continue
        left = [
            column
            for column in read.columns
            if not column.key and (key in column.meant or _fits(read.grid, column, key, head))
        ]
        if left and key == "name":
            text = "has no known heading, and there is no column of names"
            read.questions.append(Question(left[0], head.row, text, ("name",)))
            continue
        example = {"count": "--count 1", "now": "--now '#1'", "name": '--heading "A=name"'}[key]
        hint = f"for all rows alike: `{example}`" if key != "name" else f"say which: `{example}`"
        if left and key != "name":
            name = spoken(left[0], read.columns)
            hint = f'if it is {left[0].called}, say so: `--heading "{name}={key}"`; {hint}'
        read.refuse(head.row, "missing-column", f"no column says {words}: `{key}`", hint)


def _twice(column: Column, columns: Sequence[Column]) -> str:
    """Return what to do about a second column of one meaning."""
    name = spoken(column, columns)
    hint = f'leave one out: `--heading "{name}=-"`'
    if column.key in ("name", *MOVE_COLUMNS):
        more = "it comes after the first name" if column.key == "name" else "of move 2"
        hint += f'; or `--heading "{name}={column.key} 2"`: {more}'
    return hint


def _fits(grid: Grid, column: Column, key: str, head: Head) -> bool:
    kinds = {"name": "text", "count": "whole", "now": "container"}
    rows = [row for row in grid.rows if row.number > head.last.number][:200]
    cells = [cell for row in rows if not is_nothing(cell := row.cell(column.index))]
    return len(cells) * 2 > len(rows) and fit(kinds[key], cells, column.unit) >= 0.8


def _note_questions(read: ListRead) -> None:
    """Have each question stand as a problem too, for those who cannot be asked."""
    for question in read.questions:
        name = spoken(question.column, read.columns)
        ways = " or ".join(f'`--heading "{name}={key}"`' for key in question.keys)
        last = "" if LEFT_OUT in question.keys else f'; `--heading "{name}=-"` leaves it out'
        words, hint = f"{question.column.called} {question.words}", f"say which: {ways}{last}"
        read.refuse(question.row, "unclear-heading", words, hint, question.column.index)


def _orders(read: ListRead, below: Sequence[GridRow], choices: Choices) -> dict[str, Readings]:
    """Return how each column of dates is read: as told, or as a date without a choice tells."""
    readings = choices.readings
    dated = [column for column in read.columns if base(column.key) in ("from", "by", "window")]
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
