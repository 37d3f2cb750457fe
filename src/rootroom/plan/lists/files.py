"""A list's file as rows: a text between marks in some encoding, or a spreadsheet's sheets.

Spreadsheets are read by a library in a process of its own: it asks for memory by a sheet's corners,
so one stray cell in the last row of the last column ends its process; here that is a message.
"""

from __future__ import annotations

import csv
import re
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Mapping
from datetime import date, datetime
from itertools import islice
from pathlib import Path
from typing import Any
from xml.parsers import expat

from rootroom.child_process import run_in_child
from rootroom.plan.lists.grid import MOST_CELLS, MOST_ROWS, Cell, Grid, GridRow
from rootroom.plan.lists.workbook_marks import Marks, read_marks
from rootroom.plan.tables.csv_sheet import MOST_COLUMNS, SheetPlaces, plain_breaks
from rootroom.plan.toml.source import file_problem
from rootroom.problems import Location, Problem

_MARKS = ",;\t|"
_NAMES = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "`|`"}
_TRIED = 200
"""Lines that are tried to find what parts the columns."""

_WEB = re.compile(r"\s*(<!doctype|<html|<table|<\?xml|<head)", re.IGNORECASE)


def read_text_file(path: Path, data: bytes) -> Grid | Problem:
    """Return the rows of a text file that are not empty, or why it is none.

    UTF-8, UTF-16 and what older programs write on Windows are told apart by the bytes; commas,
    semicolons, tabs and `|` by which of them parts the lines evenly.
    """
    decoded = _decode(path, data)
    if isinstance(decoded, Problem):
        return decoded
    text, told = decoded
    if "\0" in text:
        return file_problem(path, "not-text", "this is no text: it holds zero bytes")
    if not text.strip():
        return file_problem(path, "empty-file", "the list of plants is empty")
    if _WEB.match(text):
        return file_problem(
            path,
            "not-text",
            "this is a web page under the name of a list",
            "open it in a spreadsheet and save it as .xlsx, .ods or CSV",
        )
    text = plain_breaks(text)
    skipped = 0
    head, _, rest = text.partition("\n")
    named = re.fullmatch(r"sep=(.)\s*", head, re.IGNORECASE)
    if named is not None and named[1] in _MARKS:
        mark, text, skipped = named[1], rest, 1
    else:
        mark = _mark_of(text)
    return _rows(path, text, mark, skipped, told)


