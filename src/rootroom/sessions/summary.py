"""What the sessions of a season come to: late plants, windows, hardening, purchases, first uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import cast

from rootroom.sessions.evening import goods_of
from rootroom.sessions.items import BedItem, Row, Work
from rootroom.sessions.problem import Answer
from rootroom.sessions.result import (
    GoodDue,
    GoodKind,
    Hardening,
    Late,
    Purchase,
    Session,
    Window,
)

__all__ = ["find_hardening", "find_late", "find_windows_done", "first_uses", "purchases"]

Done = Mapping[tuple[str, int | None], Mapping[date, int]]


def find_late(work: Work, answer: Answer) -> tuple[Late, ...]:
    """Return what is done after its date, in the order of the plan; it adds up to the lateness."""
    found: list[tuple[int, int, Late]] = []
    for number, item in enumerate(work.items):
        due = work.problem.tasks[number].due_date
        parts = sorted((p.day, p.count) for p in answer.placed if p.task == number)
        done = 0
        for day, count in parts:
            first, done = done, done + count
            days = work.problem.days[day].date - due
            if days <= 0:
                continue
            today = date.fromordinal(work.problem.days[day].date)
            if isinstance(item, BedItem):
                if item.finishes:
                    found.append((number, day, Late(item.bed.name, None, 1, days, today)))
                continue
            for row, plants in _shared_out(item.rows, first * item.unit, done * item.unit):
                late = Late(row.name, item.move.number, plants, days, today)
                found.append((number, day, late))
    return tuple(late for _, _, late in found)


def _shared_out(rows: Sequence[Row], first: int, end: int) -> list[tuple[Row, int]]:
    """Return how many of the plants from `first` to `end` belong to each row."""
    shared, start = [], 0
    for row in rows:
        inside = min(end, start + row.count) - max(first, start)
        if inside > 0:
            shared.append((row, inside))
        start += row.count
    return shared


def find_windows_done(work: Work, sessions: Sequence[Session]) -> tuple[Window, ...]:
    """Return the windows of all moves and beds with what is planned, in the order of the plan."""
    done: dict[tuple[str, int | None], dict[date, int]] = defaultdict(dict)
    for session in sessions:
        for line in session.work:
            if line.plants or line.kind == "fill bed":
                days = done[line.name, line.move]
                days[session.date] = days.get(session.date, 0) + line.count
    windows: list[Window] = []
    beds: set[str] = set()
    for item in work.items:
        if isinstance(item, BedItem):
            if item.bed.name not in beds:
                windows.append(_bed_window(item, done))
            beds.add(item.bed.name)
            continue
        move = item.move
        windows += [
            Window(
                row.name, move.number, item.kind, move.opens, move.due,
                done.get((row.name, move.number), {}), move.dated, move.mix,
            )
            for row in item.rows
        ]  # fmt: skip
    return tuple(_beds_last(windows))


def _bed_window(item: BedItem, done: Done) -> Window:
    bed = item.bed
    mix = next((layer.of for layer in bed.layers), None)
    filled = done.get((bed.name, None), {})
    return Window(bed.name, None, "fill bed", bed.opens, bed.due, filled, bed.dated, mix)


def _beds_last(windows: list[Window]) -> list[Window]:
    return [w for w in windows if w.move is not None] + [w for w in windows if w.move is None]


def find_hardening(work: Work, windows: Sequence[Window]) -> tuple[Hardening, ...]:
    """Return the days on which plants are hardened off before a move that asks for it."""
    days: dict[tuple[str, int], int] = {}
    for item in work.items:
        if not isinstance(item, BedItem) and item.move.harden_days:
            for row in item.rows:
                days[row.name, item.move.number] = item.move.harden_days
    found = []
    for window in windows:
        if window.move is None or not window.done:
            continue
        number = days.get((window.name, window.move), 0)
        if number:
            first = min(window.done)
            start, end = first - timedelta(number), first - timedelta(1)
            found.append(Hardening(window.name, window.move, start, end))
    return tuple(found)


def purchases(sessions: Sequence[Session]) -> tuple[Purchase, ...]:
    """Return the containers to buy with the day on which the first of them is needed."""
    first: dict[str, date] = {}
    count: dict[str, int] = defaultdict(int)
    for session in sessions:
        for name, number in session.bring.bought.items():
            first.setdefault(name, session.date)
            count[name] += number
    return tuple(Purchase(name, count[name], day) for name, day in first.items())


def first_uses(sessions: Sequence[Session]) -> tuple[GoodDue, ...]:
    """Return every good with the day of the first session that needs it."""
    first: dict[tuple[str, str], date] = {}
    for session in sessions:
        for good in goods_of(session.bring):
            first.setdefault(good, session.date)
    return tuple(GoodDue(cast(GoodKind, kind), name, day) for (kind, name), day in first.items())
