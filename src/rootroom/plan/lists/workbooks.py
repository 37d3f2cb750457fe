"""The sheets of a spreadsheet file, read by a library in a process of its own.

The library asks for memory by the corners of a sheet, so one stray cell in the last row of the last
column ends its process; here that is a message.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

from rootroom.child_process import run_in_child
from rootroom.plan.lists.grid import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, Cell, Grid, GridRow
from rootroom.plan.toml.source import file_problem
from rootroom.problems import Problem

ZIP, OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
"""How the files begin: all but the old ones are zip archives."""

_MOST_UNPACKED = 400_000_000
_MOST_MEMORY = 3_000_000_000
_MOST_SECONDS = 30.0
_MOST_SHEETS = 100


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
        return [
            Grid(str(path), name, [GridRow(number, cells) for number, cells in rows])
            for name, rows in found
        ]
    return _refused(path, kind, found)


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
            send(_sheets(book, wanted))
    except calamine.PasswordError:
        send(("password", ""))
    except calamine.CalamineError as error:
        send(("damaged", str(error)[:200]))


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    if most == resource.RLIM_INFINITY or most > _MOST_MEMORY:
        resource.setrlimit(resource.RLIMIT_AS, (_MOST_MEMORY, most))


def _sheets(book: Any, wanted: str | None) -> tuple[str, Any]:
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
        rows = _rows_of(book.get_sheet_by_name(name))
        kept += len(rows)
        cells += sum(len(row) for _, row in rows)
        if kept > MOST_ROWS or cells > MOST_CELLS:
            return ("too-many-rows", name)
        if any(len(cells) > MOST_COLUMNS for _, cells in rows):
            return ("too-many-columns", name)
        if rows:
            sheets.append((name, rows))
    return ("sheets", sheets)


def _rows_of(sheet: Any) -> list[tuple[int, tuple[Cell, ...]]]:
    """Return the rows that are not empty; a cell merged over several rows counts in each."""
    if sheet.start is None:
        return []
    top, left = sheet.start
    rows = [[_plain(cell) for cell in row] for row in sheet.to_python(skip_empty_area=True)]
    for (first, column), (last, _) in sheet.merged_cell_ranges or ():
        at = column - left
        if 0 <= first - top < len(rows) and 0 <= at < len(rows[first - top]):
            for row in rows[first - top + 1 : last - top + 1]:
                if row[at] is None:
                    row[at] = rows[first - top][at]
    found: list[tuple[int, tuple[Cell, ...]]] = []
    for number, row in enumerate(rows, start=top + 1):
        while row and row[-1] is None:
            row.pop()
        if row:
            found.append((number, (*(None for _ in range(left)), *row)))
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
