"""What the spreadsheet library does not hand on: hidden rows and columns, spans, empty formulas.

Read from the file's own text, in the child process that reads the cells. Of .xls files nothing of
this is known but the spans.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from xml.parsers import expat

from attrs import define, field

Span = tuple[int, int, int, int]
"""First row, first column, last row, last column, from 0."""

_ROW = re.compile(rb"<(?:\w+:)?row\b([^>]*)>")
_COLUMN = re.compile(rb"<(?:\w+:)?col\b([^>]*)>")
_HIDDEN = re.compile(rb"\bhidden\s*=\s*[\"'](?:1|true)[\"']")
_UNWORKED = re.compile(
    rb"<(?:\w+:)?c\b[^>]*\br=[\"']([A-Z]+[0-9]+)[\"'][^>]*>\s*<(?:\w+:)?f\b(?:[^<]*</(?:\w+:)?f>)"
    rb"\s*(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
_MOST_COLUMNS = 16_384
_MOST_ROWS = 1_048_576
"""The largest sheet of a common spreadsheet; a file may claim more and would cost time."""

_MOST_SPANS = 100_000
"""Joined cells that are kept: as many as a list may have rows."""


@define
class Marks:
    """Of one sheet: cells over several rows, rows and columns that are not shown, from 0.

    `hidden_rows` are ranges (first, behind the last), since an empty sheet may hide a million;
    `unworked` are cells with a formula and no result.
    """

    spans: list[Span] = field(factory=list)
    hidden_rows: list[tuple[int, int]] = field(factory=list)
    hidden_columns: set[int] = field(factory=set)
    unworked: list[str] = field(factory=list)

    def hides(self, row: int) -> bool:
        """Return whether a row is not shown."""
        return any(first <= row < behind for first, behind in self.hidden_rows)


def read_marks(path: str) -> dict[str, Marks]:
    """Return the marks of each sheet of an .xlsx or .ods file; none for another file."""
    if not zipfile.is_zipfile(path):
        return {}
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        if "content.xml" in names:
            return _OpenDocument().read(archive.read("content.xml"))
        if "xl/workbook.xml" in names:
            return _of_workbook(archive, names)
    return {}


def _of_workbook(archive: zipfile.ZipFile, names: set[str]) -> dict[str, Marks]:
    relations = "xl/_rels/workbook.xml.rels"
    if relations not in names:
        return {}
    pairs = _attributes(archive.read(relations), b"Relationship", "Id", "Target")
    targets = {key: target for key, target in pairs}
    found = {}
    for name, key in _attributes(archive.read("xl/workbook.xml"), b"sheet", "name", "id"):
        target = targets.get(key, "")
        part = target.lstrip("/") if target.startswith("/") else posixpath.join("xl", target)
        if part in names:
            found[name] = _of_sheet(archive.read(part))
    return found


def _attributes(text: bytes, tag: bytes, *wanted: str) -> list[tuple[str, ...]]:
    """Return attributes of all elements of a tag, by their names without a prefix."""
    found: list[tuple[str, ...]] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == tag.decode():
            plain = {key.rpartition(":")[2]: value for key, value in attributes.items()}
            found.append(tuple(plain.get(key, "") for key in wanted))

    parser = expat.ParserCreate()
    parser.StartElementHandler = start
    parser.Parse(text, True)
    return found


def _of_sheet(text: bytes) -> Marks:
    marks = Marks()
    above = 0
    for found in _ROW.finditer(text):
        number = _number(found[1], b"r")
        above = number if number is not None else above + 1
        if _HIDDEN.search(found[1]):
            marks.hidden_rows.append((above - 1, above))
    for found in _COLUMN.finditer(text):
        first, last = _number(found[1], b"min"), _number(found[1], b"max")
        if _HIDDEN.search(found[1]) and first is not None and last is not None:
            marks.hidden_columns |= set(range(first - 1, min(last, _MOST_COLUMNS)))
    marks.hidden_rows = _joined(marks.hidden_rows)
    marks.unworked = [found[1].decode() for found in _UNWORKED.finditer(text)]
    return marks


def _number(attributes: bytes, name: bytes) -> int | None:
    found = re.search(rb"(?:^|\s)" + name + rb"\s*=\s*[\"'](\d{1,7})[\"']", attributes)
    return int(found[1]) if found else None


def _joined(ranges: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return ranges with those that touch made one."""
    found: list[tuple[int, int]] = []
    for first, behind in sorted(ranges):
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(behind, found[-1][1]))
        else:
            found.append((first, behind))
    return found


@define
class _OpenDocument:
    """One pass over the content of an .ods file."""

    found: dict[str, Marks] = field(factory=dict)
    marks: Marks = field(factory=Marks)
    row: int = 0
    column: int = 0
    repeated: int = 1
    deep: int = 0

    def read(self, text: bytes) -> dict[str, Marks]:
        parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.Parse(text, True)
        return self.found

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "table:table":
            self.deep += 1
        if self.deep > 1:  # a table inside a cell
            return
        if name == "table:table":
            self.marks = self.found.setdefault(attributes.get("table:name", ""), Marks())
            self.row = self.column = 0
        elif name == "table:table-column":
            many = _many(attributes, "table:number-columns-repeated", _MOST_COLUMNS)
            if attributes.get("table:visibility", "visible") != "visible":
                self.marks.hidden_columns |= set(range(self.column, self.column + many))
            self.column = min(self.column + many, _MOST_COLUMNS)
        elif name == "table:table-row":
            self.column = 0
            self.repeated = _many(attributes, "table:number-rows-repeated", _MOST_ROWS)
            if attributes.get("table:visibility", "visible") != "visible":
                self.marks.hidden_rows.append((self.row, self.row + self.repeated))
        elif name in ("table:table-cell", "table:covered-table-cell"):
            self._cell(attributes)

    def _cell(self, attributes: dict[str, str]) -> None:
        deep = _many(attributes, "table:number-rows-spanned", _MOST_ROWS)
        wide = _many(attributes, "table:number-columns-spanned", _MOST_COLUMNS)
        if (deep > 1 or wide > 1) and len(self.marks.spans) < _MOST_SPANS:
            last = (self.row + deep - 1, self.column + wide - 1)
            self.marks.spans.append((self.row, self.column, *last))
        self.column += _many(attributes, "table:number-columns-repeated", _MOST_COLUMNS)

    def _end(self, name: str) -> None:
        if name == "table:table":
            self.deep -= 1
        elif name == "table:table-row" and self.deep == 1:
            self.row += self.repeated


def _many(attributes: dict[str, str], name: str, most: int) -> int:
    text = attributes.get(name, "1")
    return min(int(text), most) if text.isdigit() and len(text) < 10 else 1
