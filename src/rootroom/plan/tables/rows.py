"""Plants from a spreadsheet or its CSV: read in a stream, each kind of row understood once.

Rows that differ in name and count alone share one kind, so a list of a hundred thousand costs a
look-up a row. Comma, semicolon or `|`, UTF-8 with or without mark; a row with an empty `now` is the
next move of the row above; rows are numbered as a spreadsheet does, the head being row 1.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from itertools import islice
from pathlib import Path as FilePath
from typing import Any

from attrs import define, field

from rootroom.plan.diagnostics import Path
from rootroom.plan.entries import MARK_KEYS, NO_MARKS, Marks
from rootroom.plan.names import LONGEST, PLACES, check_name, meant, shown, tidy
from rootroom.plan.structure import key_of, structure
from rootroom.plan.tables.csv_sheet import (
    Columns,
    Row,
    SheetPlaces,
    cell_value,
    check_thousands,
    delimiter_of,
    file_beside,
    note_broken,
    note_not_utf8,
    opened,
    plain_breaks,
    read_head,
    whole_lines,
)
from rootroom.plan.tables.plant_table import MOVE_KEYS, MoveTable, PlantTable, read_marks
from rootroom.plan.tables.plants import RosterBuilder, known_columns, moves_of, read_kind
from rootroom.plan.toml.source import file_problem, reason
from rootroom.plan.values import MOST
from rootroom.problems import TextError
from rootroom.visible import printable

WORKBOOK_ENDINGS = (".xlsx", ".xlsm", ".xlsb", ".ods", ".xls")
_MOST_MISTAKES = 100
"""More mistakes than anybody mends before reading the rows again."""

_BATCH = 256
_NO_KIND = ("name", "count", *MARK_KEYS)


def read_rows(
    table: PlantTable, raw: Mapping[str, Any], path: Path, folder: FilePath, builder: RosterBuilder
) -> None:
    """Add the plants of the entry's spreadsheet to the builder; mistakes are noted."""
    findings = builder.context.findings
    written = builder.context.lists.get(str(table.rows))
    file = file_beside(str(table.rows), path, folder, findings, there=written is None)
    if file is None:
        return
    for key in ("name", "count", "sorts"):
        if key in raw:
            findings.error(
                (*path, key),
                "rows-and-key",
                f"`{key}` comes from the rows: `{table.rows}`",
                hint="leave it out here",
                key=True,
            )
    defaults = {
        key: value
        for key, value in raw.items()
        if key not in ("rows", "name", "count", "sorts") and not findings.seen((*path, key))
    }
    if file.suffix.casefold() in WORKBOOK_ENDINGS:
        from rootroom.plan.lists.as_rows import workbook_rows

        names = (*builder.context.container_names, *builder.context.bed_names)
        found = workbook_rows(file, tuple(defaults), names)
        findings.problems += found.problems
        if found.places is not None:
            _Reading(found.places, path, defaults, table, builder).read(iter(found.lines))
        return
    try:
        with opened(file, written) as lines:
            places = SheetPlaces(str(file))
            _Reading(places, path, defaults, table, builder).read(whole_lines(lines))
    except OSError as error:
        problem = file_problem(file, "unreadable-file", f"cannot read the file: {reason(error)}")
        findings.problems.append(problem)


