"""What the numbered tasks of a session problem stand for, and which groups are moved as one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from math import lcm

from attrs import field, frozen

from rootroom.plan.entries import NO_MARKS, Bed, Marks
from rootroom.plan.inner_mixes import added_per_l, laid_in_per_l
from rootroom.plan.model import Move, Plan, PlantKind
from rootroom.scheduling.problem import Problem, Use
from rootroom.units import Amount, Rate

MERGE_FROM = 300
"""With more groups than this, groups that are moved alike become one task."""
MovedAlike = tuple[str, int, Marks]
"""Name, count and marks of one group."""


@frozen
class Row:
    """One group in a task: how many plants the move leaves it with, and their mix in all [L].

    The counts of the sorts in `marks` are those after the move.
    """

    name: str
    count: int
    mix_l: float
    marks: Marks = NO_MARKS


@frozen
class MoveItem:
    """One move of one group, or of many groups that are moved alike.

    `unit` is how many plants a unit of the task stands for, `plants` how many the move leaves and
    `old_plants` how many stood there before; `previous` is the task of the move before.
    `wash_min` and `water_min` [min] a plant are washing and watering in that count as work of the
    session beside the move.
    `on_deck` says whether the plan tells the area that the plants stand on, whose load then counts.
    """

    kind: str
    move: Move
    rows: tuple[Row, ...]
    unit: int
    plants: int
    old_plants: int
    previous: int | None = None
    wash_min: float = 0.0
    water_min: float = 0.0
    on_deck: bool = False

    @property
    def names(self) -> str:
        """The group's name; for many groups the first and how many more."""
        more = len(self.rows) - 1
        return self.rows[0].name + (f" and {more} more" if more else "")

    @property
    def keys(self) -> list[tuple[str, int]]:
        """The names and numbers of its lines in a posted plan."""
        return [(row.name, self.move.number) for row in self.rows]

    @property
    def old_per_container(self) -> int:
        """How many plants stand in one whole old container."""
        return self.move.shared * self.move.old.cells


@frozen
class BedItem:
    """Part of a layer of a bed: `portions` of the layer's `of_portions`, from `first` on.

    `litres` is the loose volume of the whole layer, `lifts` how many lifts its depth asks for;
    `finishes` says whether the bed is done with the last portion, `mixed` whether `of` names a mix
    that comes blended; of one that is blended in place `parts` [L] and `rates` are what a litre of
    it takes.
    """

    bed: Bed
    layer: int
    of: str
    litres: float
    portions: int
    of_portions: int
    first: int
    lifts: int
    finishes: bool
    mixed: bool
    parts: Mapping[str, float] = field(factory=dict)
    rates: Mapping[str, Rate] = field(factory=dict)

    def laid_l(self, share: float) -> dict[str, float]:
        """Return the loose litres [L] of each ingredient in a share of the layer, `mixed` none."""
        litres = self.litres * share
        if self.mixed:
            return {}
        each = self.parts or {self.of: 1.0}
        return {name: litres * per_l for name, per_l in each.items()}

    def added(self, share: float) -> dict[str, Amount]:
        """Return the additions that go into a share of the layer where it is blended in place."""
        litres = self.litres * share
        return {
            name: Amount(
                None if rate.kg_per_l is None else rate.kg_per_l * litres,
                None if rate.l_per_l is None else rate.l_per_l * litres,
            )
            for name, rate in self.rates.items()
        }

    @property
    def keys(self) -> list[tuple[str, int]]:
        """The name and number of its lines in a posted plan."""
        return [(self.bed.name, self.bed.layers[self.layer].number or self.layer + 1)]


def laid_in(
    plan: Plan, bed: Bed, of: str, *, bagged: bool
) -> tuple[Mapping[str, float], Mapping[str, Rate]]:
    """Return loose litres and additions that a litre of a mix takes where its bed is its vessel.

    Both are empty for what comes blended: a mix of which some is `bagged`, or that holds bags.
    """
    if not bed.in_place or bagged or of not in plan.mixes or plan.mixes[of].bought:
        return {}, {}
    parts = laid_in_per_l(plan.mixes, of)
    return ({}, {}) if set(parts) & set(plan.mixes) else (parts, added_per_l(plan.mixes, of))


Item = MoveItem | BedItem


