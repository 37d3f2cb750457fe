"""Tables as CSV text that a spreadsheet opens without running any of it.

A text that begins with a sign by which spreadsheets know a formula gets an apostrophe before it;
numbers stay numbers, since they come as such and not as text.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

# What makes a cell a formula in one spreadsheet or another; the full-width forms count too.
FORMULA_SIGNS = tuple("=+-@\t\r\n＝＋－＠")

Cell = str | int | None


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return rows as CSV (RFC 4180: commas, CRLF), texts made harmless, None as nothing.

    Numbers that are not whole come as texts written by the caller, decimal point inside: those
    that read as plain numbers are left alone.
    Raises ValueError for a row that is longer or shorter than the header.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header)
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"a row must have {len(header)} cells, got {len(row)}")
        writer.writerow([_harmless(cell) for cell in row])
    return out.getvalue()


def _harmless(cell: Cell) -> str | int:
    if cell is None:
        return ""
    if isinstance(cell, int) or not cell.lstrip(" ").startswith(FORMULA_SIGNS):
        return cell
    return cell if _is_number(cell) else "'" + cell


def _is_number(text: str) -> bool:
    digits = text.removeprefix("-").replace(".", "", 1)
    return digits.isascii() and digits.isdigit()