@define
class _Reading:
    """One pass over one spreadsheet."""

    places: SheetPlaces
    path: Path
    defaults: dict[str, Any]
    table: PlantTable
    builder: RosterBuilder
    kinds: dict[Any, int] = field(factory=dict)
    counts: dict[str, int] = field(factory=dict)
    chain: list[Row] = field(factory=list)
    noted: int = 0
    counted: bool = False
    marked: bool = False
    marks: dict[tuple[str, ...], Marks] = field(factory=dict)

    def read(self, lines: Iterator[str]) -> None:
        """Read the head and all rows."""
        self.builder.context.findings.sheets[(*self.path, "rows")] = self.places
        self.noted = len(self._findings.problems)
        self.marked = any(key in self.defaults for key in MARK_KEYS)
        self.counted = any(move is not None and move.count for move in self.table.moves or ())
        try:
            head = next(lines, "")
        except csv.Error as error:
            self._broken(error, 1, 1)
            return
        skipped = 1
        if head.strip().lower().startswith("sep="):
            head = next(lines, "")
            skipped = 2
        head = head.lstrip("\ufeff")
        delimiter = delimiter_of(head)
        self.places.delimiter = delimiter
        if not read_head(head, (*self.path, "rows", 1), self.places, self._findings):
            return
        self.marked = self.marked or any(key in self.places.columns for key in MARK_KEYS)
        self._rows(csv.reader(lines, delimiter=delimiter, strict=True), skipped)

    @property
    def _findings(self) -> Any:
        return self.builder.context.findings

    def _rows(self, reader: Any, skipped: int) -> None:
        """Read all rows, a batch at a time: what was met before is looked up for a whole batch."""
        pick = Columns.of(self.places.columns)
        number, line = 2, skipped + 1
        while True:
            rows: list[list[str]] = []
            broken = None
            try:
                rows.extend(islice(reader, _BATCH))
            except csv.Error as error:
                broken = error
            if not rows and broken is None:
                break
            begins = line + sum(_lines_of(cells) for cells in rows) if broken else line
            if not rows or self.marked or not self._look_up(rows, pick, number, line):
                for offset, cells in enumerate(rows):
                    self._row(cells, pick, number + offset, line)
                    line += _lines_of(cells)
                    if self._too_many(number + offset):
                        return
            number += len(rows)
            line = reader.line_num + skipped + 1
            if broken is not None:
                self._broken(broken, number, begins)
                number += 1
        self._flush(pick)

    def _broken(self, error: csv.Error, number: int, line: int) -> None:
        note_broken(error, (*self.path, "rows", number), line, self.places, self._findings)

    def _look_up(self, rows: list[list[str]], pick: Columns, number: int, line: int) -> bool:
        """Add a batch whose kinds and counts are all known; False if it needs a closer look."""
        if any(len(cells) != pick.width for cells in rows):
            return False
        found = list(map(self.kinds.get, map(pick.rest, rows)))
        if None in found or -1 in found:
            return False
        plants = list(map(self.counts.get, map(pick.count, rows)))
        names = list(map(tidy, map(pick.name, rows)))
        if None in plants or not all(names) or not printable(" ".join(names)):
            return False
        if max(map(len, names)) > LONGEST:
            return False
        self._flush(pick)
        # The next row may carry the last one's moves on, so the last one waits.
        builder = self.builder
        builder.names.extend(names[:-1])
        builder.counts.extend(plants[:-1])  # type: ignore[arg-type]
        builder.kind_of.extend(found[:-1])  # type: ignore[arg-type]
        last = len(rows) - 1
        self.chain = [Row(number + last, line + last, rows[-1])]
        return True

    def _row(self, cells: list[str], pick: Columns, number: int, line: int) -> None:
        """Take one row: as a plant that waits for its next moves, or as such a move."""
        if not any(cell.strip() for cell in cells):
            return
        if len(cells) != pick.width and not self._padded(cells, pick.width, number, line):
            return
        row = Row(number, line, cells)
        if pick.now is not None and not pick.now(cells).strip():
            self._next_move(row, pick)
        else:
            self._flush(pick)
            self.chain = [row]

    def _flush(self, pick: Columns) -> None:
        """Add the plant that waits."""
        if self.chain:
            self._add(self.chain, pick)
        self.chain = []

    def _padded(self, cells: list[str], width: int, number: int, line: int) -> bool:
        """Make a row as wide as the head if only empty cells are too many; else note it."""
        if not cells:
            return False
        if len(cells) > width and not any(cell.strip() for cell in cells[width:]):
            del cells[width:]
            return True
        self.places.rows[number] = (line, cells)
        words = "more" if len(cells) > width else "fewer"
        self._findings.error(
            (*self.path, "rows", number),
            "bad-row",
            f"{words} cells than columns: {len(cells)} of {width}",
            hint="a cell that holds the separator stands in quotes"
            if len(cells) > width
            else "the row may be broken, or saved with another separator",
        )
        return False

    def _next_move(self, row: Row, pick: Columns) -> None:
        """Take a row without `now` as the next move of the row above."""
        own = pick.name(row.cells).strip()
        if self.chain and own in ("", pick.name(self.chain[0].cells).strip()):
            self.chain.append(row)
            return
        self._keep(row)
        self._findings.error(
            (*self.path, "rows", row.number),
            "row-without-now",
            f"no `now`, and another name than the row above: `{shown(own)}`"
            if self.chain
            else "no `now`, and no row above whose next move this could be",
            hint="fill `now`; a row without it is the next move of the plant above",
        )

    def _keep(self, row: Row) -> None:
        """Remember a row that something may be said about."""
        self.places.rows[row.number] = (row.line, row.cells)

    def _too_many(self, number: int) -> bool:
        if len(self._findings.problems) - self.noted < _MOST_MISTAKES:
            return False
        self.places.rows.setdefault(number, (number, [""]))
        self._findings.error(
            (*self.path, "rows", number),
            "too-many-mistakes",
            f"{_MOST_MISTAKES} mistakes, the rows from here on were not read",
        )
        return True

    def _add(self, chain: list[Row], pick: Columns) -> None:
        """Add a plant with all its rows; its kind is read unless an equal one was."""
        head = chain[0]
        name, count = tidy(pick.name(head.cells)), pick.count(head.cells)
        key: Any = pick.rest(head.cells)
        if len(chain) > 1:
            key = (key, *((pick.rest(row.cells), pick.count(row.cells)) for row in chain[1:]))
        plants = self.counts.get(count)
        counted = self.counted or any(pick.count(row.cells).strip() for row in chain[1:])
        if counted:
            key = (key, count)
        index = self.kinds.get(key)
        path: Path = (*self.path, "rows", head.number)
        if plants is None or index is None or not _fair_name(name):
            self._keep(head)
            if any("\udc80" <= c <= "\udcff" for row in chain for cell in row.cells for c in cell):
                self._not_utf8(head.number)
                return
            plants = self._count(count, path)
            named = self._check_name(name, path)
            if index is None:
                index = self.kinds[key] = self._kind(chain, path, plants if counted else None)
            if not named:
                return
        if plants is not None and index >= 0:
            marks = self._marks(head, plants, path) if self.marked else NO_MARKS
            self.builder.add_group(name, plants, index, marks, joins=not counted)

    def _marks(self, row: Row, plants: int, path: Path) -> Marks:
        """Return the sorts, place and tag of a row, of which most lists repeat a few."""
        shown = zip(self.places.columns, row.cells, strict=True)
        key = (str(plants), *(cell for column, cell in shown if column in MARK_KEYS))
        if key not in self.marks:
            self._keep(row)
            values = {name: x for name, x in self.defaults.items() if name in MARK_KEYS}
            others = tuple(column for column in self.places.columns if column not in MARK_KEYS)
            values |= self._values(row.cells, path, skip=others)
            table = structure(PlantTable, values, path, self._findings)
            self.marks[key] = read_marks(table, plants, path, self._findings)
        return self.marks[key]

    def _count(self, text: str, path: Path) -> int | None:
        known = self.counts.get(text)
        if known is not None:
            return known
        plain = text.strip()
        try:
            check_thousands(plain)
        except TextError as error:
            self._findings.refuse((*path, "count"), error)
            return None
        number = int(plain.split(".")[0]) if re.fullmatch(r"[0-9]{1,9}(\.0+)?", plain) else 0
        if not 1 <= number <= MOST:
            self._findings.error(
                (*path, "count"),
                "bad-count",
                f"a count is a whole number from 1 to {MOST:,}: `{plain[:40]}`",
            )
            return None
        self.counts[text] = number
        return number

    def _check_name(self, name: str, path: Path) -> bool:
        if _fair_name(name):
            return True
        if not name.strip():
            hint = "write it into the column `name`, or take the row out"
            self._findings.error(path, "missing-key", "a plant needs its `name`", hint=hint)
        else:
            try:
                check_name(name, empty=False)
            except TextError as error:
                self._findings.refuse((*path, "name"), error)
        return False

    def _kind(self, chain: list[Row], path: Path, plants: int | None) -> int:
        """Return the index of the kind of a row and of those that carry its moves on."""
        findings, context = self._findings, self.builder.context
        own_values = self._values(chain[0].cells, path, skip=_NO_KIND)
        head = self._with_defaults(own_values, self.defaults)
        if not {"to", "refresh", "fill"} & head.keys():
            # What goes for all moves of the list makes none of a row that has no move.
            of_a_move = {*map(key_of, MOVE_KEYS)} - own_values.keys()
            head = {key: value for key, value in head.items() if key not in of_a_move}
        table = structure(PlantTable, head, path, findings)
        entries: list[tuple[MoveTable, Path]] = moves_of(table, path, context)
        keys = {*map(key_of, MOVE_KEYS), "count"}
        shared = {key: x for key, x in self.defaults.items() if key in keys and key != "then"}
        for row in chain[1:]:
            self._keep(row)
            where: Path = (*self.path, "rows", row.number)
            values = self._values(row.cells, where, skip=("name", *MARK_KEYS))
            own = {key: value for key, value in values.items() if key in keys}
            given = self._with_defaults(own, shared)
            entries.append((structure(MoveTable, given, where, findings), where))
        kind, notes = read_kind(table, path, context, count=plants, entries=entries)
        return self.builder.add_kind(kind, notes)

    def _with_defaults(self, own: dict[str, Any], defaults: Mapping[str, Any]) -> dict[str, Any]:
        """Return a row's values with those beside `rows`; what takes no mix does not get theirs."""
        both = {**defaults, **own}
        places = (*PLACES, *self.builder.context.bed_names)
        if "mix" not in own and meant(str(both.get("to", "")), places) is not None:
            both.pop("mix", None)
        return both

    def _values(self, cells: list[str], path: Path, skip: tuple[str, ...]) -> dict[str, Any]:
        """Return the filled cells as the values that the plan file would hold."""
        values: dict[str, Any] = {}
        for column, cell in zip(self.places.columns, cells, strict=True):
            text = cell.strip()
            if text and column in known_columns() and column not in skip:
                try:
                    values[column] = cell_value(column, text)
                except TextError as error:
                    self._findings.refuse((*path, column), error)
        return values

    def _not_utf8(self, number: int) -> None:
        note_not_utf8((*self.path, "rows", number), self._findings)
        self.noted = -_MOST_MISTAKES  # every further row would say the same


def _lines_of(cells: list[str]) -> int:
    """Return how many lines of the file a row takes."""
    return 1 + sum(plain_breaks(cell).count("\n") for cell in cells)


def _fair_name(name: str) -> bool:
    return bool(name.strip()) and printable(name) and len(name) <= LONGEST