@frozen(eq=False)
class Work:
    """A session problem, and what its numbers mean.

    `items` by task number, `mixes` and `containers` by theirs; `ticks` is how many of the
    problem's whole minutes make one minute of the clock. `ready` names the mixes that are bought,
    `there_ml` and `bags_ml` [ml] are what a unit of a task takes of mix that a record says is
    there, and out of bags, by task: the problem counts only what must be blended for it.
    Of the clock's time `spare_share` stays unplanned, and `idle` are the dates that could be work
    days beside those of the problem: inside the work dates, and not off.
    """

    problem: Problem
    items: tuple[Item, ...]
    mixes: tuple[str, ...]
    containers: tuple[str, ...]
    ticks: int
    ready: frozenset[str] = frozenset()
    there_ml: Mapping[int, int] = field(factory=dict)
    bags_ml: Mapping[int, int] = field(factory=dict)
    spare_share: float = 0.0
    idle: tuple[int, ...] = ()

    def minutes(self, ticks: int) -> float:
        """Return whole minutes of the problem as minutes [min] of the clock."""
        return ticks / self.ticks


def kind_of_move(move: Move) -> str:
    """Return the trade's word for a move."""
    if move.refresh is not None:
        return "fill up" if move.begun else "refresh"
    if move.place is None:
        return "move"
    kinds = {"sold": "sell", "shelter": "bring in", "outdoors": "set out"}
    return kinds.get(move.place, "plant out")


def unit_of(move: Move, plants: int, old_plants: int) -> int:
    """Return how many plants are moved as one: of a pot, a ball, or a carried tray."""
    divided = move.into if plants == old_plants * move.into else 1
    unit = lcm(divided, move.per_pot * (move.cells if move.carried else 1))
    return unit if plants % unit == 0 else 1


def needed_use(item: MoveItem, container: int) -> Use | None:
    """Return the containers that a move fills, per units of its task; None for none."""
    move, plants = item.move, item.plants
    rows = Counter(row.count for row in item.rows)
    total = sum(move.containers(count) * number for count, number in rows.items())
    if not total:
        return None
    assert move.to is not None
    per = move.per_pot * move.to.cells
    if -(-plants // per) != total:  # many groups, each with a last tray or pot of its own
        return Use(container, total, plants // item.unit)
    if item.unit % per == 0:
        return Use(container, item.unit // per, 1)
    if per % item.unit == 0:
        return Use(container, 1, per // item.unit)
    return Use(container, total, plants // item.unit)


def freed_use(item: MoveItem, container: int) -> Use | None:
    """Return the containers that a move empties, per units of its task; None for none.

    A tray or shared pot out of which only some plants go is not empty.
    """
    total = containers_freed(item)
    if not total:
        return None
    units = item.plants // item.unit
    per = item.old_per_container * item.move.into
    whole = -(-item.plants // per) == total
    if whole and per % item.unit == 0:
        return Use(container, 1, per // item.unit)
    if whole and item.unit % per == 0:
        return Use(container, item.unit // per, 1)
    return Use(container, total, units)


def containers_freed(item: MoveItem) -> int:
    """Return how many containers a whole move leaves empty; plants are sold in their pots."""
    move = item.move
    if not move.empties:
        return 0
    per = item.old_per_container * move.into
    taken = -(-item.plants // move.into)
    if taken >= item.old_plants:
        return sum(-(-row.count // per) for row in item.rows)
    return item.plants // per


def moved_alike(plan: Plan) -> list[tuple[PlantKind, list[MovedAlike]]]:
    """Return what is moved as one: single groups, or in long lists all that are moved alike."""
    if len(plan.plants) <= MERGE_FROM:
        return [(g.kind, [(g.name, g.count, g.marks)]) for g in plan.plants if g.kind.moves]
    kinds = plan.plants.kinds
    alike: dict[object, int] = {}
    same = [alike.setdefault(_likeness(kind), number) for number, kind in enumerate(kinds)]
    alone = [any(move.count is not None for move in kind.moves) for kind in kinds]
    merged: dict[tuple[int, int], list[MovedAlike]] = {}
    rows = zip(plan.plants.names, plan.plants.counts, plan.plants.kind_of, strict=True)
    for row, (name, count, number) in enumerate(rows):
        key = (same[number], row if alone[number] else -1)
        merged.setdefault(key, []).append((name, count, plan.plants.marks_at(row)))
    return [(kinds[n], groups) for (n, _), groups in merged.items() if kinds[n].moves]


def _likeness(kind: PlantKind) -> object:
    """Return a key that is equal for kinds whose moves are the same work in the same windows."""
    return tuple(
        (
            m.old.text, m.to and m.to.text, m.place, m.refresh, m.mix, m.opens, m.due, m.count,
            m.wait_days, m.harden_days, m.per_pot, m.shared, m.into, m.keep_share, m.people,
            tuple(sorted((name, a.kg, a.l) for name, a in m.add.items())), m.care,
            m.filled, m.begun, m.old_filled,
        )
        for m in kind.moves
    )  # fmt: skip
