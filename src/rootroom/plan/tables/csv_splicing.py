"""Edits of a list of plants in CSV: a cell set, rows added or taken away, text in and text out.

Everything outside the edited cells stays byte for byte: separator, quotes, padding, line ends, byte
order mark and columns that no plan knows. What comes out is read again, as the plan's reader takes
it apart, and compared with what was meant.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from attrs import frozen

from rootroom.plan.tables.csv_sheet import column_names, delimiter_of
from rootroom.problems import TextError

_BREAK = re.compile(r"\r\n|\r|\n|\Z")
_SPREADSHEET = "change it in a spreadsheet, and save it as CSV"


@frozen
class ListCell:
    """Where a cell stands in the text, quotes and padding with it, and its value."""

    start: int
    end: int
    value: str


@frozen
class ListLine:
    """One row: its cells, where it begins, where its text and its line end end, and its line."""

    cells: tuple[ListCell, ...]
    start: int
    end: int
    stop: int
    line: int

    @property
    def values(self) -> list[str]:
        """What its cells say."""
        return [cell.value for cell in self.cells]

    @property
    def empty(self) -> bool:
        """Whether nothing stands in it."""
        return not any(cell.value.strip() for cell in self.cells)


@frozen
class ListText:
    """A list taken apart; `rows` holds the head first, so that row n of a spreadsheet is n - 1."""

    text: str
    delimiter: str
    columns: tuple[str, ...]
    rows: tuple[ListLine, ...]

    def cell(self, row: int, column: str) -> str:
        """Return what a row says in a column; nothing where it has no such cell."""
        cells, at = self.rows[row - 1].cells, self.columns.index(column)
        return cells[at].value if at < len(cells) else ""

    def chain(self, row: int) -> range:
        """Return the numbers of a row and of those below it that are its next moves."""
        stop = row + 1
        if {"now", "name"} <= set(self.columns) and self.cell(row, "now").strip():
            name = self.cell(row, "name").strip()
            while stop <= len(self.rows) and not self.rows[stop - 1].empty:
                own = self.cell(stop, "name").strip()
                if self.cell(stop, "now").strip() or own not in ("", name):
                    break
                stop += 1
        return range(row, stop)


@lru_cache(maxsize=16)
def read_list_text(text: str) -> ListText:
    """Take a list apart; TextError where its rows cannot be told from each other."""
    start = 1 if text.startswith("\ufeff") else 0
    first = _BREAK.search(text, start)
    assert first is not None
    if text[start : first.start()].strip().lower().startswith("sep="):
        start = first.end()
        first = _BREAK.search(text, start)
        assert first is not None
    head = text[start : first.end()]
    delimiter = delimiter_of(head)
    rows = _rows(text, start, delimiter)
    if not rows or [row.values for row in rows] != _plainly(text[start:], delimiter):
        raise TextError(
            "this list cannot be changed here", code="bad-row", hint=f"{_SPREADSHEET} in UTF-8"
        )
    return ListText(text, delimiter, tuple(column_names(rows[0].values)), rows)


def set_cell(text: str, row: int, column: str, value: str) -> str:
    """Return a list's text with one cell set; nothing else of it changes."""
    page = read_list_text(text)
    line, index = page.rows[row - 1], _index(page, column)
    wanted = [one.values for one in page.rows]
    cells = wanted[row - 1]
    cells += [""] * (index + 1 - len(cells))
    if index < len(line.cells):
        cell = line.cells[index]
        raw = text[cell.start : cell.end]
        new, cells[index] = _in_place_of(raw, value.strip(), page.delimiter)
        return _made(page, cell.start, cell.end, new, wanted)
    cells[index] = value.strip()
    new = page.delimiter * (index + 1 - len(line.cells)) + _written(value.strip(), page.delimiter)
    return _made(page, line.end, line.end, new, wanted)


