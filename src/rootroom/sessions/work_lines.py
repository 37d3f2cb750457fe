"""From units placed on days to lines of work: which plants, which pots, how much mix.

A task may stand for many groups; its units are handed out in the order of the file, so each group
keeps its own order and gaps.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import time

from attrs import frozen

from rootroom.counts import ceil_count
from rootroom.plan.entries import Marks
from rootroom.plan.model import Move, Plan
from rootroom.scheduling.problem import Answer, Placed
from rootroom.sessions.session import BedLine, Checkpoint, Line, PlantLine
from rootroom.sessions.tasks import BedItem, MoveItem, Row, Work

MIDNIGHT = time(0)
NO_TASK = -1


@frozen
class Draft:
    """What a task (`NO_TASK`: none) does on a day, and at one go.

    `rows` are its groups in their order, each with its name and the place of its line in `lines`:
    groups that are moved alike share a line, which has no name and no time yet.
    `size_l` [L] is the fill of what the plants stand in.
    """

    task: int
    lines: tuple[Line, ...]
    rows: tuple[tuple[str, int], ...]
    size_l: float = 0.0

    def named(self) -> Iterator[tuple[str, Line]]:
        """Return every row's name and line."""
        return ((name, self.lines[number]) for name, number in self.rows)

    def split(self) -> Iterator[Draft]:
        """Return the rows one by one."""
        return (Draft(self.task, self.lines, (row,), self.size_l) for row in self.rows)

    @property
    def place(self) -> str:
        """Where its plants stand; they stand in one place once it was parted by place."""
        return _place_of(self.lines[self.rows[0][1]])

    def by_place(self) -> list[Draft]:
        """Return the rows of each place together."""
        places: dict[str, list[tuple[str, int]]] = {}
        for row in self.rows:
            places.setdefault(_place_of(self.lines[row[1]]), []).append(row)
        if len(places) == 1:
            return [self]
        return [Draft(self.task, self.lines, tuple(x), self.size_l) for x in places.values()]


def _place_of(line: Line) -> str:
    return line.place if isinstance(line, PlantLine) else ""


@frozen
class _Part:
    """Some plants of one group: those from `first` to `end` of its row."""

    row: Row
    first: int
    end: int

    @property
    def plants(self) -> int:
        return self.end - self.first


def draft_days(plan: Plan, work: Work, answer: Answer) -> Iterator[tuple[int, list[Draft]]]:
    """Yield every day with work (a position), and what its tasks do in the order of the plan."""
    hands = {n: _Hand(item) for n, item in enumerate(work.items) if isinstance(item, MoveItem)}
    by_day: dict[int, list[Placed]] = {day: [] for day in answer.session_days}
    for one in answer.placed:
        by_day[one.day].append(one)
    for day, placed in by_day.items():
        drafts = []
        filled: Counter[tuple[str, int]] = Counter()  # portions of the bed layers, so far today
        for one in sorted(placed, key=lambda one: one.task):
            item = work.items[one.task]
            unit_min = work.minutes(work.problem.tasks[one.task].minutes)
            if isinstance(item, BedItem):
                layer = (item.bed.name, item.layer)
                line = _bed_line(item, filled[layer], one.count, unit_min * one.count)
                filled[layer] += one.count
                drafts.append(Draft(one.task, (line,), ((item.bed.name, 0),)))
            else:
                parts = hands[one.task].take(one.count * item.unit)
                drafts.append(_plant_draft(one.task, item, parts, unit_min, plan))
        yield day, drafts


def _plant_draft(
    task: int,
    item: MoveItem,
    parts: Iterable[_Part],
    unit_min: float,
    plan: Plan,
) -> Draft:
    """Return the draft of some plants of a task; parts alike in size and marks share a line."""
    places: dict[tuple[int, int, int, Marks], int] = {}
    lines: list[Line] = []
    rows = []
    for part in parts:
        size = (part.row.count, part.first, part.end, part.row.marks)
        place = places.setdefault(size, len(lines))
        if place == len(lines):
            minutes = unit_min * part.plants / item.unit
            lines.append(_plant_line(item, part, minutes, plan.work.scoop_l))
        rows.append((part.row.name, place))
    return Draft(task, tuple(lines), tuple(rows), _size_l(item.move))


