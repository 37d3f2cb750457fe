"""The lists of plants beside next year's plan: tidy CSV, each plant in the pot where it stands now.

A row is carried as an entry of the plan is: annuals are sown anew, what is gone is taken out, moves
that were made are left out. A row of a list has no comments, so what is due is told.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path as FilePath
from typing import TYPE_CHECKING

from attrs import define, field

from rootroom.catalogue.uses import repot_years
from rootroom.plan.names import tidy
from rootroom.plan.tables.csv_sheet import plain_breaks
from rootroom.plan.tables.rows import WORKBOOK_ENDINGS
from rootroom.plan.toml.source import read_source
from rootroom.problems import Problem
from rootroom.record.next_year.draft import Draft
from rootroom.record.next_year.plants import (
    KEYS_OF_A_MOVE,
    Standing,
    is_annual,
    pot_of,
    pots_of,
    standing_now,
)

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.plants import Group

Row = dict[str, str]

_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_IN_PLACE = ("to", "refresh", "fill", "wait")
"""Keys that, beside `rows`, move every plant of a list: next year they would move it again."""


@define
class NextList:
    """One list on its way to the next year: its rows, and what is to be told of them."""

    columns: list[str]
    rows: list[Row] = field(factory=list)
    due: list[str] = field(factory=list)
    gone: list[str] = field(factory=list)


@define
class NextLists:
    """All lists of a plan; groups of one name are met in the order of the plan."""

    draft: Draft
    plan: Plan
    groups: Mapping[str, Sequence[Group]]
    later: timedelta
    emptied: dict[str, int] = field(factory=dict)
    _met: dict[str, int] = field(factory=dict)

    def write(self, number: int, name: str) -> None:
        """Write the list of an entry under a new name, and set that in the plan."""
        entry = self.draft.data["plants"][number]
        lines = _lines(self.draft.file.parent / entry["rows"], tuple(entry), self.plan)
        if lines is None:
            return
        rows, delimiter = _rows(lines)
        found = self._carried(rows, entry)
        self.draft.lists[name] = _text(found, delimiter)
        self.draft.set(("plants", number, "rows"), name)
        words = f"{name}: plants of the record stand in it as they are now"
        if any(key in entry for key in _IN_PLACE):
            words += "; what stands beside `rows` moves all of them again: look at it"
        self.draft.notes.append(words)
        self.draft.notes += found.due
        if found.gone:
            more = f" and {len(found.gone) - 6} more" if len(found.gone) > 6 else ""
            taken = ", ".join(found.gone[:6])
            self.draft.notes.append(f"{name}: none stands in a pot any more of {taken}{more}")

    def _carried(self, rows: Sequence[Row], entry: Mapping[str, object]) -> NextList:
        columns = list(rows[0]) if rows else []
        found = NextList(columns)
        chains = list(_chains(rows, own_now="now" in columns))
        while chains:
            group = self._group(tidy(chains[0][0].get("name", "")))
            several, chains = _of_group(chains, group, self.plan)
            if group is None or is_annual(group):
                if group is not None:
                    for text, count in pots_of(group).items():
                        self.emptied[text] = self.emptied.get(text, 0) + count
                found.rows += [self._moved_on(row) for chain in several for row in chain]
                continue
            parts = list(standing_now(group))
            if not parts:
                found.gone.append(f"`{group.name}`")
            for part in parts:
                found.rows += self._standing(group, part, several)
                found.due += self._due(group, part)
        self._fill_now(found, entry)
        return found

    def _group(self, name: str) -> Group | None:
        """Return the next group of a name that the record tells of."""
        told = self.groups.get(name, ())
        at = self._met.get(name, 0)
        self._met[name] = at + 1
        return told[at] if at < len(told) else None

    def _standing(
        self, group: Group, part: Standing, chains: Sequence[Sequence[Row]]
    ) -> Iterator[Row]:
        """Yield the rows of plants that stand alike: one for each sort, and their moves."""
        sorted_out = sum(part.sorts.values()) == part.count
        pieces = list(part.sorts.items()) if sorted_out else [("", part.count)]
        for sort, count in pieces:
            chain = next((one for one in chains if one[0].get("sort", "") == sort), chains[0])
            head = {key: cell for key, cell in chain[0].items() if key not in KEYS_OF_A_MOVE}
            head |= {"count": str(count), "now": pot_of(group, part)}
            for key, text in (("sort", sort), ("sorts", "")):
                if key in head:
                    head[key] = text
            if part.since is not None:
                head["since"] = part.since.isoformat()
            moves = [dict(row) for row in chain[part.made : part.made + len(part.moves)]]
            for row, move in zip(moves, part.moves, strict=False):
                if part.made and row is moves[0]:
                    row["wait"] = ""
                own = {key: cell for key, cell in row.items() if key in KEYS_OF_A_MOVE}
                counted = {} if move.count is None else {"count": str(move.count)}
                yield self._moved_on({**(head if row is moves[0] else counted), **own})
            if not moves:
                yield head

    def _moved_on(self, row: Row) -> Row:
        """Return a row with the dates of its window a year later."""
        return {
            key: self._later(cell) if key in ("from", "by") else cell for key, cell in row.items()
        }

    def _later(self, text: str) -> str:
        try:
            day = date.fromisoformat(text.strip()) if _DATE.fullmatch(text.strip()) else None
        except ValueError:
            return text
        return text if day is None else (day + self.later).isoformat()

    def _due(self, group: Group, part: Standing) -> list[str]:
        if part.moves or part.since is None or group.kind.now.cells > 1:
            return []
        if part.since.year + repot_years(group.kind.crop) > self.draft.year:
            return []
        return [f"due: {group.name}, in {pot_of(group, part)} since {part.since}"]

    def _fill_now(self, found: NextList, entry: Mapping[str, object]) -> None:
        """Give every plant its pot where the list has no column of that, and add new columns."""
        if "now" not in found.columns and any("now" in row for row in found.rows):
            for row in found.rows:
                row.setdefault("now", str(entry.get("now", "")))
        for key in ("now", "since"):
            if key not in found.columns and any(row.get(key) for row in found.rows):
                found.columns.append(key)


def _lines(file: FilePath, said: tuple[str, ...], plan: Plan) -> list[str] | None:
    """Return the tidy lines of a list, head first; None for one that cannot be read."""
    if file.suffix.casefold() in WORKBOOK_ENDINGS:
        from rootroom.plan.lists.as_rows import workbook_rows

        names = (*plan.containers, *(bed.name for bed in plan.beds))
        return list(workbook_rows(file, said, names).lines) or None
    source = read_source(file)
    if isinstance(source, Problem):
        return None
    lines = plain_breaks(source.lstrip("\ufeff")).splitlines(keepends=True)
    return lines[1:] if lines and lines[0].lower().startswith("sep=") else lines


def _rows(lines: Sequence[str]) -> tuple[list[Row], str]:
    """Return the rows by the plan's own columns, others by their heading, and what parts them."""
    delimiter = max(",;|", key=lines[0].count)
    reader = csv.reader(lines, delimiter=delimiter)
    head = [re.sub(r"[\s_]+", "_", name.strip().casefold()) for name in next(reader)]
    rows = [dict(zip(head, cells, strict=False)) for cells in reader if any(map(str.strip, cells))]
    return rows, delimiter


def _chains(rows: Sequence[Row], *, own_now: bool) -> Iterator[list[Row]]:
    """Yield each plant's rows: its own, and those without `now` that carry its moves on."""
    chain: list[Row] = []
    for row in rows:
        if chain and own_now and not row.get("now", "").strip():
            chain.append(row)
            continue
        if chain:
            yield chain
        chain = [row]
    if chain:
        yield chain


def _of_group(
    chains: list[list[Row]], group: Group | None, plan: Plan
) -> tuple[list[list[Row]], list[list[Row]]]:
    """Return the plants of one group, and those after it: sorts may be rows of their own."""
    many, taken = 0, 0
    wanted = 0 if group is None else plan.plants.counts[group.row]
    while taken < len(chains) and (taken == 0 or many < wanted):
        text = chains[taken][0].get("count", "").strip().partition(".")[0]
        many += int(text) if text.isdigit() else 0
        taken += 1
    return chains[:taken], chains[taken:]


def _text(found: NextList, delimiter: str) -> str:
    """Return a list as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    writer.writerow(found.columns)
    writer.writerows([row.get(key, "") for key in found.columns] for row in found.rows)
    return out.getvalue()
