"""Plants as they stand after what was done: who has made which move, who is lost, who was found.

A *stage* is the number of moves made. Days are replayed in their order; within a day first what
was moved, then what was lost, then counts at the end of the day, then what was put back, so the
order of the lines of one day does not matter.
A record is believed: where more plants were moved than the plan knows of, they were there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from attrs import define, field

from rootroom.counts import ceil_count
from rootroom.plan.entries import MadeMove
from rootroom.plan.model import Move, PlantGroup, PlantKind, Roster
from rootroom.plan.values import MOST
from rootroom.record.events import Event

PUT_BACK = timedelta(days=7)
"""How long plants that were not ready are left alone where nobody said until when."""

PLANT_KINDS = ("moved", "lost", "counted", "not yet")


Pieces = list[tuple[str, int]]
"""Plants by their sort, "" for none, in the order in which they go."""


@define
class Lot:
    """Plants of one stage and sort ("" for none).

    `since` says when they came to the stage, `until` when they are left alone till.
    """

    count: int
    since: date | None = None
    until: date | None = None
    sort: str = ""


@define
class Group:
    """One group of the plan, stage by stage.

    `into[s]` is how many plants came to stage s (at 0: what the plan starts with), `out[s]` how
    many left it for the next one, `lost[s]` and `found[s]` (below 0: missing) what a record told.
    `made` has every move with how many plants made it on which day, `sorts` those of the plan.
    For every stage into + found - lost - out = what stands there in `lots[s]`.
    """

    row: int
    name: str
    kind: PlantKind
    lots: list[list[Lot]]
    into: list[int]
    out: list[int]
    lost: list[int]
    found: list[int]
    made: list[tuple[int, int, date]] = field(factory=list)
    sorts: frozenset[str] = frozenset()

    @classmethod
    def of(cls, row: int, group: PlantGroup) -> Group:
        """Return a group as the plan has it, all plants still waiting for their first move."""
        stages = len(group.kind.moves) + 1
        lots: list[list[Lot]] = [[] for _ in range(stages)]
        sorts = group.marks.sorts
        rest = group.count - sum(count for _, count in sorts)
        lots[0] = [Lot(count, sort=sort) for sort, count in (*sorts, ("", rest)) if count]
        into = [group.count, *[0] * (stages - 1)]
        out, lost, found = ([0] * stages for _ in range(3))
        known = frozenset(sort for sort, _ in sorts)
        return cls(row, group.name, group.kind, lots, into, out, lost, found, sorts=known)

    @property
    def with_care(self) -> list[MadeMove]:
        """The moves that were made and have aftercare."""
        return [
            MadeMove(self.name, number, count, day, self.moves[number - 1].care)
            for number, count, day in self.made
            if self.moves[number - 1].care
        ]

    @property
    def moves(self) -> Sequence[Move]:
        """The moves of the plan."""
        return self.kind.moves

    def standing(self, stage: int, sort: str = "") -> int:
        """Return how many plants (of a sort) stand at a stage."""
        return sum(lot.count for lot in self.lots[stage] if sort in ("", lot.sort))

    def take(self, stage: int, count: int, sort: str = "", *, latest: bool = False) -> Pieces:
        """Take up to `count` plants (of a sort) from a stage, the first (or latest) ones."""
        left, taken = count, []
        for lot in list(reversed(self.lots[stage]) if latest else self.lots[stage]):
            part = min(lot.count, left)
            if part and sort in ("", lot.sort):
                lot.count -= part
                left -= part
                taken.append((lot.sort, part))
        self.lots[stage] = [lot for lot in self.lots[stage] if lot.count]
        return taken

    def put(self, stage: int, count: int, since: date | None, sort: str = "") -> None:
        """Add plants to a stage."""
        if count:
            self.lots[stage].append(Lot(count, since, sort=sort))


Told = tuple[int, str]
"""Which plants an event tells of: their move, and their sort or "" for any."""


@define
class Day:
    """What one day's events tell of the plants of one name, by move and sort."""

    moved: dict[Told, int] = field(factory=lambda: defaultdict(int))
    lost: dict[Told, int] = field(factory=lambda: defaultdict(int))
    counted: dict[Told, int] = field(factory=dict)
    put_back: list[tuple[Told, date, int]] = field(factory=list)


def replay_plants(
    roster: Roster, events: Iterable[Event]
) -> tuple[dict[str, list[Group]], list[str]]:
    """Return the groups that the events tell of by name, and what is odd about them in words."""
    days: dict[date, dict[str, Day]] = defaultdict(lambda: defaultdict(Day))
    for event in events:
        if event.kind in PLANT_KINDS:
            _gather(days[event.day][event.data["plant"]], event)
    names = {name for told in days.values() for name in told}
    groups: dict[str, list[Group]] = {name: [] for name in sorted(names)}
    if names:
        for row, name in enumerate(roster.names):
            if name in groups:
                groups[name].append(Group.of(row, roster[row]))
    odd = [f"the plan has no plants called `{n}`" for n, found in groups.items() if not found]
    groups = {name: found for name, found in groups.items() if found}
    for today in sorted(days):
        for name in sorted(set(days[today]) & set(groups)):
            odd += _Replay(name, groups[name], today).work_off(days[today][name])
    return groups, odd


def _gather(day: Day, event: Event) -> None:
    told, count = (event.data["move"], event.data.get("sort", "")), event.data["count"]
    if event.kind == "moved":
        day.moved[told] += count
    elif event.kind == "lost":
        day.lost[told] += count
    elif event.kind == "counted":
        day.counted[told] = max(day.counted.get(told, 0), count)
    else:
        until = event.data.get("until")
        end = event.day + PUT_BACK if until is None else date.fromisoformat(until)
        day.put_back.append((told, end, count))