class _Hand:
    """Hands out the plants of a task in the order of its rows."""

    def __init__(self, item: MoveItem) -> None:
        self.rows = item.rows
        self.number = self.gone = 0

    def take(self, plants: int) -> Iterator[_Part]:
        while plants > 0:
            row = self.rows[self.number]
            end = min(row.count, self.gone + plants)
            yield _Part(row, self.gone, end)
            plants -= end - self.gone
            self.gone = end
            if end == row.count:
                self.number, self.gone = self.number + 1, 0


def _size_l(move: Move) -> float:
    """Return the fill of the larger of both containers: what makes a move heavy [L]."""
    both = (move.old, move.new)
    return max(box.fill_l.likely if box is not None and box.holds else 0.0 for box in both)


def _plant_line(item: MoveItem, part: _Part, minutes: float, scoop_l: float) -> PlantLine:
    move, row = item.move, part.row
    in_pots = move.stands_in is not None
    pots = move.pots(part.end) - move.pots(part.first) if in_pots else 0
    all_pots = move.pots(row.count) if in_pots else 0
    pot_l = row.mix_l / all_pots if all_pots else 0.0
    scoops = pot_l / scoop_l
    freed = _freed(item, part)
    return PlantLine(
        kind=item.kind,
        name="",
        count=part.plants,
        minutes=minutes,
        start=MIDNIGHT,
        move=move.number,
        old=move.old.text,
        new=move.new.text if move.new is not None else move.place,
        pots=pots,
        mix=move.mix if row.mix_l else None,
        mix_l=pot_l * pots,
        pot_l=pot_l,
        pot_scoops=scoops,
        checkpoint=find_checkpoint(pots, scoops),
        frees=move.old.text if freed else None,
        frees_count=freed,
        people=move.people,
        add=move.add,
        share=part.plants / row.count,
        into=move.into,
        per_pot=move.per_pot,
        sorts=row.marks.between(part.first, part.end),
        place=row.marks.place,
        tag=row.marks.tag,
        care=move.care,
        filled=move.filled,
        begun=move.begun,
    )


def _freed(item: MoveItem, part: _Part) -> int:
    """Return how many whole containers these plants of a row leave empty; pots are sold too."""
    if not item.move.empties:
        return 0
    per = item.old_per_container * item.move.into
    stay = -(-item.plants // item.move.into) < item.old_plants
    last = part.row.count // per if stay else -(-part.row.count // per)
    upto = last if part.end == part.row.count else part.end // per
    return upto - part.first // per


def find_checkpoint(pots: int, scoops: float) -> Checkpoint | None:
    """Return after how many of the first pots a number of half scoops should be used.

    The first number of pots, from 2 up to 8, that comes within a twentieth of half scoops, else the
    nearest. Small pots share half a scoop. None where less than a third would be still to do.
    """
    if pots < 4 or scoops <= 0:
        return None
    first = max(2, round(0.5 / scoops))
    if first > pots * 2 // 3:
        return None
    last = max(min(8, pots * 2 // 3), first)

    def miss(number: int) -> float:
        halves = number * scoops * 2
        return abs(halves - max(round(halves), 1)) / halves

    choices = range(first, last + 1)
    best = next((n for n in choices if miss(n) <= 0.05), min(choices, key=miss))
    return Checkpoint(best, max(round(best * scoops * 2), 1) / 2)


def _bed_line(item: BedItem, before: int, portions: int, minutes: float) -> BedLine:
    """Return the line of so many portions of a layer, after those `before` on the same day.

    A day's lifts are those of the depth that it fills.
    """
    layer = item.bed.layers[item.layer]
    begun = ceil_count(item.lifts * before, item.of_portions)
    lifts = ceil_count(item.lifts * (before + portions), item.of_portions) - begun
    return BedLine(
        kind="fill bed",
        name=item.bed.name,
        count=portions,
        minutes=minutes,
        start=MIDNIGHT,
        mix=item.of if item.mixed else None,
        mix_l=item.litres * portions / item.of_portions,
        people=item.bed.people,
        share=layer.left_share * portions / item.of_portions,
        of=item.of,
        layer=layer.number or item.layer + 1,
        lifts=lifts,
        laid_l=item.laid_l(portions / item.of_portions) if item.parts else {},
        add=item.added(portions / item.of_portions),
    )
