"""Where each value of a TOML text stands.

The standard library's reader keeps no places, so this scanner finds them.
It runs only on text that the reader has already accepted and therefore checks nothing; it only has
to know where keys, strings, lists and tables begin and end.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Callable
from itertools import accumulate

from attrs import define, field

from rootroom.problems import Location

__all__ = ["Places", "find_places"]

Path = tuple[str | int, ...]
Span = tuple[int, int]

_BLOCK = 4096
_BLANK = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_INLINE_BLANK = re.compile(r"[ \t]*")
_KEY = re.compile(r"""[ \t]*("[^"\\\n]*(?:\\.[^"\\\n]*)*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\[\s\S]|"(?!""))*"{3,5}'
    r"|'''(?:[^']|'(?!''))*'{3,5}"
    r'|"[^"\\\n]*(?:\\.[^"\\\n]*)*"'
    r"|'[^'\n]*'"
)
_BARE = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d[^\s,\]}#]*|[^\s,\]}#]+")


@define
class Places:
    """Places by path in one file; `origin` turns an offset of the scanned text into the file's."""

    file: str
    text: str
    values: dict[Path, Span] = field(factory=dict)
    keys: dict[Path, Span] = field(factory=dict)
    origin: Callable[[int], int] | None = None
    _breaks: list[int] = field(factory=list)
    _last_line: tuple[int, str] = (0, "")

    def value(self, path: Path) -> Location:
        """Return the place of a value; of what holds it when the value itself has none."""
        while path and path not in self.values:
            path = path[:-1]
        return self._location(self.values.get(path, (0, 1)))

    def key(self, path: Path) -> Location:
        """Return the place of a key, else of the value."""
        span = self.keys.get(path)
        return self.value(path) if span is None else self._location(span)

    def line(self, number: int) -> str:
        """Return the text of a line that counts from 1."""
        # Many mistakes of one long line share one copy of it.
        if self._last_line[0] != number:
            self._last_line = (number, self._cut(number))
        return self._last_line[1]

    def _cut(self, number: int) -> str:
        breaks = self._breaks_before()
        block = bisect_left(breaks, number) - 1
        start = max(block, 0) * _BLOCK
        for _ in range(number - 1 - breaks[max(block, 0)]):
            start = self.text.index("\n", start) + 1
        return self.text[self._line_start(start) : self._line_end(start)]

    def at(self, start: int, end: int) -> Location:
        """Return the place of a span of the file's own text."""
        start = min(max(start, 0), len(self.text))
        block = start // _BLOCK
        line = self._breaks_before()[block] + self.text.count("\n", block * _BLOCK, start) + 1
        first = self._line_start(start)
        stop = max(min(end, self._line_end(start)), start + 1)
        return Location(self.file, line, start - first + 1, stop - first + 1)

    def _location(self, span: Span) -> Location:
        start, end = span
        if self.origin is not None:
            start, end = self.origin(start), self.origin(end)
        return self.at(start, end)

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end

    def _breaks_before(self) -> list[int]:
        """Return how many lines end before each block of the text: ten million fit no list."""
        if not self._breaks:
            starts = range(0, len(self.text) + 1, _BLOCK)
            counts = (self.text.count("\n", start, start + _BLOCK) for start in starts)
            self._breaks = [0, *accumulate(counts)]
        return self._breaks


def find_places(text: str) -> tuple[dict[Path, Span], dict[Path, Span], list[int]]:
    """Return the spans of all values and of all keys of a valid TOML text, by path.

    The third is where tables in braces begin that go over several lines: TOML 1.1 allows them, but
    not every Python that we support reads that.
    """
    scanner = _Scanner(text)
    scanner.document()
    return scanner.values, scanner.keys, scanner.wide


class _Scanner:
    """Walks once over the text; every method takes an offset and returns the one behind it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.values: dict[Path, Span] = {}
        self.keys: dict[Path, Span] = {}
        self.lengths: dict[Path, int] = {}
        self.wide: list[int] = []

    def document(self) -> None:
        text, at, here = self.text, 0, ()
        path: Path = here
        while True:
            at = _end(_BLANK, text, at)
            if at >= len(text):
                return
            if text.startswith("[[", at):
                at, path = self.header(at, 2)
            elif text[at] == "[":
                at, path = self.header(at, 1)
            else:
                at = self.pair(at, path)

    def header(self, start: int, brackets: int) -> tuple[int, Path]:
        names, spans, at = self.key(start + brackets)
        path: Path = ()
        end = at + brackets
        for name, span in zip(names[:-1], spans, strict=False):
            path = (*path, name)
            if path in self.lengths:
                path = (*path, self.lengths[path] - 1)
            self.keys.setdefault(path, span)
            self.values.setdefault(path, (start, end))
        path = (*path, names[-1])
        self.keys.setdefault(path, spans[-1])
        if brackets == 2:
            self.values.setdefault(path, (start, end))
            index = self.lengths.get(path, 0)
            self.lengths[path] = index + 1
            path = (*path, index)
            self.keys[path] = spans[-1]
        self.values[path] = (start, end)
        return end, path

    def pair(self, start: int, table: Path) -> int:
        names, spans, at = self.key(start)
        path = table
        for name, span in zip(names, spans, strict=True):
            path = (*path, name)
            self.keys.setdefault(path, span)
            self.values.setdefault(path, span)
        return self.value(_end(_INLINE_BLANK, self.text, at + 1), path)

    def key(self, at: int) -> tuple[list[str], list[Span], int]:
        names: list[str] = []
        spans: list[Span] = []
        while True:
            match = _KEY.match(self.text, at)
            assert match is not None
            raw = match[1]
            names.append(_unquoted(raw) if raw[0] in "\"'" else raw)
            spans.append(match.span(1))
            at = match.end()
            if not self.text.startswith(".", at):
                return names, spans, at
            at += 1

    def value(self, start: int, path: Path) -> int:
        first = self.text[start]
        if first == "[":
            end = self.items(start, path)
        elif first == "{":
            end = self.table(start, path)
        else:
            end = _end(_STRING if first in "\"'" else _BARE, self.text, start)
        self.values[path] = (start, end)
        return end

    def items(self, start: int, path: Path) -> int:
        text, at, index = self.text, start + 1, 0
        while True:
            at = _end(_BLANK, text, at)
            if text[at] == "]":
                return at + 1
            at = _end(_BLANK, text, self.value(at, (*path, index)))
            index += 1
            if text[at] == ",":
                at += 1

    def table(self, start: int, path: Path) -> int:
        text, at, wide = self.text, start + 1, False
        while True:
            before, at = at, _end(_BLANK, text, at)
            wide = wide or "\n" in text[before:at]
            if text[at] == "}":
                if wide:
                    self.wide.append(start)
                return at + 1
            before = self.pair(at, path)
            at = _end(_BLANK, text, before)
            wide = wide or "\n" in text[before:at]
            if text[at] == ",":
                at += 1


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    assert match is not None
    return match.end()


def _unquoted(raw: str) -> str:
    if "\\" not in raw or raw[0] == "'":
        return raw[1:-1]
    return str(tomllib.loads(f"key = {raw}")["key"])
