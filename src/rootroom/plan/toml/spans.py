"""Where each value of a TOML text stands, and where a text stops being TOML.

The standard library's reader keeps no places and tells of mistakes in words that may change, so
this scanner walks over the text first: it finds every value, or raises `Stop` where it cannot go
on, with what is open there.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from attrs import define, field, frozen

from rootroom.problems import Location

Path = tuple[str | int, ...]
Span = tuple[int, int]

_BLOCK = 4096
_BLANK = re.compile(r"(?:[ \t\n]+|#[^\n]*)*")
_INLINE_BLANK = re.compile(r"[ \t]*")
_KEY = re.compile(r"""[ \t]*("[^"\\\n]*(?:\\.[^"\\\n]*)*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\[\s\S]|"(?!""))*"{3,5}'
    r"|'''(?:[^']|'(?!''))*'{3,5}"
    r'|"(?!"")[^"\\\n]*(?:\\.[^"\\\n]*)*"|""(?!")'
    r"|'(?!'')[^'\n]*'|''(?!')"
)
_ESCAPE = re.compile(r"\\(u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|[ \t]*\n|[\s\S])")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_TIME = r"(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d(?:\.\d+)?"
_DATE = r"\d{4}-\d\d-\d\d"
_BARE = re.compile(
    rf"(?:({_DATE})(?:[Tt ]{_TIME}(?:[Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)?)?|{_TIME}"
    r"|0x[0-9A-Fa-f](?:_?[0-9A-Fa-f])*|0o[0-7](?:_?[0-7])*|0b[01](?:_?[01])*"
    r"|([+-]?(?:0|[1-9](?:_?\d)*)(?:\.\d(?:_?\d)*)?(?:[eE][+-]?\d(?:_?\d)*)?)"
    r"|[+-]?(?:inf|nan)|true|false)"
)
_MOST_DIGITS = 4000  # Python refuses to read a whole number of more than 4,300
_DEEPEST = 22  # brackets: a plan needs four, and each costs the reader a call in a call
"""Brackets in brackets that are still taken for a plan."""


@frozen
class Stop(Exception):
    """Where a text stops being TOML: the offset, what is missing in words, and what is open.

    `open` are the brackets and where they stand; `begin` is where the key or value begins that the
    offset lies in: behind the last comma, bracket or line end of its own level; `equals` is where
    its `=` ends, if it has one; `before` is the last thing that was read before. `twice` tells that
    all is well written, but stands in another place too.
    """

    at: int
    words: str
    open: tuple[tuple[str, int], ...]
    begin: int
    equals: int | None
    before: Span | None
    twice: bool = False

    @property
    def inner(self) -> str:
        """The innermost open bracket, or nothing."""
        return self.open[-1][0] if self.open else ""


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


class Pair(NamedTuple):
    """A key with its value as written: from the key to the value's end, and in which table."""

    start: int
    end: int
    path: Path
    table: Path


@frozen(eq=False)
class Scan:
    """How a TOML text is written; nobody may change it, since it is kept for the next one to ask.

    `kinds` tells how each table is written, `headers` where each section begins, `pairs` every key
    with its value.
    """

    values: dict[Path, Span]
    keys: dict[Path, Span]
    kinds: dict[Path, str]
    headers: list[tuple[Span, Path]]
    pairs: list[Pair]


@lru_cache(maxsize=2)
def scan(text: str) -> Scan:
    """Return how a TOML text is written; else raise Stop."""
    found = _Scanner(text)
    found.document()
    return Scan(found.values, found.keys, found.kinds, found.headers, found.pairs)


def find_places(text: str) -> tuple[dict[Path, Span], dict[Path, Span]]:
    """Return the spans of all values and of all keys of a TOML text, by path; else raise Stop."""
    found = scan(text)
    return found.values, found.keys


