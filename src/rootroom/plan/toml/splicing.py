"""Where an edit of a TOML text goes, so that all outside of it stays as it was written.

Every method returns the edits of one change; `apply` makes them in the file's own line ends.
Tables may be written under a header, in braces, or as dotted keys; lists in brackets or under
double headers: an edit keeps to the form that is there.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from attrs import frozen

from rootroom.plan.toml.mending import Edit
from rootroom.plan.toml.spans import Pair, Scan, Span, Stop, scan
from rootroom.problems import TextError

Path = tuple[str | int, ...]

_ORDER = (
    "format", "plants", "supplies", "beds", "garden", "work", "minutes", "factors", "buying",
    "mixes", "ingredients", "containers", "suppliers", "places",
)  # fmt: skip
"""Where each table usually stands."""
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_TAIL = re.compile(r"[ \t]*(?:#[^\n]*)?(?:\n|\Z)")
_COMMA = re.compile(r"(?:[ \t\n]+|#[^\n]*)*,")


def apply(text: str, edits: Sequence[Edit]) -> str:
    """Return a text with the edits made; their places count each kind of line end as one sign."""
    shifts = [found.start() for found in re.finditer("\r\n", text)]
    mark = 1 if text.startswith("\ufeff") else 0
    # Most files have one kind of line end; new lines take the one that the first line has.
    first = re.search("\r\n|\r|\n", text)
    line_end = first[0] if first else "\n"
    pieces, at, seen = [], 0, 0

    def place(offset: int) -> int:
        nonlocal seen
        while seen < len(shifts) and shifts[seen] - seen - mark < offset:
            seen += 1
        return offset + seen + mark

    for edit in sorted(edits, key=lambda one: (one.start, one.end)):
        start = place(edit.start)
        pieces += [text[at:start], edit.new.replace("\n", line_end)]
        at = place(edit.end)
    pieces.append(text[at:])
    return "".join(pieces)


def loads(text: str) -> dict[str, Any]:
    """Return the tables of a TOML text, numbers with a point as written, so that all compare."""
    return tomllib.loads(text, parse_float=lambda number: ("number", number))


def quoted(text: str) -> str:
    """Return a text as a string of TOML."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def key_text(name: str) -> str:
    """Return a name as a key of TOML."""
    return name if _BARE.fullmatch(name) else quoted(name)


def row_text(fields: Mapping[str, str]) -> str:
    """Return keys and values as a table in braces on one line."""
    pairs = ", ".join(f"{key_text(key)} = {value}" for key, value in fields.items())
    return f"{{ {pairs} }}" if pairs else "{}"


@lru_cache(maxsize=4)
def read(text: str) -> Written:
    """Return how a text is written; TextError where it is no TOML.

    Edits follow upon each other, so the last texts are kept; nobody may change what they say.
    """
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    try:
        return Written(plain, loads(plain), scan(plain))
    except (Stop, ValueError, RecursionError) as error:
        line = plain.count("\n", 0, error.at) + 1 if isinstance(error, Stop) else 1
        raise TextError(
            f"the plan cannot be read from line {line} on, so nothing in it can be set",
            code="not-toml",
            hint="`rootroom check` says what is wrong there",
        ) from error


