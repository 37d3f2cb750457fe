"""Lists of plants for tests: written to a file in several forms, and read as understood."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from rootroom.plan.lists.grid import Readings
from rootroom.plan.lists.model import Choices, ListRead
from rootroom.plan.lists.reading import read_list
from rootroom.problems import Problem


def write_xlsx(path: Path, rows: Sequence[Sequence[Any]], *, merged: Sequence[str] = ()) -> Path:
    """Write rows, None for an empty cell, to the sheet `Plants` of a new file."""
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Plants"
    for number, row in enumerate(rows, start=1):
        for column, value in enumerate(row, start=1):
            if value is not None:
                sheet.cell(number, column, value)
    for span in merged:
        sheet.merge_cells(span)
    book.save(path)
    return path


def write_ods(
    path: Path,
    rows: Sequence[Sequence[Any]],
    *,
    spans: Mapping[tuple[int, int], int] = MappingProxyType({}),
    hidden: Collection[int] = (),
) -> Path:
    """Write rows to the sheet `Plants` of a new OpenDocument file.

    `spans` are cells (row, column from 0) merged over so many rows; `hidden` rows (from 0) are
    filtered away.
    """
    from datetime import date

    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import CoveredTableCell, Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    table = Table(name="Plants")
    covered = {(r + n, c) for (r, c), deep in spans.items() for n in range(1, deep)}
    for number, row in enumerate(rows):
        line = TableRow(visibility="filter") if number in hidden else TableRow()
        for column, value in enumerate(row):
            if (number, column) in covered:
                line.addElement(CoveredTableCell())
                continue
            if value is None:
                line.addElement(TableCell())
                continue
            kinds = {"valuetype": "string"}
            if isinstance(value, int | float):
                kinds = {"valuetype": "float", "value": str(value)}
            elif isinstance(value, date):
                kinds = {"valuetype": "date", "datevalue": value.isoformat()}
            if (number, column) in spans:
                kinds["numberrowsspanned"] = str(spans[number, column])
            cell = TableCell(**kinds)
            cell.addElement(P(text=str(value)))
            line.addElement(cell)
        table.addElement(line)
    book.spreadsheet.addElement(table)
    book.save(str(path))
    return path


def read(path: Path, *, readings: Readings | None = None, **choices: Any) -> ListRead | Problem:
    """Return a file as understood, with what is said about it."""
    return read_list(path, Choices(readings=readings or Readings(), **choices))


def read_text(folder: Path, text: str | bytes, **choices: Any) -> ListRead | Problem:
    """Return a text file as understood."""
    path = folder / "list.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read(path, **choices)


def values(found: ListRead | Problem) -> list[dict[str, Any]]:
    """Return the rows of a list that was understood whole."""
    assert isinstance(found, ListRead), found
    assert [] == [str(problem) for problem in found.problems]
    return [dict(row.values) for row in found.rows]


def messages(found: ListRead | Problem) -> list[str]:
    """Return the first lines of the problems, the file by its name alone."""
    problems = [found] if isinstance(found, Problem) else found.problems
    return [re.sub(r"^\S*/", "", str(problem)) for problem in problems]
