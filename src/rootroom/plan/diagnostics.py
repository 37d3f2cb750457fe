"""The mistakes found in one plan, gathered by the path of the value that is wrong.

A path is the way to a value: `("plants", 3, "moves", 0, "mix")`; a row of a spreadsheet is
`("plants", 3, "rows", 12, "now")`, with the row's number as the spreadsheet counts it.
A check names the path and the words; the place in the file is looked up here, so that no check
knows about lines. `seen` tells whether a value was already reported: what follows from a mistake
is not reported beside it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from attrs import define, evolve, field

from rootroom.plan.toml.spans import Places
from rootroom.problems import Location, Problem, Severity, TextError

Path = tuple[str | int, ...]


class Sheet(Protocol):
    """A spreadsheet's rows beside the plan: places by row number and column."""

    def where(self, row: int, column: str | None) -> Location | None:
        """Return the place of a row or of its cell; None for a cell that is not there."""
        ...

    def line(self, row: int) -> str:
        """Return the text of a row."""
        ...

    def called(self, row: int, column: str | None) -> str:
        """Return how a row or its cell is called in a message."""
        ...


MOST_MISTAKES = 150
"""More mistakes than anybody mends before reading the plan again."""

TOO_MANY = "too-many-mistakes"


class TooManyMistakes(Exception):
    """Ends the reading of a plan that is wrong all over; the findings keep what was found."""


@define
class Findings:
    """Collects problems of the file `places.file`, and of lists beside it, in any order."""

    places: Places
    problems: list[Problem] = field(factory=list)
    sheets: dict[Path, Sheet] = field(factory=dict)
    _noted: set[Problem] = field(factory=set)
    _seen: set[Path] = field(factory=set)
    _errors: int = 0

    def error(
        self,
        path: Path,
        code: str,
        message: str,
        *,
        hint: str = "",
        key: bool = False,
        related: Iterable[tuple[Path, str]] = (),
    ) -> None:
        """Note an error at the value of `path`, or at its key."""
        self.suppress(path)
        self._add(path, "error", code, message, hint, key, related)

    def warning(
        self, path: Path, code: str, message: str, *, hint: str = "", key: bool = False
    ) -> None:
        """Note a warning at the value of `path`, or at its key."""
        self._add(path, "warning", code, message, hint, key, ())

    def warn_at(self, where: Location, code: str, message: str, hint: str = "") -> None:
        """Note a warning at a place that is known already."""
        line = self.places.line(where.line) if where.file == self.places.file else ""
        self.problems.append(Problem(code, "warning", where, message, hint, (), line))

    def error_at(
        self,
        where: Location,
        code: str,
        message: str,
        *,
        hint: str = "",
        related: tuple[tuple[Location, str], ...] = (),
    ) -> None:
        """Note an error at a place that is known already."""
        line = self.places.line(where.line) if where.file == self.places.file else ""
        self._keep(Problem(code, "error", where, message, hint, related, line))

    def refuse(self, path: Path, error: TextError, *, key: bool = False) -> None:
        """Note what a small parser said about the text at `path`."""
        self.error(path, error.code, error.message, hint=error.hint, key=key)

    def missing(self, path: Path, key: str, message: str, hint: str) -> None:
        """Note that the table at `path` lacks a key, unless what stands there was reported."""
        if not self.seen((*path, key)):
            self.error(path, "missing-key", message, hint=hint)

    def suppress(self, path: Path) -> None:
        """Count the value at `path` as reported, so that nothing that follows from it is."""
        self._seen.update(path[:length] for length in range(1, len(path) + 1))

    @property
    def wrong(self) -> bool:
        """Whether an error was noted so far, so that what was read may lack something."""
        return self._errors > 0

    def seen(self, path: Path) -> bool:
        """Return whether an error was noted at `path` or inside it."""
        return path in self._seen

    def where(self, path: Path, *, key: bool = False) -> Location:
        """Return the place of the value at `path`, or of its key."""
        cell = self._cell(path)
        if cell is not None:
            return cell[0]
        path = self._plan_path(path)
        return self.places.key(path) if key else self.places.value(path)

    def _cell(self, path: Path) -> tuple[Location, str, str] | None:
        """Return place, text and name of a row or of its cell."""
        sheet = self.sheets.get(path[:3])
        if sheet is None or len(path) < 4:
            return None
        row, column = int(path[3]), str(path[4]) if len(path) > 4 else None
        where = sheet.where(row, column)
        if where is None:
            return None
        return where, sheet.line(row), sheet.called(row, column)

    def _plan_path(self, path: Path) -> Path:
        """Return the path in the plan file of what a row has from there."""
        return (*path[:2], *path[4:]) if path[:3] in self.sheets and len(path) > 3 else path

    def _add(
        self,
        path: Path,
        severity: Severity,
        code: str,
        message: str,
        hint: str,
        key: bool,
        related: Iterable[tuple[Path, str]],
    ) -> None:
        others = tuple((self.where(other), words) for other, words in related)
        cell = self._cell(path)
        if cell is not None:
            where, line, name = cell
            message = f"{name}: {message}"
        else:
            where = self.where(path, key=key)
            line = self.places.line(where.line)
        problem = Problem(code, severity, where, message, hint, others, line)
        # What many rows have from the plan file is wrong once, not once a row.
        if problem not in self._noted:
            self._noted.add(problem)
            self._keep(problem)

    def _keep(self, problem: Problem) -> None:
        """Keep a problem; raises TooManyMistakes where a reader would not get to the last one."""
        self.problems.append(problem)
        self._errors += problem.severity == "error"
        if self._errors >= MOST_MISTAKES:
            message = f"{MOST_MISTAKES} mistakes, the rest of the plan was not read"
            hint = "mend these first; one slip may be behind many of them"
            last = evolve(problem, code=TOO_MANY, message=message, hint=hint, related=())
            self.problems.append(last)
            raise TooManyMistakes