@frozen(eq=False)
class Written:
    """A TOML text with what it says and how it is written."""

    text: str
    data: dict[str, Any]
    scan: Scan

    def replace(self, path: Path, value: str) -> list[Edit]:
        """Write another value in the place of one."""
        start, end = self.scan.values[path]
        return [Edit(start, end, value)]

    def is_value(self, path: Path) -> bool:
        """Whether what stands at a path is written in one piece: no header, no dotted key."""
        if path and isinstance(path[-1], int):
            return not self._under_header(path)
        return self.scan.kinds.get(path) == "value"

    def insert(self, table: Path, key: str, value: str, order: Sequence[str] = ()) -> list[Edit]:
        """Write a new key into a table, behind those that come before it in `order`."""
        pair = f"{key_text(key)} = {value}"
        if self._in_braces(table):
            return self._into_braces(table, key, pair, order)
        if not table:
            return self._into_top(key, pair)
        if self.scan.kinds.get(table) == "dotted":
            return self._beside_dotted(table, pair)
        if self._section(table) is None:
            return self.new_section(table, {key: value})
        return self._into_section(table, pair)

    def new_section(self, table: Path, fields: Mapping[str, str]) -> list[Edit]:
        """Write a table under a header of its own, where one of its kind usually stands."""
        lines = [f"[{_header(table)}]", *(f"{key_text(k)} = {v}" for k, v in fields.items())]
        rank = _rank(table)
        before = [found for found in self.scan.headers if _rank(found[1]) <= rank]
        span = before[-1][0] if before else (0, 0)
        at = self._content_end(span)
        if not before and not self.text[:at].strip():
            return [Edit(at, at, "\n".join([*lines, "", ""]))]
        return [self._line_at(at, "\n" + "\n".join(lines))]

    def remove(self, path: Path) -> list[Edit]:
        """Take away a key with its value, or a row, in whatever form it is written."""
        if path and isinstance(path[-1], int) and self.is_value(path):
            return self._without_row(path)
        edits = [
            self._without_section(span)
            for span, name in self.scan.headers
            if name[: len(path)] == path
        ]
        pairs = [p for p in self.scan.pairs if p.path[: len(path)] == path]
        sections = [(edit.start, edit.end) for edit in edits]
        for pair in pairs:
            inside = any(start <= pair.start < end for start, end in sections)
            nested = len(pair.table) >= len(path)
            if not inside and not nested:
                edits.append(self._without_pair(pair))
        return edits

    def insert_row(self, table: Path, index: int, row: str, comment: str = "") -> list[Edit]:
        """Write a row in braces into a list in brackets, before the row that has the number."""
        count = sum(1 for _ in self._rows(table))
        if count == 0:
            return self._first_row(table, row, comment)
        if index <= 0:
            return self._before_first(table, row, comment)
        return self._behind_row(table, min(index, count) - 1, row, comment)

    def insert_block(self, table: Path, index: int, block: str) -> list[Edit]:
        """Write a row under a double header, before the row that has the number."""
        rows = [span for span, path in self.scan.headers if path == (*table, index)]
        if rows and index == 0:
            return [Edit(rows[0][0], rows[0][0], block + "\n")]
        spans = [
            span
            for span, path in self.scan.headers
            if path[: len(table)] == table and len(path) > len(table) and _below(path, table, index)
        ]
        return [self._line_at(self._content_end(spans[-1]), "\n" + block.rstrip("\n"))]

    def row_source(self, path: Path) -> tuple[str, str]:
        """Return a row as it is written, and the comment behind it on its line."""
        if self.is_value(path):
            start, end = self.scan.values[path]
            tail = re.compile(r"[ \t]*,?([ \t]*#[^\n]*)").match(self.text, end)
            return self.text[start:end], tail[1] if tail and self._owns_line(start, end) else ""
        spans = [span for span, name in self.scan.headers if name[: len(path)] == path]
        start, end = spans[0][0], self._content_end(spans[-1])
        between = [name for span, name in self.scan.headers if start <= span[0] < end]
        if any(name[: len(path)] != path for name in between):
            raise TextError("this row stands in several places of the plan", code="wrong-kind")
        return self.text[start:end], ""

    def header_of(self, path: Path) -> str:
        """Return the names of a header as TOML writes them."""
        return _header(path)

    def in_brackets(self, path: Path) -> bool:
        """Whether a list is written in brackets, not under double headers."""
        return self.scan.kinds.get(path) == "value"

    def _under_header(self, path: Path) -> bool:
        return any(name == path for _, name in self.scan.headers)

    def _in_braces(self, path: Path) -> bool:
        span = self.scan.values.get(path)
        return bool(path) and span is not None and self.text[span[0]] == "{"

    def _rows(self, table: Path) -> list[Span]:
        spans: list[Span] = []
        while (*table, len(spans)) in self.scan.values:
            spans.append(self.scan.values[*table, len(spans)])
        return spans

    def _section(self, table: Path) -> Span | None:
        return next((span for span, name in self.scan.headers if name == table), None)

    def _content_end(self, header: Span) -> int:
        """Return where the lines of a section end: behind its last pair, or its header."""
        later = [span[0] for span, _ in self.scan.headers if span[0] > header[0]]
        if header == (0, 0):
            later = [span[0] for span, _ in self.scan.headers]
        limit = min(later, default=len(self.text))
        ends = [pair.end for pair in self.scan.pairs if header[1] <= pair.start < limit]
        if header == (0, 0) and not ends:
            return self._line_start(limit)
        return self._line_end(max(ends, default=header[1]))

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    def _line_at(self, at: int, line: str) -> Edit:
        """Return the edit that puts whole lines where a line begins, or at the end of the text."""
        open_line = at > 0 and self.text[at - 1] != "\n"
        return Edit(at, at, f"\n{line}" if open_line else f"{line}\n")

    def _indent(self, at: int) -> str | None:
        """Return what stands before a thing on its line, if that is blank."""
        lead = self.text[self._line_start(at) : at]
        return None if lead.strip() else lead

    def _into_braces(self, table: Path, key: str, pair: str, order: Sequence[str]) -> list[Edit]:
        start, end = self.scan.values[table]
        there = [one for one in self.scan.pairs if one.table == table]
        if not there:
            return [Edit(start + 1, end - 1, f" {pair} ")]
        places = {name: number for number, name in enumerate(order)}
        own = places.get(key)
        before = [
            one
            for one in there
            if own is not None and places.get(str(one.path[len(table)]), own) < own
        ]
        # Later keys stay behind it; what is in no order goes to the end.
        at = max(before or there, key=lambda one: one.start).end
        return [Edit(at, at, f", {pair}")]

    def _into_top(self, key: str, pair: str) -> list[Edit]:
        at = self._content_end((0, 0))
        lead = "\n" if "\n" in pair and self.text[:at].strip() else ""
        after = "" if self.text[at : at + 1] in ("", "\n") or not lead else "\n"
        edit = self._line_at(at, lead + pair)
        return [Edit(at, at, edit.new + after)]

    def _beside_dotted(self, table: Path, pair: str) -> list[Edit]:
        last = max(
            (one for one in self.scan.pairs if one.path[: len(table)] == table
             and len(one.table) < len(table)),
            key=lambda one: one.start,
        )  # fmt: skip
        lead = ".".join(key_text(str(name)) for name in table[len(last.table) :])
        if self._in_braces(last.table):
            return [Edit(last.end, last.end, f", {lead}.{pair}")]
        indent = self._indent(last.start) or ""
        return [self._line_at(self._line_end(last.end), f"{indent}{lead}.{pair}")]

    def _into_section(self, table: Path, pair: str) -> list[Edit]:
        header = self._section(table)
        assert header is not None
        own = [one for one in self.scan.pairs if one.table == table]
        indent = (self._indent(own[-1].start) if own else None) or ""
        return [self._line_at(self._content_end(header), indent + pair)]

    def _without_section(self, header: Span) -> Edit:
        start, end = self._line_start(header[0]), self._content_end(header)
        blank_before = start == 0 or self.text[:start].endswith("\n\n")
        if blank_before and self.text[end : end + 1] == "\n":
            end += 1
        return Edit(start, end, "")

    def _without_pair(self, pair: Pair) -> Edit:
        if not self._in_braces(pair.table):
            return Edit(self._line_start(pair.start), self._line_end(pair.end), "")
        beside = sorted(one for one in self.scan.pairs if one.table == pair.table)
        number = beside.index(pair)
        if number + 1 < len(beside):
            return Edit(pair.start, beside[number + 1].start, "")
        if number:
            return Edit(beside[number - 1].end, pair.end, "")
        start, end = self.scan.values[pair.table]
        return Edit(start + 1, end - 1, "")

    def _owns_line(self, start: int, end: int) -> bool:
        """Whether a row of a list stands alone on its line or lines, its comma with it."""
        found = re.compile(r"[ \t]*(,?)" + _TAIL.pattern).match(self.text, end)
        if self._indent(start) is None or found is None:
            return False
        return bool(found[1]) or _COMMA.match(self.text, end) is None

    def _without_row(self, path: Path) -> list[Edit]:
        start, end = self.scan.values[path]
        if self._owns_line(start, end):
            return [Edit(self._line_start(start), self._line_end(end), "")]
        rows, number = self._rows(path[:-1]), int(path[-1])
        if number + 1 < len(rows):
            comma = _COMMA.match(self.text, end)
            assert comma is not None
            stop = rows[number + 1][0]
            # A comment between two rows stays.
            noted = "#" in self.text[end : comma.end()] or "#" in self.text[comma.end() : stop]
            return [Edit(start, comma.end() if noted else stop, "")]
        before = rows[number - 1][1] if number else start
        return [Edit(start if "#" in self.text[before:start] else before, end, "")]

    def _first_row(self, table: Path, row: str, comment: str) -> list[Edit]:
        start, end = self.scan.values[table]
        if "\n" in self.text[start:end]:
            at = self._line_start(end - 1)
            indent = (self._indent(end - 1) or "") + "  "
            return [Edit(at, at, f"{indent}{row},{comment}\n")]
        over_lines = len(table) == 1
        return [Edit(start + 1, end - 1, f"\n  {row},{comment}\n" if over_lines else f" {row} ")]

    def _before_first(self, table: Path, row: str, comment: str) -> list[Edit]:
        opening = self.scan.values[table][0] + 1
        first = self._rows(table)[0]
        tail = _TAIL.match(self.text, opening)
        indent = self._indent(first[0])
        if tail is None or indent is None:
            return [Edit(first[0], first[0], f"{row}, ")]
        return [Edit(tail.end(), tail.end(), f"{indent}{row},{comment}\n")]

    def _behind_row(self, table: Path, number: int, row: str, comment: str) -> list[Edit]:
        start, end = self._rows(table)[number]
        comma = _COMMA.match(self.text, end)
        at = end if comma is None else comma.end()
        tail = _TAIL.match(self.text, at)
        if tail is None:
            return [Edit(at, at, f", {row}" if comma is None else f" {row},")]
        indent = self._indent(start)
        if indent is None:
            line = self._line_start(start)
            indent = re.compile(r"[ \t]*").match(self.text, line)[0] + "  "  # type: ignore[index]
        added = Edit(tail.end(), tail.end(), f"{indent}{row},{comment}\n")
        return [added] if comma else [Edit(end, end, ","), added]


def _header(path: Path) -> str:
    return ".".join(key_text(name) for name in path if isinstance(name, str))


def _rank(path: Path) -> int:
    return _ORDER.index(str(path[0])) if path[0] in _ORDER else len(_ORDER)


def _below(path: Path, table: Path, index: int) -> bool:
    number = path[len(table)]
    return isinstance(number, int) and number < max(index, 1)
