"""The mistakes found in one plan, gathered by the path of the value that is wrong.

A path is the way to a value: `("plants", 3, "moves", 0, "mix")`.
A check names the path and the words; the place in the file is looked up here, so that no check
knows about lines. `seen` tells whether a value was already reported: what follows from a mistake
is not reported beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from attrs import define, field

from rootroom.plan.places import Places
from rootroom.problems import Location, Problem, Severity, TextError

__all__ = ["Findings", "Path"]

Path = tuple[str | int, ...]


@define
class Findings:
    """Collects problems of the file `places.file`, and of further files, in any order."""

    places: Places
    problems: list[Problem] = field(factory=list)
    _seen: set[Path] = field(factory=set)

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
        self._seen.add(path)
        self._add(path, "error", code, message, hint, key, related)

    def warning(
        self, path: Path, code: str, message: str, *, hint: str = "", key: bool = False
    ) -> None:
        """Note a warning at the value of `path`, or at its key."""
        self._add(path, "warning", code, message, hint, key, ())

    def refuse(self, path: Path, error: TextError, *, key: bool = False) -> None:
        """Note what a small parser said about the text at `path`."""
        self.error(path, error.code, error.message, hint=error.hint, key=key)

    def seen(self, path: Path) -> bool:
        """Return whether an error was noted at `path` or inside it."""
        return path in self._seen or any(seen[: len(path)] == path for seen in self._seen)

    def where(self, path: Path, *, key: bool = False) -> Location:
        """Return the place of the value at `path`, or of its key."""
        return self.places.key(path) if key else self.places.value(path)

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
        where = self.where(path, key=key)
        others = tuple((self.where(other), words) for other, words in related)
        line = self.places.line(where.line)
        self.problems.append(Problem(code, severity, where, message, hint, others, line))

    def warn_at(self, where: Location, code: str, message: str, hint: str = "") -> None:
        """Note a warning at a place that is known already."""
        line = self.places.line(where.line) if where.file == self.places.file else ""
        self.problems.append(Problem(code, "warning", where, message, hint, (), line))
