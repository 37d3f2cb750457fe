"""A list in a text file: in which encoding and between which marks, and its rows."""

from __future__ import annotations

import csv
import re
from collections import Counter
from itertools import islice
from pathlib import Path

from rootroom.plan.lists.grid import MOST_ROWS, Grid, GridRow
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
    if "\0" in text:
        return file_problem(path, "not-text", "this is no text: it holds zero bytes")
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
    if "\0" in text:
        return file_problem(path, "not-text", "this is no text: it holds zero bytes")
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
