"""The plants of a plan: each entry of `plants` as one kind, all of them as a roster."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Any

from attrs import define, evolve, field, fields

from rootroom.catalogue.uses import find_crop, near_crop
from rootroom.containers.container import Container
from rootroom.plan.context import UNKNOWN_DATES, Context
from rootroom.plan.diagnostics import Path
from rootroom.plan.entries import NO_MARKS, CareStep, Marks
from rootroom.plan.model import Move, PlantKind, Roster
from rootroom.plan.names import PLACES, meant, note_twice, shown
from rootroom.plan.structure import key_of
from rootroom.plan.tables.moves import Outcome, read_move
from rootroom.plan.tables.plant_table import (
    MOVE_KEYS,
    MoveTable,
    PlantTable,
    Standing,
    read_care,
    read_marks,
)
from rootroom.plan.values import Text

FOR_MOVES = ("mix", "then")
"""Keys that may stand on a plant beside `moves`: the mix of all, the aftercare of the last."""

NO_COLUMNS = ("rows", "moves", "then")


@define
class KindNotes:
    """What to warn of for one kind: the outcomes of its moves, each with the move's words."""

    outcomes: dict[Outcome, str] = field(factory=dict)


def read_kind(
    table: PlantTable,
    path: Path,
    context: Context,
    *,
    count: int | None,
    entries: Sequence[tuple[MoveTable, Path]],
) -> tuple[PlantKind | None, KindNotes]:
    """Return what is true of every plant of a kind; None where a mistake leaves it unknown.

    `count` is the number of plants, None where rows share the kind and no move has its own count.
    `entries` are the moves with their paths.
    """
    notes = KindNotes()
    now = _now(table, path, context)
    crop = None if table.crop is None else str(table.crop)
    known = None if crop is None else find_crop(crop)
    near = None if crop is None or known is not None else near_crop(crop)
    if near is not None:
        message = f"no crop is known by this name: `{shown(crop or '')}`"
        hint = f"did you mean `{near}`? Of an unknown one nothing is taken, as that it is tender"
        context.findings.warning((*path, "crop"), "unknown-crop", message, hint=hint)
    tender = bool(table.tender) if table.tender is not None else known is not None and known.tender
    standing = Standing(pot=now, count=count, earliest=date.min, tender=tender, crop=known)
    moves: list[Move] = []
    for number, (entry, where) in enumerate(entries, start=1):
        old = standing.pot
        last = number == len(entries)
        move, outcomes = read_move(entry, number, last, standing, where, context)
        for outcome in outcomes:
            notes.outcomes.setdefault(outcome, _step(old, move))
        if move is not None:
            moves.append(move)
    care = _care_of_last(table, path, entries, moves, context)
    if now is None or len(moves) < len(entries):
        return None, notes
    if care:
        moves[-1] = evolve(moves[-1], care=care)
    place = context.findings.where(path)
    kind = PlantKind(crop, now, tuple(moves), place, tender, table.stands, table.since)
    return evolve(kind, spacing_m=table.spacing), notes


def _now(table: PlantTable, path: Path, context: Context) -> Container | None:
    """Return what the plants stand in; note where that is not told, or begins after all work."""
    findings = context.findings
    if table.now is None:
        hint = 'write `now = "#1"`, `"72-cell tray"`, `"bare root"`, `"cutting"` or `"seed"`'
        findings.missing(path, "now", f"{_called(table)} needs `now`: what it stands in", hint)
    now = None if table.now is None else context.container(table.now, (*path, "now"))
    late = table.since is not None and table.since > context.work.last
    if late and not findings.seen(UNKNOWN_DATES):
        findings.error(
            (*path, "since"),
            "since-later",
            f"{_called(table)} comes into its container after the last day of work: "
            f"`{table.since}`",
            hint="`since` is the day that is past on which it came into the container of `now`",
        )
    return now


def _care_of_last(
    table: PlantTable,
    path: Path,
    entries: Sequence[tuple[MoveTable, Path]],
    moves: Sequence[Move],
    context: Context,
) -> tuple[CareStep, ...]:
    """Return the aftercare that is written on the plant: that of its last move."""
    if table.then is None or not entries:
        return ()
    last, where = entries[-1]
    if last.then is not None:
        context.findings.error(
            (*path, "then"),
            "move-twice",
            "aftercare written on the plant and on its last move",
            hint="write all of it on the move",
            key=True,
            related=[((*where, "then"), "the other is here")],
        )
    place = moves[-1].place if moves else None
    return read_care(table.then, (*path, "then"), place, context)


