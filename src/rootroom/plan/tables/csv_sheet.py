"""A spreadsheet's rows and cells: where they stand, which is which, what a cell's text means."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from operator import itemgetter
from typing import Any

from attrs import define, field, frozen

from rootroom.plan.marks import MARK_KEYS
from rootroom.problems import Location, TextError

_WHOLE = ("count", "per_pot", "into", "people")
_FLAGS = ("tender", "big_step")
_YES, _NO = ("true", "yes", "x", "1"), ("false", "no", "0")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")


def plain_breaks(text: str) -> str:
    """Return a text with every kind of line break as one newline."""
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


@define
class SheetPlaces:
    """The rows that something was said about, and where their cells stand."""

    file: str
    columns: list[str] = field(factory=list)
    delimiter: str = ","
    rows: dict[int, tuple[int, list[str]]] = field(factory=dict)

    def where(self, row: int, column: str | None) -> Location | None:
        """Return the place of a row or of its cell; None for a cell that is not there."""
        line, cells = self.rows[row]
        texts = [self._written(cell) for cell in cells]
        if column is None:
            width = len(self.delimiter.join(texts).split("\n")[0])
            return Location(self.file, line, 1, max(width, 1) + 1)
        if column not in self.columns:
            return None
        index = self.columns.index(column)
        if index >= len(cells) or not cells[index].strip():
            return None
        before = "".join(text + self.delimiter for text in texts[:index])
        start = len(before) - before.rfind("\n")
        width = len(texts[index].split("\n")[0])
        return Location(self.file, line + before.count("\n"), start, start + width)

    def line(self, row: int) -> str:
        """Return the text of a row, as a spreadsheet would write it."""
        text = self.delimiter.join(self._written(cell) for cell in self.rows[row][1])
        text = text.split("\n")[0]
        return text.encode("utf-8", "replace").decode("utf-8")

    def _written(self, cell: str) -> str:
        """Return a cell as it may stand in the file, never longer than it does stand there."""
        cell = plain_breaks(cell)
        if self.delimiter in cell or "\n" in cell or cell.startswith('"'):
            return '"' + cell.replace('"', '""') + '"'
        return cell


@frozen
class Row:
    """One row: its number in the spreadsheet, its line in the file, its cells."""

    number: int
    line: int
    cells: list[str]


@frozen
class Columns:
    """Which cell of a row is which; `rest` is all that makes its kind."""

    width: int
    name: Callable[[list[str]], str]
    count: Callable[[list[str]], str]
    now: Callable[[list[str]], str] | None
    rest: Callable[[list[str]], Any]

    @classmethod
    def of(cls, columns: list[str]) -> Columns:
        """Return what the names of the columns say."""
        no_kind = ("name", "count", *MARK_KEYS)
        others = [i for i, column in enumerate(columns) if column not in no_kind]
        return cls(
            width=len(columns),
            name=itemgetter(columns.index("name")),
            count=itemgetter(columns.index("count")),
            now=itemgetter(columns.index("now")) if "now" in columns else None,
            rest=itemgetter(*others) if others else lambda cells: (),
        )


def cell_value(column: str, text: str) -> Any:
    """Return a cell as the plan file's value."""
    if column in _WHOLE:
        return int(text.split(".")[0]) if re.fullmatch(r"[0-9]{1,12}(\.0+)?", text) else text
    if column in _FLAGS:
        if text.casefold() in _YES:
            return True
        return False if text.casefold() in _NO else text
    if column in ("from", "by") and _ISO.fullmatch(text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise TextError(f"no such date: `{text}`", code="bad-date") from None
    if column == "sorts":
        return {sort: cell_value("count", many) for sort, many in _pairs(text, _SORTS).items()}
    return _pairs(text, _ADDITIONS) if column == "add" else text


_ADDITIONS = TextError(
    "an addition needs its amount",
    code="bad-addition",
    hint="write it as `tomato feed = 2 tbsp; lime = 1 tsp`",
)
_SORTS = TextError(
    "a sort needs its count",
    code="bad-count",
    hint="write it as `Early black = 6; Old gold = 12`",
)


def _pairs(text: str, wrong: TextError) -> dict[str, str]:
    """Return `tomato feed = 2 tbsp; lime = 1 tsp` as a table."""
    found: dict[str, str] = {}
    for piece in text.split(";"):
        name, equals, amount = piece.partition("=")
        if not equals:
            message = f"{wrong.message}: `{piece.strip()[:40]}`"
            raise TextError(message, code=wrong.code, hint=wrong.hint)
        found[name.strip()] = amount.strip()
    return found
