"""A spreadsheet's rows and cells: where they stand, which is which, what a cell's text means."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from io import StringIO
from operator import itemgetter
from pathlib import Path as FilePath
from typing import Any, TextIO

from attrs import define, field, frozen

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.entries import MARK_KEYS
from rootroom.plan.names import closest
from rootroom.plan.tables.plants import known_columns
from rootroom.plan.toml.source import check_file
from rootroom.problems import Location, TextError

MOST_CSV_BYTES = 1_000_000_000
"""Some twenty million rows: a larger file is no list of plants."""

_LONGEST_ROW = 4_000_000
"""Characters of a row, so that a file without line ends is not read into memory as one."""

MOST_COLUMNS = 500
"""More columns than a list of plants has a use for, and all of them may be read as text."""

_WHOLE = ("count", "per_pot", "into", "people")
_FLAGS = ("tender", "big_step")
_YES, _NO = ("true", "yes", "x", "1"), ("false", "no", "0")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")


def lies_beside(name: str) -> bool:
    """Whether a list of this name is beside the plan, or in a folder there."""
    return not (FilePath(name).is_absolute() or ".." in FilePath(name).parts or "\\" in name)


def file_beside(
    name: str, path: Path, folder: FilePath, findings: Findings, *, there: bool
) -> FilePath | None:
    """Return the spreadsheet of a name; None where it lies elsewhere, or is not `there`."""
    if not lies_beside(name):
        slashed = name.replace("\\", "/")
        hint = (
            f'a folder\'s name ends in `/`: `rows = "{slashed}"`'
            if lies_beside(slashed) and ":" not in slashed
            else "copy it beside the plan, or into a folder there, and write "
            f'`rows = "{slashed.rpartition("/")[2]}"`'
        )
        findings.error(
            (*path, "rows"),
            "rows-elsewhere",
            f"the list of plants lies beside the plan: `{name}`",
            hint=hint,
        )
        return None
    file = folder / name
    problem = check_file(file, MOST_CSV_BYTES, "a list of plants") if there else None
    if problem is not None:
        findings.error(
            (*path, "rows"), problem.code, f"{problem.message}: `{name}`", hint=problem.hint
        )
        return None
    return file


def opened(file: FilePath, written: str | None) -> TextIO:
    """Return the lines of a list: of its file, or as it is being written."""
    if written is not None:
        return StringIO(written.removeprefix("\ufeff"), newline="")
    return file.open(encoding="utf-8-sig", errors="surrogateescape", newline="")


def whole_lines(lines: TextIO) -> Iterator[str]:
    """Yield the lines; one longer than any row raises csv.Error, before it fills the memory."""
    while line := lines.readline(_LONGEST_ROW):
        if len(line) == _LONGEST_ROW and line[-1] not in "\r\n":
            raise csv.Error(f"field larger than {_LONGEST_ROW}")
        yield line


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

    def called(self, row: int, column: str | None) -> str:
        """Return how a row or its cell is called in a message."""
        return f"row {row}" + ("" if column is None else f", column `{column}`")

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


def check_thousands(text: str) -> None:
    """Raise TextError for `1.000` or `1,000`, which may mean thousands or decimals."""
    found = re.fullmatch(r"([0-9]{1,3})[.,]([0-9]{3})", text)
    if found is not None:
        whole, joined = int(found[1]), int(found[1] + found[2])
        raise TextError(
            f"may be {joined} or {whole}: `{text}`",
            code="ambiguous-number",
            hint=f"write `{joined}` or `{whole}`",
        )


def cell_value(column: str, text: str) -> Any:
    """Return a cell as the plan file's value."""
    if column in _WHOLE:
        check_thousands(text)
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


def delimiter_of(head: str) -> str:
    """Return what parts the columns, by the line of their names."""
    return max(",;|", key=head.count)


def column_names(names: Sequence[str]) -> list[str]:
    """Return the names of columns as the plan's keys are written."""
    return [re.sub(r"[\s_]+", "_", name.strip().casefold()) for name in names]


def read_head(head: str, path: Path, places: SheetPlaces, findings: Findings) -> bool:
    """Take the names of the columns into `places`; False where no row could be understood."""
    known, delimiter = known_columns(), places.delimiter
    if head.count(delimiter) >= MOST_COLUMNS:
        places.rows[1] = (1, [])
        findings.error(
            path,
            "too-many-columns",
            f"a list of plants has at most {MOST_COLUMNS} columns, "
            f"this one {head.count(delimiter) + 1:,}",
            hint=_head_hint(known),
        )
        return False
    try:
        names = next(csv.reader([head], delimiter=delimiter), [])
    except csv.Error as error:
        note_broken(error, path, 1, places, findings)
        return False
    places.rows[1] = (1, names)
    columns = column_names(names)
    places.columns = names
    if not head.strip():
        findings.error(path, "empty-file", "the list of plants is empty", hint=_head_hint(known))
        return False
    if "\t" in head and len(names) == 1:
        findings.error(
            path,
            "wrong-separator",
            "the columns are parted by tabs",
            hint="save the list with commas, semicolons or `|` (CSV)",
        )
        return False
    if any("\udc80" <= c <= "\udcff" for c in head):
        note_not_utf8(path, findings)
        return False
    fine = _check_columns(path, names, columns, findings)
    places.columns = columns
    return fine


def _check_columns(path: Path, names: list[str], columns: list[str], findings: Findings) -> bool:
    """Note columns that are unknown, given twice or missing."""
    known = known_columns()
    fine = True
    for index, (name, column) in enumerate(zip(names, columns, strict=True)):
        near = None if not column or column in known else closest(column, known)
        if column and column in columns[:index]:
            message, code, hint = "the second column of this name", "column-twice", ""
        elif near is not None:
            message, code, hint = "unknown column", "unknown-column", f"did you mean `{near}`?"
        else:
            if column and column not in known:
                words = "an unknown column is left out"
                hint = _head_hint(known)
                findings.warning((*path, name), "unknown-column", words, hint=hint)
            continue
        findings.error((*path, name), code, message, hint=hint)
        fine = False
    for column in ("name", "count"):
        if column not in columns and fine:
            message = f"a column is missing: `{column}`"
            findings.error(path, "missing-column", message, hint=_head_hint(known))
            fine = False
    return fine


def note_broken(
    error: csv.Error, path: Path, line: int, places: SheetPlaces, findings: Findings
) -> None:
    """Note a row that cannot be taken apart."""
    places.rows[int(path[-1])] = (line, [])
    if str(error).startswith("field larger"):
        findings.error(
            path,
            "text-too-long",
            f"a cell or row of more than {str(error).split()[-1].strip('()')} characters",
            hint="a quote that opens a cell and never closes takes in all that follows it",
        )
        return
    findings.error(
        path,
        "bad-row",
        f"cannot read the row: {error}",
        hint="a cell with a quote in it stands in quotes, and that quote is written twice",
    )


def note_not_utf8(path: Path, findings: Findings) -> None:
    """Note a row in another encoding."""
    findings.error(path, "not-utf-8", "this is not UTF-8 text", hint="save the list as `CSV UTF-8`")


def _head_hint(known: tuple[str, ...]) -> str:
    return "columns are " + ", ".join(known)