def _step(old: object, move: Move | None) -> str:
    target = getattr(getattr(move, "to", None), "text", "")
    return f"`{getattr(old, 'text', '')}` to `{target}`" if target else ""


def _called(table: PlantTable) -> str:
    return f"plant `{table.name}`" if table.name else "a plant"


def moves_of(table: PlantTable, path: Path, context: Context) -> list[tuple[MoveTable, Path]]:
    """Return the moves with their paths: those of `moves`, or the one written on the plant.

    A mix written on the plant serves all moves that fill a container and name none themselves.
    """
    direct = [key for key in MOVE_KEYS if getattr(table, key) is not None]
    if table.moves is None:
        one = MoveTable(**{key: getattr(table, key) for key in MOVE_KEYS if key != "then"})
        return [(one, path)] if direct else []
    others = [key for key in direct if key not in FOR_MOVES]
    if others:
        key = key_of(others[0])
        context.findings.error(
            (*path, key),
            "move-twice",
            f"a move written on the plant and under `moves` as well: `{key}`",
            hint="move it into `moves = [ { ... } ]`",
            key=True,
            related=[((*path, "moves"), "the others are here")],
        )
    return [
        (_with_mix(entry, table.mix, context), (*path, "moves", index))
        for index, entry in enumerate(table.moves)
        if entry is not None
    ]


def _with_mix(move: MoveTable, mix: Text | None, context: Context) -> MoveTable:
    """Return a move with the plant's mix, if it takes one and names none."""
    to = move.to or ""
    if move.mix is not None or meant(to, PLACES) or meant(to, context.bed_names):
        return move
    return evolve(move, mix=mix)