class _Scanner:
    """Walks once over the text; every method takes an offset and returns the one behind it."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.values: dict[Path, Span] = {}
        self.keys: dict[Path, Span] = {}
        self.lengths: dict[Path, int] = {}
        self.kinds: dict[Path, str] = {}
        self.headers: list[tuple[Span, Path]] = []
        self.pairs: list[Pair] = []
        self.open: list[tuple[str, int]] = []
        self.begin = 0
        self.equals: int | None = None
        self.before: Span | None = None

    def stop(self, at: int, words: str, *, twice: bool = False) -> Stop:
        return Stop(at, words, tuple(self.open), self.begin, self.equals, self.before, twice)

    def document(self) -> None:
        text, at = self.text, 0
        path: Path = ()
        control = _CONTROL.search(text)
        if control is not None:
            self.begin = text.rfind("\n", 0, control.start()) + 1
            raise self.stop(control.start(), "a character that cannot be seen")
        while True:
            at = _end(_BLANK, text, at)
            if at >= len(text):
                return
            self.begin, self.equals, self.before = text.rfind("\n", 0, at) + 1, None, None
            if text.startswith("[[", at):
                at, path = self.header(at, 2)
            elif text[at] == "[":
                at, path = self.header(at, 1)
            elif _KEY.match(text, at) is None:
                raise self.stop(at, "cannot read this line")
            else:
                at = self.pair(at, path)
            at = _end(_INLINE_BLANK, text, at)
            if text[at : at + 1] not in ("", "\n", "#"):
                raise self.stop(at, "cannot read the rest of this line")

    def header(self, start: int, brackets: int) -> tuple[int, Path]:
        self.open = [("[", start + number) for number in range(brackets)]
        names, spans, at = self.key(start + brackets)
        if not self.text.startswith("]" * brackets, at):
            raise self.stop(at, "a header is not closed")
        self.open = []
        path: Path = ()
        end = at + brackets
        for name, span in zip(names[:-1], spans, strict=False):
            path = (*path, name)
            self.check(path, ("value",), end)
            self.kinds.setdefault(path, "implied")
            if path in self.lengths:
                path = (*path, self.lengths[path] - 1)
            self.keys.setdefault(path, span)
            self.values.setdefault(path, (start, end))
        path = (*path, names[-1])
        wrong = ("value", "dotted", "table", "list" if brackets == 1 else "implied")
        self.check(path, wrong, end)
        self.keys.setdefault(path, spans[-1])
        self.kinds[path] = "table" if brackets == 1 else "list"
        if brackets == 2:
            self.values.setdefault(path, (start, end))
            index = self.lengths.get(path, 0)
            self.lengths[path] = index + 1
            path = (*path, index)
            self.keys[path] = spans[-1]
        self.values[path] = (start, end)
        self.headers.append(((start, end), path))
        return end, path

    def check(self, path: Path, wrong: tuple[str, ...], at: int) -> None:
        """Refuse a name that stands for something else already."""
        if self.kinds.get(path) in wrong:
            raise self.stop(at, "given twice", twice=True)

    def pair(self, start: int, table: Path) -> int:
        names, spans, at = self.key(start)
        if not self.text.startswith("=", at):
            raise self.stop(at, "`=` is missing after the key")
        path = table
        for name, span in zip(names, spans, strict=True):
            path = (*path, name)
            self.keys.setdefault(path, span)
            self.values.setdefault(path, span)
        begin = self.begin
        self.equals = equals = at + 1
        self.before = (at, at + 1)
        end = self.value(_end(_INLINE_BLANK, self.text, at + 1), path)
        self.begin, self.equals = begin, equals
        for length in range(len(table) + 1, len(path)):
            self.check(path[:length], ("value", "table", "list"), end)
            self.kinds.setdefault(path[:length], "dotted")
        self.check(path, ("value", "dotted", "table", "list", "implied"), end)
        self.kinds[path] = "value"
        self.pairs.append(Pair(spans[0][0], end, path, table))
        return end

    def key(self, at: int) -> tuple[list[str], list[Span], int]:
        names: list[str] = []
        spans: list[Span] = []
        while True:
            match = _KEY.match(self.text, at)
            if match is None:
                raise self.stop(_end(_INLINE_BLANK, self.text, at), "a key is missing")
            raw = match[1]
            if "\\" in raw:
                self.escapes(raw, match.start(1))
            names.append(_unquoted(raw) if raw[0] in "\"'" else raw)
            spans.append(match.span(1))
            self.before = match.span(1)
            at = match.end()
            if not self.text.startswith(".", at):
                return names, spans, at
            at += 1

    def value(self, start: int, path: Path) -> int:
        first = self.text[start : start + 1]
        if first == "[":
            end = self.items(start, path)
        elif first == "{":
            end = self.table(start, path)
        elif first in ("'", '"'):
            match = _STRING.match(self.text, start)
            if match is None:
                raise self.stop(start, "a quote is not closed")
            end = match.end()
            if first == '"' and "\\" in match[0]:
                self.escapes(match[0], start)
        else:
            end = self.bare(start)
        self.values[path] = self.before = (start, end)
        return end

    def bare(self, start: int) -> int:
        match = _BARE.match(self.text, start)
        if match is None or not _is_day(match[1]):
            raise self.stop(start, "cannot read this value")
        if match[2] is not None and len(match[2]) > _MOST_DIGITS and match[2].isdigit():
            raise self.stop(start, "a number with too many digits")
        return match.end()

    def escapes(self, raw: str, start: int) -> None:
        """Refuse a backslash that means nothing."""
        for found in _ESCAPE.finditer(raw):
            sign = found[1]
            number = int(sign[1:], 16) if sign[0] in "uU" and len(sign) > 1 else None
            fine = sign in ("b", "t", "n", "f", "r", '"', "\\") or sign.endswith("\n")
            if number is not None:
                fine = number < 0xD800 or 0xE000 <= number < 0x110000
            if not fine or (sign.endswith("\n") and not raw.startswith('"""')):
                raise self.stop(start + found.start(), "a backslash in a text")

    def nest(self, bracket: str, start: int) -> None:
        self.open.append((bracket, start))
        self.begin, self.equals, self.before = start + 1, None, (start, start + 1)
        if len(self.open) > _DEEPEST:
            raise RecursionError

    def comma(self, at: int) -> int:
        self.begin, self.equals, self.before = at + 1, None, (at, at + 1)
        return at + 1

    def items(self, start: int, path: Path) -> int:
        text, at, index = self.text, start + 1, 0
        self.nest("[", start)
        while True:
            at = _end(_BLANK, text, at)
            if text.startswith("]", at):
                self.open.pop()
                return at + 1
            at = _end(_BLANK, text, self.value(at, (*path, index)))
            index += 1
            if text.startswith(",", at):
                at = self.comma(at)
            elif not text.startswith("]", at):
                raise self.stop(at, "a list is not closed")

    def table(self, start: int, path: Path) -> int:
        text = self.text
        self.nest("{", start)
        at = _end(_INLINE_BLANK, text, start + 1)
        while not text.startswith("}", at):
            at = _end(_INLINE_BLANK, text, self.pair(at, path))
            if text.startswith(",", at):
                at = _end(_INLINE_BLANK, text, self.comma(at))
                if text.startswith("}", at):
                    raise self.stop(at, "a key is missing")
            elif not text.startswith("}", at):
                raise self.stop(at, "a table in braces is not closed")
        self.open.pop()
        return at + 1


def _is_day(text: str | None) -> bool:
    try:
        return text is None or bool(date.fromisoformat(text))
    except ValueError:
        return False


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    assert match is not None
    return match.end()


def _unquoted(raw: str) -> str:
    if "\\" not in raw or raw[0] == "'":
        return raw[1:-1]
    return str(tomllib.loads(f"key = {raw}")["key"])