def insert_row(text: str, at: int, values: Mapping[str, str]) -> str:
    """Return a list's text with a row more, which gets the number `at`; the last one at most."""
    page = read_list_text(text)
    last = max(number for number, row in enumerate(page.rows, 1) if number == 1 or not row.empty)
    at = max(2, min(at, last + 1))
    for column in values:
        _index(page, column)
    cells = [values.get(column, "").strip() for column in page.columns]
    above = page.rows[at - 2]
    raws = [text[cell.start : cell.end] for cell in above.cells]
    quoted = at > 2 and all(raw.startswith('"') for raw in raws)
    new = page.delimiter.join(_written(cell, page.delimiter, quoted=quoted) for cell in cells)
    wanted = [row.values for row in page.rows]
    wanted.insert(at - 1, cells)
    # A last row that no line end ends stays so, as its own program wrote it.
    ends = above.stop > above.end
    place = above.stop if ends else above.end
    return _made(
        page, place, place, f"{new}{_ends(page)}" if ends else f"{_ends(page)}{new}", wanted
    )


def remove_rows(text: str, rows: Sequence[int]) -> str:
    """Return a list's text without some rows that follow each other."""
    page = read_list_text(text)
    first, last = page.rows[rows[0] - 1], page.rows[rows[-1] - 1]
    above = page.rows[rows[0] - 2]
    # Without a line end behind it, the last row takes the one before it along.
    start = above.end if last.stop == last.end and above.cells else first.start
    wanted = [row.values for number, row in enumerate(page.rows, 1) if number not in rows]
    return _made(page, start, last.stop, "", wanted)


def _index(page: ListText, column: str) -> int:
    if column not in page.columns:
        raise TextError(
            f"this list has no column `{column}`",
            code="unknown-column",
            hint="add it in a spreadsheet, or write it beside `rows` for all plants of the list",
        )
    return page.columns.index(column)


def _rows(text: str, start: int, delimiter: str) -> tuple[ListLine, ...]:
    mark = re.escape(delimiter)
    one = re.compile(rf'("(?:[^"]|"")*"|[^{mark}\r\n]*)(\r\n|\r|\n|{mark}|\Z)')
    rows: list[ListLine] = []
    cells: list[ListCell] = []
    at = began = start
    line = began_line = 1 + len(_BREAK.findall(text[:start])) - 1
    while at < len(text) or cells:
        found = one.match(text, at)
        if found is None:
            return ()
        raw, ending = found[1], found[2]
        value = raw[1:-1].replace('""', '"') if raw.startswith('"') else raw
        cells.append(ListCell(at, found.end(1), value))
        line += len(_BREAK.findall(raw)) - 1
        at = found.end()
        if ending == delimiter:
            continue
        blank = len(cells) == 1 and not raw
        end = found.end(1)
        rows.append(ListLine(() if blank else tuple(cells), began, end, at, began_line))
        line += 1
        cells, began, began_line = [], at, line
    return tuple(rows)


def _plainly(text: str, delimiter: str) -> list[list[str]] | None:
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error:
        return None


def _ends(page: ListText) -> str:
    """Return the list's own line end."""
    head = page.rows[0]
    return page.text[head.end : head.stop] or "\n"


def _in_place_of(raw: str, value: str, delimiter: str) -> tuple[str, str]:
    """Return a value written in place of `raw`, quotes or padding kept, and as it is read."""
    if raw.startswith('"'):
        return _written(value, delimiter, quoted=True), value
    plain = _written(value, delimiter)
    core = raw.strip()
    if plain != value or not core:
        return plain, value
    before, _, after = raw.partition(core)
    return f"{before}{plain}{after}", f"{before}{value}{after}"


def _written(value: str, delimiter: str, *, quoted: bool = False) -> str:
    if any(sign in value for sign in "\r\n"):
        raise TextError("a cell has one line here", code="text-too-long", hint=_SPREADSHEET)
    if quoted or delimiter in value or '"' in value:
        return '"' + value.replace('"', '""') + '"'
    return value


def _made(page: ListText, start: int, end: int, new: str, wanted: list[list[str]]) -> str:
    """Return the text with one splice made, once it is sure that it says what was meant."""
    text = page.text[:start] + new + page.text[end:]
    found = read_list_text(text)
    if [row.values for row in found.rows] != wanted or found.delimiter != page.delimiter:
        raise TextError("this cannot be changed by itself", code="bad-row", hint=_SPREADSHEET)
    return text