@define
class RosterBuilder:
    """Gathers kinds and groups, in the order of the file, as columns."""

    context: Context
    kinds: list[PlantKind] = field(factory=list)
    notes: list[KindNotes] = field(factory=list)
    names: list[str] = field(factory=list)
    counts: array[int] = field(factory=lambda: array("q"))
    kind_of: array[int] = field(factory=lambda: array("l"))
    mark_of: array[int] = field(factory=lambda: array("l"))
    _marks: dict[Marks, int] = field(factory=lambda: {NO_MARKS: 0})
    _last: Marks = NO_MARKS
    _named: dict[str, Path] = field(factory=dict)

    def add_kind(self, kind: PlantKind | None, notes: KindNotes) -> int:
        """Keep a kind and return its index; a broken kind has the index -1."""
        if kind is None:
            return -1
        self.kinds.append(kind)
        self.notes.append(notes)
        return len(self.kinds) - 1

    def add_entry(self, table: PlantTable, path: Path) -> None:
        """Read one entry of the plan file that is not a list of rows."""
        findings = self.context.findings
        name = self._name(table, path)
        marks = read_marks(table, table.count, path, findings)
        count: int | None = table.count
        if count is None and not any(findings.seen((*path, key)) for key in ("count", "sorts")):
            count = sum(many for _, many in marks.sorts) or None
            if count is None:
                message = f"{_called(table)} needs `count`: how many plants"
                findings.missing(path, "count", message, "write `count = 12`")
        entries = moves_of(table, path, self.context)
        kind, notes = read_kind(table, path, self.context, count=count, entries=entries)
        index = self.add_kind(kind, notes)
        if index >= 0 and count is not None:
            self.add_group(name, count, index, marks)

    def add_group(
        self, name: str, count: int, kind: int, marks: Marks = NO_MARKS, *, joins: bool = False
    ) -> None:
        """Add plants; with `joins`, those of another sort that are else like the last ones."""
        if joins and marks.sorts and self._last.sorts:
            last = (self.names[-1], self.kind_of[-1], self._last.place, self._last.tag)
            if last == (name, kind, marks.place, marks.tag):
                self.counts[-1] += count
                self._last = evolve(marks, sorts=(*self._last.sorts, *marks.sorts))
                self.mark_of[-1] = self._mark(self._last)
                return
        self._last = marks
        self.names.append(name)
        self.counts.append(count)
        self.kind_of.append(kind)
        if marks != NO_MARKS or self.mark_of:
            self._fill_marks(len(self.names) - 1)
            self.mark_of.append(self._mark(marks))

    def _mark(self, marks: Marks) -> int:
        return self._marks.setdefault(marks, len(self._marks))

    def _fill_marks(self, length: int) -> None:
        """Give groups up to a number that have no marks the number of none."""
        self.mark_of.extend([0] * (length - len(self.mark_of)))

    def _name(self, table: PlantTable, path: Path) -> str:
        findings = self.context.findings
        if table.name is None:
            findings.missing(path, "name", "a plant needs its `name`", 'write `name = "Fig"`')
            return ""
        hint = "add what tells them apart, as the place or the size; capitals and spaces do not"
        note_twice(table.name, (*path, "name"), self._named, findings, of="plants", hint=hint)
        return str(table.name)

    def roster(self) -> Roster:
        """Return all groups."""
        if self.mark_of:
            self._fill_marks(len(self.names))
        marks = tuple(self._marks) if self.mark_of else ()
        return Roster(tuple(self.kinds), self.names, self.counts, self.kind_of, marks, self.mark_of)

    def warn(self) -> None:
        """Note each warning once for the whole plan: how many groups, and the first of them."""
        groups = Counter(self.kind_of)
        first: dict[int, int] = {}
        for position, kind in enumerate(self.kind_of):
            if kind not in first:
                first[kind] = position
                if len(first) == len(groups):
                    break
        for outcome, (code, words, hint) in _WARNINGS.items():
            found = [kind for kind, notes in enumerate(self.notes) if outcome in notes.outcomes]
            found = [kind for kind in found if groups[kind]]
            if not found:
                continue
            many = sum(groups[kind] for kind in found)
            head = min(found, key=lambda kind: first[kind])
            name, step = self.names[first[head]], self.notes[head].outcomes[outcome]
            plural = "1 plant" if many == 1 else f"{many:,} plants"
            which = "" if many == 1 else "the first is "
            detail = f" ({step})" if outcome in ("long-step", "same-pot") and step else ""
            self.context.findings.warn_at(
                self.kinds[head].where, code, f"{plural} {words}: {which}`{name}`{detail}", hint
            )


_WARNINGS: dict[Outcome, tuple[str, str, str]] = {
    "no-frost": (
        "tender-without-frost",
        "tender to frost, in a plan without `last_frost`",
        "write `last_frost = 2027-04-12` under `[garden]`, `from = 2027-04-24` on the last move, "
        "or `tender = false` for a plant that stays indoors",
    ),
    "undated": (
        "no-window",
        "without `from` and `by`, taken to be the work dates",
        'write `from = "last frost"` or `by = 2027-05-01` on the move',
    ),
    "no-by": (
        "root-work-without-date",
        "with root work without `by`",
        'roots are cut while the plant rests: write `by = "2 weeks before last frost"`',
    ),
    "long-step": (
        "long-step",
        "with a step that roots may not follow",
        "put a pot between, or write `big_step = true` on the move",
    ),
    "same-pot": (
        "same-pot",
        "moved into a container like the one before",
        'choose a larger one, or for fresh mix in the same one write `refresh = "1/3"`',
    ),
}


def known_columns() -> tuple[str, ...]:
    """Return the columns that a spreadsheet of plants may have."""
    return _COLUMNS


_FIRST = ("name", "count", "now")
_OTHERS = (key_of(each.name) for each in fields(PlantTable))
_COLUMNS = (*_FIRST, *(key for key in _OTHERS if key not in (*_FIRST, *NO_COLUMNS)))


def entries_of(data: dict[str, Any], key: str) -> list[tuple[Path, Any]]:
    """Return the entries of a list with their paths, those of a second list of that name too."""
    found: list[tuple[Path, Any]] = []
    for name in (key, f"{key}+"):
        raw = data.get(name, [])
        if isinstance(raw, list):
            found.extend(((name, i), entry) for i, entry in enumerate(raw))
    return found
