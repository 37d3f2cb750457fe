"""The rows below a list's heading: plants, next moves, totals and headlines, and all mistakes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import Any

from attrs import define, field

from rootroom.containers.text import is_container
from rootroom.plan.lists.grid import Cell, GridRow, Readings, cell_text
from rootroom.plan.lists.headings import Column, spoken
from rootroom.plan.lists.model import Choices, ListRead, ListRow, Unread, Value
from rootroom.plan.lists.table import ONLY_NO, ONLY_YES, base, heading_data, move_of, plain
from rootroom.plan.lists.values import (
    Said,
    is_loose,
    is_nothing,
    is_same,
    read_cell,
    says_yes,
)
from rootroom.plan.names import shown
from rootroom.plan.structure import key_of
from rootroom.plan.tables.plant_table import MOVE_KEYS
from rootroom.problems import Problem, TextError

_MOST_PROBLEMS = 100
"""More mistakes than anybody mends before reading the list again."""

_KEPT = ("name", "sort", "place")
"""Columns in which an empty cell may take what stands above it."""


_OF_A_MOVE = tuple(key_of(key) for key in MOVE_KEYS if key not in ("to", "refresh"))
_CHOOSING = (ONLY_YES, ONLY_NO)
_NUMBER = re.compile(r"[0-9]{1,3}(?:[ .,'’\u00a0][0-9]{3})+|[0-9]+")
_MERGED = TextError(
    "one count over several rows leaves open which row has how many",
    code="bad-count",
    hint="part the merged cell and write the count of each row",
)


@cache
def _totals() -> frozenset[str]:
    return frozenset(plain(word)[0] for word in heading_data()["totals"]["words"])


@define
class PlantRows:
    """One pass over the rows: it fills the list read, with one problem for mistakes alike."""

    read_list: ListRead
    choices: Choices
    orders: Mapping[str, Readings]
    above: dict[str, Value] = field(factory=dict)
    refused: dict[tuple[str, str, str], list[GridRow]] = field(factory=dict)
    errors: dict[tuple[str, str, str], tuple[TextError, Column | None]] = field(factory=dict)
    known: dict[Any, Said | TextError] = field(factory=dict)
    loose: dict[int, dict[str, str]] = field(factory=dict)
    plants: int = 0
    totalled: int = 0
    headed: int = 0

    def read(self, rows: Sequence[GridRow]) -> None:
        """Read all rows; mistakes alike are one problem with the number of their cells."""
        for row in rows:
            self._row(row)
        self._note_refused()
        for column in self.read_list.columns:
            near = self.loose.get(column.index, {})
            if near:
                pairs = [f"`{shown(text)}` as {said}" for text, said in near.items()]
                more = f" and {len(pairs) - 20} more" if len(pairs) > 20 else ""
                self.read_list.told.append(f"{column.called}: {', '.join(pairs[:20])}{more}")
        self.read_list.problems.sort(key=lambda one: one.where)

    def _row(self, row: GridRow) -> None:
        read, cells = self.read_list, {}
        for column in read.columns:
            cell = row.cell(column.index)
            if column.key and column.key not in _CHOOSING and not is_nothing(cell):
                cells[column.key] = (column, cell)
        if self._left_out(row, cells):
            return
        values: dict[str, Value] = {}
        fine = True
        for key, (column, cell) in cells.items():
            if is_same(cell) and key in self.above:
                values[key] = self.above[key]
                continue
            value = self._value(row, key, column, cell)
            if isinstance(value, TextError):
                fine = self._refuse(row, key, cell_text(cell), value, column)
            elif isinstance(value, dict):
                values.update(_of_move(value, move_of(key)))
                if "count" in value:
                    values["count"] = int(value["count"])
            elif value is not None:
                values[key] = value
        if not self._chosen(row):
            self.above = {**self.above, **values}
            read.notes.append((row, f"left out, not chosen: `{shown(_name(values))}`"))
        elif fine:
            self._complete(row, values)

    def _chosen(self, row: GridRow) -> bool:
        """Return whether the columns of ticks choose a row; an empty cell is no."""
        choosing = [column for column in self.read_list.columns if column.key in _CHOOSING]
        return all(
            says_yes(row.cell(column.index)) == (column.key == ONLY_YES) for column in choosing
        )

    def _value(self, row: GridRow, key: str, column: Column, cell: Cell) -> Said | TextError:
        """Return what a cell says; cells repeat, so a pot is read once for a list of thousands."""
        if key == "count" and column.index in row.merged:
            return _MERGED
        same = (key, type(cell), cell)
        if same not in self.known:
            try:
                readings = self.orders.get(key, self.choices.readings)
                value: Said | TextError = read_cell(key, cell, column.unit, readings)
            except TextError as error:
                value = error
            self.known[same] = value
            text = cell_text(cell)
            meant = text.casefold() in self.choices.readings.means
            if isinstance(value, dict) and "trays" in value:
                said = f"{value['trays']} trays, their plants by the cells"
                self.loose.setdefault(column.index, {})[text] = said
            elif not isinstance(value, TextError) and not meant and is_loose(key, cell):
                self.loose.setdefault(column.index, {})[text] = str(value)
        return self.known[same]

    def _left_out(self, row: GridRow, cells: Mapping[str, tuple[Column, Cell]]) -> bool:
        """Tell of a row that adds up others, and of one with a single text in it."""
        read = self.read_list
        filled = [cell for cell in row.cells if not is_nothing(cell)]
        texts = (cell for cell in filled if isinstance(cell, str) and re.search("[^\\W\\d_]", cell))
        first = next(texts, None)
        words = [] if first is None else plain(first)[0].split()
        totals = _totals()
        count = cells.get("count")
        adds_up = " ".join(words) in totals or bool({*words[:1], *words[-1:]} & totals)
        numbers = [cell for cell in filled if not isinstance(cell, str) or _NUMBER.fullmatch(cell)]
        if adds_up and ("now" not in cells or len(numbers) == len(filled) - 1):
            self._total(row, None if count is None else count[1])
            return True
        if set(cells) == {"count"} and _whole(count[1] if count else None) in self._sums():
            self._total(row, None if count is None else count[1])
            return True
        again = [one for one in read.columns if one.heading and row.cell(one.index) == one.heading]
        if len(again) > 1:
            read.notes.append((row, "left out, the heading once more"))
            return True
        if len(filled) <= 1 and not {"now", "to", "pots"} & set(cells):
            text = f"`{shown(cell_text(filled[0]))}` alone" if filled else "marks for nothing"
            read.notes.append((row, f"left out, {text}"))
            self.headed = self.plants
            return True
        return False

    def _sums(self) -> set[int]:
        """Return what a total may come to: of all plants, since the last total, of a section."""
        return {self.plants, self.plants - self.totalled, self.plants - self.headed}

    def _total(self, row: GridRow, count: Cell) -> None:
        read, said = self.read_list, _whole(count)
        words = "left out, a total"
        if said is not None:
            words += f" of {said}"
            if said not in self._sums() and not self.errors:
                words += f"; the rows above come to {self.plants - self.totalled}"
        self.totalled = self.plants
        read.notes.append((row, words))

    def _complete(self, row: GridRow, values: dict[str, Value]) -> None:
        """Add a row with what stands instead of its empty cells, or note what it lacks."""
        own = dict(values)
        for key, text in self.choices.instead.items():
            values.setdefault(key, int(text) if key == "count" else text)
        count_trays(values)
        later = take_later_moves(values)
        carries_on = "now" not in values and "to" in values and self._same_plant(values)
        if carries_on:
            values.pop("name", None)
            if "count" not in own:
                values.pop("count", None)
            self._add(row, values, later)
            return
        self._drop_stray(row, values)
        self._fill_down(row, values)
        if "name" not in values and "sort" in values:
            values["name"] = values["sort"]
        if values.get("count") == 0:
            self.read_list.notes.append((row, f"left out, none of `{shown(_name(values))}`"))
            return
        there = {*values, *self.choices.elsewhere}
        missing = [key for key in ("name", "count", "now") if key not in there]
        for key in missing:
            self._refuse(row, key, "", _missing(key), None)
        self.above = dict(values)
        if not missing:
            self.plants += int(values.get("count", 0))
            self._add(row, values, later)

    def _add(self, row: GridRow, values: dict[str, Value], later: list[dict[str, Value]]) -> None:
        self.read_list.rows.append(ListRow(row, values))
        for move, more in enumerate(later, start=2):
            self.read_list.rows.append(ListRow(row, more, move))

    def _drop_stray(self, row: GridRow, values: dict[str, Value]) -> None:
        """Leave out what says how a plant is moved that is not moved, and tell it."""
        moving = {"to", "refresh", "pots"}
        own = values.get("to") in self.choices.readings.own
        if "to" in values and "mix" in values and not own and not _is_pot(values["to"]):
            del values["mix"]
            words = f"`{shown(str(values['to']))}` takes no mix, so not read: mix"
            self.read_list.notes.append((row, words))
        if moving & {*values, *self.choices.elsewhere}:
            return
        if not moving & {base(column.key) for column in self.read_list.columns}:
            return  # where they go is said beside the list
        stray = [key for key in values if key in _OF_A_MOVE]
        for key in stray:
            del values[key]
        if stray:
            words = f"`{shown(_name(values))}` goes nowhere, so not read: {', '.join(stray)}"
            self.read_list.notes.append((row, words))

    def _fill_down(self, row: GridRow, values: dict[str, Value]) -> None:
        """Take what stands above where that is said; tell of a row that goes by its sort alone."""
        if self.choices.down:
            for key in _KEPT:
                if key not in values and key in self.above:
                    values[key] = self.above[key]
        elif "name" not in values and "sort" in values and "name" in self.above:
            said = shown(str(values["sort"]))
            words = f"no name, so called `{said}`; with `--down` it takes the name above it"
            self.read_list.notes.append((row, words))

    def _same_plant(self, values: Mapping[str, Value]) -> bool:
        name = values.get("name")
        return bool(self.above) and name in (None, self.above.get("name"))

    def _refuse(
        self, row: GridRow, key: str, text: str, error: TextError, column: Column | None
    ) -> bool:
        """Keep a mistake with those alike; return False."""
        same = (key, text, error.message)
        if len(self.errors) < _MOST_PROBLEMS:
            self.errors.setdefault(same, (error, column))
        self.refused.setdefault(same, []).append(row)
        return False

    def _note_refused(self) -> None:
        """Make one problem of cells alike, and one of cells that one option settles."""
        grouped: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
        for same, (error, column) in self.errors.items():
            if column is not None:
                problem = self._note(error, column, self.refused[same])
                self.read_list.unread.append(Unread(same[0], same[1], column.unit, problem))
            for_all = re.search("for the whole [^-]*(`.*)", error.hint)
            way = for_all[1] if for_all and column is not None else repr(same)
            grouped.setdefault((same[0], f"{error.code} {way}"), []).append(same)
        for several in grouped.values():
            error, column = self.errors[several[0]]
            rows = [row for same in several for row in self.refused[same]]
            if len(several) > 1:
                texts = [f"`{shown(text)}`" for _, text, _ in several]
                more = f" and {len(texts) - 6} more" if len(texts) > 6 else ""
                head = re.sub(" ?: `[^`]*`$", "", error.message)
                message = f"{head}: {', '.join(texts[:6])}{more}"
                error = TextError(message, code=error.code, hint=error.hint)
            self.read_list.problems.append(self._note(error, column, rows))

    def _note(self, error: TextError, column: Column | None, rows: Sequence[GridRow]) -> Problem:
        """Return the problem of cells alike, at the first of them."""
        read, first = self.read_list, rows[0]
        where = read.grid.where(first, None if column is None else column.index)
        more = ""
        if len(rows) > 1:
            called = [
                str(row.number) if column is None else read.grid.called(row, column.index)
                for row in rows[1:4]
            ]
            unit = "" if column is not None else " row" if len(rows) == 2 else " rows"
            dots = ", ..." if len(rows) > 4 else ""
            more = f" (and {len(rows) - 1} more{unit}: {', '.join(called)}{dots})"
        name = f"{column.called}: " if column is not None else f"row {first.number}: "
        message, line = f"{name}{error.message}{more}", read.grid.line(first)
        hint = error.hint
        if column is not None:
            own = f'"...={base(column.key)}'
            hint = hint.replace(f"{own} ", f'"...={column.key} ').replace(
                f'{own}"', f'"...={column.key}"'
            )
            hint = hint.replace('"...=', f'"{spoken(column, read.columns)}=')
        return Problem(error.code, "error", where, message, hint, (), line)


@lru_cache(maxsize=1024)
def _is_pot(to: Value) -> bool:
    """Return whether a plant goes into a pot, and not to a place or a bed."""
    return is_container(str(to))


def count_trays(values: dict[str, Value]) -> None:
    """Put plants in place of trays and their cells, where no count says how many they are."""
    trays, cells = values.pop("trays", None), values.pop("cells", None)
    if cells is not None:
        values.setdefault("now", f"{cells}-cell tray")
    known = re.match(r"([0-9]+)-cell tray$", str(values.get("now", "")))
    each = cells if cells is not None else known and known[1]
    if trays is not None and each is not None:
        values.setdefault("count", int(trays) * int(each))


def take_later_moves(values: dict[str, Value]) -> list[dict[str, Value]]:
    """Take the columns of later moves (`to 2`) out of a row's values; return them move by move.

    A move without a pot is none: the next one takes its place. A later move takes the row's mix.
    """
    if "name 2" in values:
        values["name"] = f"{values.get('name', '')} {values.pop('name 2')}".strip()
    later: dict[int, dict[str, Value]] = {}
    for key in [key for key in values if move_of(key) > 1]:
        later.setdefault(move_of(key), {})[base(key)] = values.pop(key)
    moves = [later[number] for number in sorted(later) if "to" in later[number]]
    if moves and "to" not in values:
        values.update(moves.pop(0))
    for move in moves:
        if "mix" in values:
            move.setdefault("mix", values["mix"])
    return moves


def _of_move(several: Mapping[str, str], move: int) -> dict[str, Value]:
    """Return what one cell says of several columns, as those of its move."""
    return {key if move == 1 else f"{key} {move}": text for key, text in several.items()}


def _whole(cell: Cell) -> int | None:
    """Return a total as it may be written, with its thousands parted; None for another text."""
    text = cell_text(cell)
    return int(re.sub("[^0-9]", "", text)) if _NUMBER.fullmatch(text) else None


def _name(values: Mapping[str, Value]) -> str:
    return str(values.get("name", "a plant"))


def _missing(key: str) -> TextError:
    words = {
        "name": ("no name", "write it in, or `--down` takes the one above"),
        "count": ("no count", "write how many; `--count 1` counts every such row as one"),
        "now": ("nothing says what it is in now", "write it in, or for all such rows `--now '#1'`"),
    }
    message, hint = words[key]
    return TextError(message, code="missing-key", hint=hint)