def _decode(path: Path, data: bytes) -> tuple[str, list[str]] | Problem:
    """Return the text, and what is to be told of how it was read."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding = "utf-16"
    elif data[:200].count(0) * 3 > len(data[:200]):
        encoding = "utf-16-le" if data[1:2] == b"\0" else "utf-16-be"
    else:
        encoding = "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        if encoding != "utf-8-sig":
            return file_problem(path, "not-text", "this is no text: its UTF-16 is broken")
        return _older(path, data)
    return text, []


def _older(path: Path, data: bytes) -> tuple[str, list[str]] | Problem:
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        return file_problem(
            path,
            "not-utf-8",
            "this text is neither UTF-8 nor as older programs write it",
            "save the list as `CSV UTF-8`",
        )
    odd = re.search(r"\w*[^\W\x00-\x7f]\w*", text)
    example = f", as `{odd[0][:30]}`" if odd else ""
    return text, [f"not UTF-8, so read as older Windows programs write{example}"]


def _mark_of(text: str) -> str:
    """Return what parts the columns: the mark that makes most lines equally wide."""
    lines = [line for line in islice(text.split("\n"), _TRIED) if line.strip()]

    def evenly(mark: str) -> tuple[float, int]:
        try:
            widths = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if row)
        except csv.Error:
            return (0.0, 0)
        many = Counter({width: n for width, n in widths.items() if width > 1})
        if not many:
            return (0.0, 0)
        width, rows = max(many.items(), key=lambda item: (item[1], item[0]))
        return (rows / len(lines), width)

    # Of two that part evenly the one that is seldom in a text counts.
    return max("\t|;,", key=evenly)


def _rows(path: Path, text: str, mark: str, skipped: int, told: list[str]) -> Grid | Problem:
    lines = text.split("\n")
    reader = csv.reader((line + "\n" for line in lines), delimiter=mark, strict=True)
    places = SheetPlaces(str(path), delimiter=mark)
    rows: list[GridRow] = []
    number, widest = 0, 0
    while True:
        line = reader.line_num + skipped + 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            return _broken(path, lines, line, skipped, error)
        if cells is None:
            break
        number += 1
        if not any(cell.strip() for cell in cells) or (mark == "|" and _only_lines(cells)):
            continue
        while cells and not cells[-1].strip():
            cells.pop()
        widest = max(widest, len(cells))
        if len(rows) >= MOST_ROWS or widest > MOST_COLUMNS:
            return _too_large(path, line, len(rows) >= MOST_ROWS)
        places.rows[number] = (line, cells)
        rows.append(GridRow(number, tuple(cell.strip() or None for cell in cells), line))
    if not rows:
        return file_problem(path, "empty-file", "the list of plants is empty")
    places.columns = [str(column) for column in range(widest)]
    if mark != ",":
        told.append(f"columns parted by {_NAMES[mark]}")
    return Grid(str(path), "", rows, told, places)


def _only_lines(cells: list[str]) -> bool:
    """Return whether a row only draws a line below the heading."""
    return all(re.fullmatch(r"\s*[:=+-]*[-=]{2,}[:=+-]*\s*|\s*", cell) for cell in cells)


def _broken(path: Path, lines: list[str], line: int, skipped: int, error: csv.Error) -> Problem:
    shown = lines[line - skipped - 1] if line - skipped <= len(lines) else ""
    where = Location(str(path), line, 1, max(len(shown), 1) + 1)
    return Problem(
        "bad-row",
        "error",
        where,
        f"cannot read the row: {error}",
        "a cell with a quote in it stands in quotes, and that quote is written twice",
        line=shown,
    )


def _too_large(path: Path, line: int, rows: bool) -> Problem:
    most = f"{MOST_ROWS:,} rows" if rows else f"{MOST_COLUMNS} columns"
    return Problem(
        "too-many-rows" if rows else "too-many-columns",
        "error",
        Location(str(path), line, 1, 1),
        f"a list of plants that is read as a whole has at most {most}",
        'a longer one is read as it stands: `rows = "plants.csv"` with the plan\'s own columns'
        if rows
        else "save only the columns of the list",
    )


ZIP, OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
"""How the files begin: all but the old ones are zip archives."""

_Row = tuple[int, tuple[Cell, ...], int, frozenset[int], bool]
"""What a `GridRow` is made of."""

_MOST_UNPACKED = 400_000_000
_MOST_MEMORY = 3_000_000_000
_MOST_SECONDS = 30.0
_MOST_SHEETS = 100
"""What reading a workbook may take [bytes, bytes, s, sheets], so that no file made for it
fills the machine or keeps it busy; lists within the limits of `grid` stay below."""


def read_workbook(path: Path, data: bytes, sheet: str | None) -> list[Grid] | Problem:
    """Return the visible sheets with something in them (or the one named), or why there is none."""
    bomb = _unpacked(path) if data.startswith(ZIP) else None
    if bomb is not None:
        return bomb
    result = run_in_child(f"{__name__}:hand_back_sheets", (str(path), sheet), seconds=_MOST_SECONDS)
    if result.value is None or result.ended != "done":
        words = "takes too long to read" if result.ended == "clock" else "cannot be read"
        return file_problem(
            path,
            "bad-workbook",
            f"this spreadsheet {words}: damaged, or a stray cell far from the list",
            "copy the list into a new spreadsheet, or save its sheet as CSV",
        )
    kind, found = result.value
    if kind == "sheets":
        return [_grid(path, *sheet) for sheet in found]
    return _refused(path, kind, found)


def _grid(path: Path, name: str, rows: Any, hidden: frozenset[int], unworked: Any) -> Grid:
    """Return a sheet as the child process handed it back."""
    grid = Grid(str(path), name, [GridRow(*row) for row in rows], hidden_columns=hidden)
    if unworked:
        more = f" and {len(unworked) - 3} more" if len(unworked) > 3 else ""
        grid.told.append(
            f"formulas without a result at {', '.join(unworked[:3])}{more}: "
            "open and save the file in a spreadsheet program, then they have one"
        )
    return grid


def _refused(path: Path, kind: str, found: Any) -> Problem:
    if kind == "no-sheet":
        named = ", ".join(f"`{name}`" for name in found[1][:8])
        return file_problem(path, kind, f"no sheet `{found[0]}`", f"its sheets are {named}")
    if kind == "password":
        return file_problem(
            path,
            "bad-workbook",
            "this spreadsheet is locked by a password",
            "save it without one, or save the list as CSV",
        )
    if kind == "too-many-rows":
        return file_problem(
            path,
            kind,
            f"sheet `{found}`: a list of plants in a spreadsheet has at most {MOST_ROWS:,} rows "
            f"and {MOST_CELLS:,} cells",
            'save it as CSV and read it as it stands: `rows = "plants.csv"`',
        )
    if kind == "too-many-columns":
        return file_problem(
            path,
            kind,
            f"sheet `{found}`: a list of plants has at most {MOST_COLUMNS} columns",
            "copy only the list into a new spreadsheet",
        )
    return file_problem(
        path,
        "bad-workbook",
        f"this spreadsheet cannot be read: {found}",
        "open and save it again, or save the list as CSV",
    )


def _unpacked(path: Path) -> Problem | None:
    """Return why a zip archive is not unpacked, None if it may be."""
    try:
        with zipfile.ZipFile(path) as archive:
            size = sum(entry.file_size for entry in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        return _refused(path, "damaged", str(error)[:200] or "damaged")
    if size <= _MOST_UNPACKED:
        return None
    return file_problem(
        path,
        "file-too-large",
        f"unpacked this spreadsheet has {size / 1e6:,.0f} MB, "
        f"at most {_MOST_UNPACKED / 1e6:,.0f} MB are read",
        "copy only the list into a new spreadsheet",
    )


def hand_back_sheets(argument: Any, send: Callable[[object], None]) -> None:
    """Be the child: read the file and hand back its sheets, or why not."""
    _limit_memory()
    import python_calamine as calamine

    name, wanted = argument
    try:
        with calamine.CalamineWorkbook.from_path(name) as book:
            send(_sheets(book, wanted, _marks(name)))
    except calamine.PasswordError:
        send(("password", ""))
    except calamine.CalamineError as error:
        send(("damaged", str(error)[:200]))


def _marks(name: str) -> dict[str, Marks]:
    """Return what else a file says of its sheets; what cannot be read of that is as not said."""
    try:
        return read_marks(name)
    except (expat.ExpatError, zipfile.BadZipFile, OSError, ValueError, KeyError, zlib.error):
        return {}


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    if most == resource.RLIM_INFINITY or most > _MOST_MEMORY:
        resource.setrlimit(resource.RLIMIT_AS, (_MOST_MEMORY, most))


def _sheets(book: Any, wanted: str | None, marks: Mapping[str, Marks]) -> tuple[str, Any]:
    facts = [one for one in book.sheets_metadata if str(one.typ).endswith("WorkSheet")]
    names = [one.name for one in facts if str(one.visible).endswith(".Visible")]
    if wanted is not None:
        every = [one.name for one in facts]
        found = [name for name in every if name == wanted] or [
            name for name in every if name.strip().casefold() == wanted.strip().casefold()
        ]
        if not found:
            return ("no-sheet", (wanted, every))
        names = found[:1]
    sheets, kept, cells = [], 0, 0
    for name in names[:_MOST_SHEETS]:
        own = marks.get(name, Marks())
        rows = _rows_of(book.get_sheet_by_name(name), own)
        kept += len(rows)
        cells += sum(len(row[1]) for row in rows)
        if kept > MOST_ROWS or cells > MOST_CELLS:
            return ("too-many-rows", name)
        if any(len(row[1]) > MOST_COLUMNS for row in rows):
            return ("too-many-columns", name)
        if rows:
            sheets.append((name, rows, frozenset(own.hidden_columns), own.unworked))
    return ("sheets", sheets)


def _rows_of(sheet: Any, marks: Marks) -> list[_Row]:
    """Return the rows that are not empty; a cell merged over several rows counts in each."""
    if sheet.start is None:
        return []
    top, left = sheet.start
    rows = [[_plain(cell) for cell in row] for row in sheet.to_python(skip_empty_area=True)]
    spans = [(*first, *last) for first, last in sheet.merged_cell_ranges or ()] or marks.spans
    merged: dict[int, set[int]] = {}
    for first, column, last, _ in spans:
        at = column - left
        if 0 <= first - top < len(rows) and 0 <= at < len(rows[first - top]):
            for number in range(first - top + 1, min(last - top + 1, len(rows))):
                if rows[number][at] is None and rows[first - top][at] is not None:
                    rows[number][at] = rows[first - top][at]
                    merged.setdefault(number, set()).add(column)
    found: list[_Row] = []
    for number, row in enumerate(rows):
        while row and row[-1] is None:
            row.pop()
        own = (at + left for at, cell in enumerate(row) if cell is not None)
        if any(column not in merged.get(number, ()) for column in own):
            cells = (*(None for _ in range(left)), *row)
            hidden = marks.hides(number + top)
            below = frozenset(merged.get(number, ()))
            found.append((number + top + 1, cells, 0, below, hidden))
    return found


def _plain(cell: Any) -> Cell:
    """Return a cell's value; a time of day goes with its date, other kinds become text."""
    if isinstance(cell, str):
        return cell.strip()[:4000] or None
    if isinstance(cell, datetime):
        return cell.date()
    if cell is None or isinstance(cell, bool | int | float | date):
        return cell
    return str(cell)
