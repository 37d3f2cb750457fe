"""The CSV lists beside the plan, as the page shows and changes them.

A list that was not edited here is followed: what a spreadsheet writes into it is read anew. One
that was edited is kept as the plan is: its text lies on the desk, what others write is noticed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

from attrs import define, field

from rootroom.page.keeping import MOST_BYTES, Kept, Work
from rootroom.plan.tables.csv_sheet import SheetPlaces, lies_beside
from rootroom.plan.tables.csv_splicing import ListText, read_list_text
from rootroom.plan.tables.plants import known_columns
from rootroom.plan.tables.rows import WORKBOOK_ENDINGS
from rootroom.plan.toml.source import check_file, decode
from rootroom.plan.toml.splicing import Path
from rootroom.problems import Problem, TextError

MOST_SHOWN = 400
"""Rows of one list that are shown: each has a field for every column."""
_NOT_USUAL = ("rows", "name", "count", "now")


@define
class Lists:
    """The files of lists that the plan names, by the names that it gives them."""

    folder: FilePath
    kept: dict[str, Kept] = field(factory=dict)
    refused: dict[str, str] = field(factory=dict)

    def find(self, data: Mapping[str, Any]) -> None:
        """Read the lists that a plan names and that were not read before."""
        self.refused = {}
        for name in dict.fromkeys(name for _, name in entries(data)):
            if name not in self.kept:
                found = self._open(name)
                if isinstance(found, Kept):
                    self.kept[name] = found
                else:
                    self.refused[name] = found

    def _open(self, name: str) -> Kept | str:
        """Return a list's file, or in words why its rows are not shown."""
        if not lies_beside(name):
            return ""
        path = self.folder / name
        if path.suffix.casefold() in WORKBOOK_ENDINGS:
            return (
                f"The rows of {name} are in the answers, and are not changed here: for that, save "
                "the sheet as CSV UTF-8 beside the plan, and write that file's name at More, rows."
            )
        problem = check_file(path, MOST_BYTES, "a list for the page")
        if problem is not None:
            return (
                f"{name} is longer than a page shows: change it in a spreadsheet, the answers here "
                "follow it."
                if problem.code == "file-too-large"
                else ""
            )
        kept = Kept.read(path)
        found = decode(path, kept.content)
        if isinstance(found, Problem):
            return f"The rows of {name} cannot be shown: {found.message}. {found.hint}"
        return kept

    def text(self, name: str, work: Work) -> str:
        """Return what a list says now; TextError for one that is not changed here."""
        if name in work.lists:
            return work.lists[name]
        if name not in self.kept:
            raise TextError("this list is not changed here", code="unknown-act")
        return self.kept[name].content.decode()

    def texts(self, data: Mapping[str, Any], work: Work) -> dict[str, str]:
        """Return the texts of all lists that a plan names and that can be shown."""
        names = dict.fromkeys(name for _, name in entries(data))
        return {name: self.text(name, work) for name in names if name in self.kept}

    def follow(self, work: Work) -> list[str]:
        """Let lists that others wrote into, and nobody here, be read anew; return their names."""
        names = [
            name
            for name, kept in self.kept.items()
            if name not in work.lists and kept.changed_elsewhere() is not None
        ]
        for name in names:
            del self.kept[name]
        return names

    def edited(self, work: Work) -> Iterator[tuple[Kept, bytes]]:
        """Yield the file of each list that was edited here, with what is to stand in it."""
        for name, text in work.lists.items():
            yield self.kept[name], text.encode()

    def shown(self, data: Mapping[str, Any], work: Work) -> dict[str, ListText | str]:
        """Return each list taken apart, or in words why its rows are not shown."""
        found: dict[str, ListText | str] = dict(self.refused)
        for name, text in self.texts(data, work).items():
            try:
                found[name] = read_list_text(text)
            except TextError as error:
                found[name] = f"The rows of {name} cannot be shown: {error.message}. {error.hint}"
        return found


def entries(data: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    """Yield the path of each entry of the plants that has a list, with the list's name."""
    rows = data.get("plants", [])
    for number, row in enumerate(rows if isinstance(rows, list) else []):
        if isinstance(row, dict) and isinstance(row.get("rows"), str):
            yield ("plants", number), row["rows"]


def list_lines(
    path: Path, name: str, found: ListText | str, cells: Mapping[str, str | None]
) -> Iterator[dict[str, Any]]:
    """Yield the lines below an entry with a list: its rows, one for a row more, and what is said.

    `cells` are those of the entry, which hold for all rows that say nothing else.
    """
    below = (*path, "rows")
    if isinstance(found, str):
        if found:
            yield {"path": (*below, "told"), "cells": {}, "below": "told", "words": found}
        return
    usual = {key: value for key, value in cells.items() if value and key not in _NOT_USUAL}
    known = [column for column in found.columns if column in known_columns()]
    numbers = [n for n, row in enumerate(found.rows, 1) if n > 1 and not row.empty]
    for number in numbers[:MOST_SHOWN]:
        yield {
            "path": (*below, number),
            "cells": {column: found.cell(number, column).strip() for column in known},
            "below": "listed",
            "of": name,
            "usual": usual,
        }
    if len(numbers) > MOST_SHOWN:
        words = (
            f"These are {MOST_SHOWN} rows of {len(numbers):,} in {name}: change the others in a "
            "spreadsheet, the answers here follow it."
        )
        yield {"path": (*below, "told"), "cells": {}, "below": "told", "words": words}
    yield {"path": (*below, "more"), "cells": {}, "below": "new listed", "of": name}


def path_in_list(found: ListText, file: str, problem: Problem) -> tuple[int | str, ...]:
    """Return row and column that a problem of a list stands at, the row alone, or nothing."""
    for number, row in enumerate(found.rows, 1):
        if row.line <= problem.where.line and number > 1:
            after = found.rows[number].line if number < len(found.rows) else problem.where.line + 1
            if problem.where.line < after:
                places = SheetPlaces(
                    file, list(found.columns), found.delimiter, {number: (row.line, row.values)}
                )
                columns = (c for c in found.columns if places.where(number, c) == problem.where)
                return (number, *list(columns)[:1])
    return ()