def _in_turn(one: tuple[Told, int]) -> tuple[int, bool, str]:
    """Return a key by which what tells of a sort comes before what takes the first that is left."""
    (move, sort), _ = one
    return (move, not sort, sort)


class _Replay:
    """One day of all groups of one name."""

    def __init__(self, name: str, groups: Sequence[Group], today: date) -> None:
        self.name, self.groups, self.today = name, groups, today
        self.stages = max(len(group.moves) for group in groups)
        self.sorts = {sort for group in groups for sort in group.sorts}
        self.odd: list[str] = []

    def work_off(self, day: Day) -> list[str]:
        for (move, sort), count in sorted(day.moved.items(), key=_in_turn):
            if self._known(move, self.stages):
                self._move(move, count, self._sort(sort))
        for (move, sort), count in sorted(day.lost.items(), key=_in_turn):
            if self._known(move, self.stages + 1):
                self._lose(move - 1, count, self._sort(sort))
        for (move, sort), count in sorted(day.counted.items(), key=_in_turn):
            # What is counted of an unknown sort tells nothing of the others.
            if self._known(move, self.stages + 1) and sort == self._sort(sort):
                self._count(move - 1, count, sort)
        for (move, sort), until, count in sorted(day.put_back):
            if self._known(move, self.stages):
                self._put_back(move - 1, until, count, self._sort(sort))
        return self.odd

    def _sort(self, sort: str) -> str:
        """Return a sort, or none where the plan does not know it."""
        if sort and sort not in self.sorts:
            self._say(f"the plan has no sort `{sort}` of `{self.name}`")
            return ""
        return sort

    def _known(self, move: int, most: int) -> bool:
        if move <= most:
            return True
        self._say(f"the plan has no move {move} of `{self.name}`")
        return False

    def _say(self, text: str) -> None:
        self.odd.append(f"{self.today}: {text}")

    def _with(self, stage: int) -> Iterator[Group]:
        return (group for group in self.groups if stage < len(group.lots))

    def _move(self, number: int, count: int, sort: str) -> None:
        """Let `count` plants have made a move, the first plants of the file (of a sort) first."""
        left = count
        for group in self._with(number):
            left -= self._advance(group, number, left, sort)
        if not left:
            return
        for group in self._with(number):
            left -= self._catch_up(group, number, left, sort)
        if left:
            of = f"{self.name}/{sort}" if sort else self.name
            self._say(f"{left} more of `{of}` made move {number} than were there")
            group = next(self._with(number))
            missing = min(ceil_count(left, group.moves[number - 1].into), MOST)
            group.found[number - 1] += missing
            group.put(number - 1, missing, None, sort)
            self._advance(group, number, left, sort)

    def _advance(self, group: Group, number: int, count: int, sort: str) -> int:
        """Move up to `count` plants (as they are afterwards) on; return how many moved."""
        into = group.moves[number - 1].into
        made = 0
        for of, taken in group.take(number - 1, ceil_count(count, into), sort):
            fresh = min(taken * into, count - made)
            group.out[number - 1] += taken
            group.into[number] += fresh
            group.put(number, fresh, self.today, of)
            made += fresh
        if made:
            group.made.append((number, made, self.today))
        return made

    def _catch_up(self, group: Group, number: int, count: int, sort: str) -> int:
        """Let plants of an earlier stage have made the moves between, which nobody noted."""
        made = 0
        for stage in range(number - 2, -1, -1):
            if made == count:
                break
            want = count - made
            for move in range(number, stage + 1, -1):
                want = ceil_count(want, group.moves[move - 1].into)
            there = min(group.standing(stage, sort) * group.moves[stage].into, want)
            if not there:
                continue
            for move in range(stage + 1, number):
                there = self._advance(group, move, there, sort)
                there *= group.moves[move].into
                self._say(f"move {move} of `{self.name}` was not noted, yet move {number} was")
            made += self._advance(group, number, min(there, count - made), sort)
        return made

    def _lose(self, stage: int, count: int, sort: str) -> None:
        """Take lost plants from their stage, else from where they may have gone or stayed."""
        left = count
        stages = [stage, stage + 1, *range(stage - 1, -1, -1)]
        for place in (s for s in stages if s <= self.stages):
            for group in self._with(place):
                gone = sum(many for _, many in group.take(place, left, sort, latest=True))
                group.lost[place] += gone
                left -= gone
        if left:
            of = f"{self.name}/{sort}" if sort else self.name
            self._say(f"{left} more of `{of}` were lost than were there")

    def _count(self, stage: int, count: int, sort: str) -> None:
        groups = list(self._with(stage))
        differs = count - sum(group.standing(stage, sort) for group in groups)
        if differs > 0:
            groups[0].found[stage] += differs
            groups[0].put(stage, differs, self.today if stage else None, sort)
        for group in reversed(groups):
            taken = group.take(stage, max(-differs, 0), sort, latest=True)
            gone = sum(many for _, many in taken)
            group.found[stage] -= gone
            differs += gone

    def _put_back(self, stage: int, until: date, count: int, sort: str) -> None:
        left = count
        for group in self._with(stage):
            for lot in list(group.lots[stage]):
                part = min(lot.count, left) if sort in ("", lot.sort) else 0
                if not part or (lot.until or date.min) >= until:
                    continue
                lot.count -= part
                left -= part
                group.lots[stage].append(Lot(part, lot.since, until, lot.sort))
            group.lots[stage] = [lot for lot in group.lots[stage] if lot.count]
