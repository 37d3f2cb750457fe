"""A plan with its demand and mix cards as a session problem in whole numbers.

Every move of every group becomes a task, every layer of a bed one or two, so that the answer can be
read back through `Work.items`.
Groups that are moved alike are one task in long lists: the first plants of the file go first, which
keeps every rule of each group, and a list of thousands is no harder than its kinds.
Minutes and volumes are rounded up, what a day offers is rounded down.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from math import floor
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from attrs import evolve

from rootroom.counts import ceil_count
from rootroom.demand.quick import likely_mix_l
from rootroom.plan.entries import Bed
from rootroom.plan.model import Plan, PlantKind, WorkDay
from rootroom.scheduling.problem import Container, Day, Hold, Mix, Order, Problem, Task, Use
from rootroom.sessions.tasks import (
    BedItem,
    Item,
    MovedAlike,
    MoveItem,
    Row,
    Work,
    containers_freed,
    freed_use,
    kind_of_move,
    laid_in,
    moved_alike,
    needed_use,
    unit_of,
)
from rootroom.sessions.timetable import Effort, ticks_of
from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    from rootroom.demand.find import Demand
    from rootroom.mixing.card import Blending


LIFT_M = 0.20
"""A deep bed is filled in lifts of about 8 in (common practice, no source)."""


def build_work(
    plan: Plan,
    demand: Demand,
    blending: Blending,
    *,
    start_from: date | None = None,
    ready_share: Mapping[str, float] | None = None,
    placed_on: Mapping[int, int] = MappingProxyType({}),
) -> Work:
    """Return the session problem of a plan, on the work days from `start_from` on.

    `ready_share` says how much of a mix with a recipe comes ready-made [0 to 1], and `placed_on`
    the date on which each task begins, as far as that is known: the first of them takes the mix
    that is there.
    """
    builder = _Builder(plan, demand, blending, ready_share or {}, placed_on)
    for bed in plan.beds:
        builder.add_bed(bed)
    for kind, groups in moved_alike(plan):
        builder.add_moves(kind, groups)
    return builder.finish(start_from or plan.work.first)


class _Builder:
    """Gathers tasks with minutes as floats; `finish` turns them into whole numbers."""

    def __init__(
        self,
        plan: Plan,
        demand: Demand,
        blending: Blending,
        ready_share: Mapping[str, float],
        placed_on: Mapping[int, int],
    ) -> None:
        self.plan, self.demand, self.blending = plan, demand, blending
        self.ready_share, self.placed_on = ready_share, placed_on
        self.ready = frozenset(
            name
            for name, mix in plan.mixes.items()
            if mix.bought or mix.only == "ready" or ready_share.get(name, 0.0) >= 1
        )
        self.effort = Effort(plan)
        self.items: list[Item] = []
        self.tasks: list[dict[str, Any]] = []
        self.minutes: list[float] = []
        self.orders: list[Order] = []
        self.bed_tasks: dict[str, int] = {}
        self.mixes = {name: number for number, name in enumerate(plan.mixes)}
        self.containers: dict[str, int] = {}
        for kind in plan.plants.kinds:
            for move in kind.moves:
                if move.to is not None and move.to.holds:
                    self.containers.setdefault(move.to.text, len(self.containers))

    def add(self, item: Item, minutes: float, **task: Any) -> int:
        self.items.append(item)
        self.minutes.append(minutes)
        self.tasks.append({"last": self.plan.work.last.toordinal(), **task})
        return len(self.items) - 1

    # Beds

    def add_bed(self, bed: Bed) -> None:
        """Add the layers of a bed from below; it is done, and late, with its last portion."""
        litres = [
            row.litres.likely * self.demand.median_over_likely.get(row.of, 1.0)
            for row in self.demand.beds
            if row.bed == bed.name
        ]
        total = sum(litres) or 1.0
        previous = None
        for number, layer in enumerate(bed.layers):
            last = number == len(bed.layers) - 1
            lifts = self._lifts(bed, number)
            minutes = self.effort.bed_min(litres[number], litres[number] / total)
            bagged = layer.of in self.ready or self.ready_share.get(layer.of, 0.0) > 0
            laid = laid_in(self.plan, bed, layer.of, bagged=bagged)
            minutes += self.effort.in_place_min(litres[number]) if laid[0] else 0.0
            mixed = layer.of in self.mixes and not laid[0]
            portions = max(lifts, self._portions(layer.of, litres[number], minutes, mixed))
            parts = [(0, portions - 1), (portions - 1, 1)] if last else [(0, portions)]
            for first, many in parts:
                if not many:
                    continue
                finishes = last and first + many == portions
                item = BedItem(
                    bed, number, layer.of, litres[number], many, portions, first, lifts, finishes,
                    mixed, *laid,
                )  # fmt: skip
                task = self._add_portions(item, minutes / portions)
                if previous is not None:
                    self.orders.append(Order(previous, task, whole=True))
                previous = task
        if previous is not None:
            self.bed_tasks[bed.name] = previous

    def _add_portions(self, item: BedItem, minutes: float) -> int:
        mix = self.mixes.get(item.of) if item.mixed else None
        return self.add(
            item,
            minutes,
            count=item.portions,
            opens=item.bed.opens.toordinal(),
            due=item.bed.due.toordinal() if item.finishes else None,
            mix=mix,
            mix_ml=0 if mix is None else ceil_count(item.litres * 1000 / item.of_portions, 1),
            people=item.bed.people,
            plants=1 if item.finishes else 0,
        )

    def _lifts(self, bed: Bed, number: int) -> int:
        depth = bed.layers[number].depth_m
        if depth is None:
            others = sum(layer.depth_m or 0.0 for layer in bed.layers)
            depth = bed.depth_m - bed.already_m - others
        if bed.layers[number].of not in self.mixes:
            return 1
        return max(1, ceil_count(depth, LIFT_M))

    def _portions(self, of: str, litres: float, minutes: float, mixed: bool) -> int:
        """Return into how many portions a layer is cut so that each fits well into a session."""
        work = minutes
        if mixed and of not in self.ready:
            work += self.effort.blend_min(litres, self.plan.work.vessel_l)
        days = self.plan.work.days
        longest = max((day.minutes * day.people for day in days), default=0.0)
        return ceil_count(work, longest / 4) if longest else 1

    # Plants

    def add_moves(self, kind: PlantKind, groups: Sequence[MovedAlike]) -> None:
        """Add the moves of one group, or of all groups that are moved alike."""
        # A long list has few counts, so what follows from a count is found once.
        after = {count: kind.counts(count) for count in {count for _, count, _ in groups}}
        old_plants, previous, divided = sum(count for _, count, _ in groups), None, 1
        for number, move in enumerate(kind.moves):
            divided *= move.into
            there = {count: row[number] for count, row in after.items()}
            middle = self.demand.median_over_likely.get(move.mix or "", 1.0)
            litres = {
                n: likely_mix_l(move, n, self.plan.factors) * middle for n in set(there.values())
            }
            rows = tuple(
                Row(name, there[count], litres[there[count]], marks.divided(divided))
                for name, count, marks in groups
            )
            plants = sum(row.count for row in rows)
            unit = unit_of(move, plants, old_plants)
            if any(row.count % unit for row in rows):
                unit = 1
            item = MoveItem(kind_of_move(move), move, rows, unit, plants, old_plants, previous)
            water_min, on_deck = self.effort.water_in_min(move), kind.stands_m2 is not None
            item = evolve(self._with_washing(item), water_min=water_min, on_deck=on_deck)
            task = self._add_move(item)
            if previous is not None:
                self._order_moves(previous, task)
            if move.place in self.bed_tasks:
                self.orders.append(Order(self.bed_tasks[move.place], task, whole=True))
            old_plants, previous = plants, task

    def _add_move(self, item: MoveItem) -> int:
        move, units = item.move, item.plants // item.unit
        litres = sum(row.mix_l for row in item.rows)
        mix = self.mixes[move.mix] if move.mix is not None and litres else None
        return self.add(
            item,
            (self.effort.plant_min(move) + item.wash_min + item.water_min) * item.unit,
            count=units,
            opens=move.opens.toordinal(),
            due=move.due.toordinal(),
            mix=mix,
            mix_ml=0 if mix is None else ceil_count(litres * 1000 / units, 1),
            people=move.people,
            plants=item.unit,
            one_group=len(item.rows) == 1,
            needs=self._uses(item, filling=True),
            frees=self._uses(item, filling=False),
        )

    def _with_washing(self, item: MoveItem) -> MoveItem:
        """Add the washing of containers that serve again, if the plan counts it as session work."""
        old = item.move.old
        if not self.effort.wash_counts or old.text not in self.containers:
            return item
        minutes = self.effort.wash_min(old, containers_freed(item))
        return evolve(item, wash_min=minutes / item.plants)

    def _uses(self, item: MoveItem, *, filling: bool) -> tuple[Use, ...]:
        container = item.move.to if filling else item.move.old
        if container is None or container.text not in self.containers:
            return ()
        number = self.containers[container.text]
        use = needed_use(item, number) if filling else freed_use(item, number)
        return () if use is None else (use,)

    def _order_moves(self, before: int, after: int) -> None:
        first, then = self.items[before], self.items[after]
        assert isinstance(first, MoveItem)
        assert isinstance(then, MoveItem)
        gives, takes = first.unit * then.move.into, then.unit
        gap = then.move.wait_days
        self.orders.append(Order(before, after, gap, gives=gives, takes=takes))

    # Whole numbers

    def finish(self, first: date) -> Work:
        """Return the problem with its meaning, in ticks that keep the minutes whole."""
        plan, work = self.plan, self.plan.work
        blending = [
            self.effort.blend_min(card.unit_l, work.vessel_l)
            for name, card in self.blending.cards.items()
            if name not in self.ready
        ]
        ticks = ticks_of([*self.minutes, work.setup_min, work.mix_setup_min, *blending])
        days = [day for day in work.days if day.date >= first]
        there, bags = self._take_there(first), self._take_bags(first)
        problem = Problem(
            days=tuple(_day(day, work.spare_share, ticks) for day in days),
            tasks=tuple(
                Task(minutes=ceil_count(minutes * ticks, 1), **task)
                for minutes, task in zip(self.minutes, self.tasks, strict=True)
            ),
            orders=tuple(self.orders),
            mixes=tuple(self._mix(name, ticks) for name in self.mixes),
            containers=tuple(_container(plan, text) for text in self.containers),
            session_setup=ceil_count(work.setup_min * ticks, 1),
            mix_setup=ceil_count(work.mix_setup_min * ticks, 1),
            store_ml=floor(work.store_l * 1000 + ROUNDING),
        )
        taken = {day.date for day in days} | work.off
        dates = (date.fromordinal(n) for n in range(first.toordinal(), work.last.toordinal() + 1))
        idle = tuple(day.toordinal() for day in dates if day not in taken)
        return Work(
            problem, tuple(self.items), tuple(self.mixes), tuple(self.containers), ticks,
            self.ready, there, bags, work.spare_share, idle,
        )  # fmt: skip

    # Mix that need not be blended

    def _take_there(self, first: date) -> dict[int, int]:
        """Let the first tasks take the mix that is there; return what a unit of each takes [ml].

        So it is laid out in the time that it took in the plan, and not blended once more.
        """
        taken: dict[int, int] = {}
        for name, heap in self.plan.stored.items():
            if name in self.mixes and name not in self.ready:
                until = (heap.made or first).toordinal() + self._keep_days(name)
                users = [(day, n) for day, n in self._users(name, first) if day <= until]
                taken |= self._take([n for _, n in users], floor(heap.litres * 1000 + ROUNDING))
        return taken

    def _take_bags(self, first: date) -> dict[int, int]:
        """Let the last tasks take what comes out of bags; return what a unit of each takes [ml].

        Own mix is blended first: unopened bags keep, and can go back if the season takes less.
        """
        whole = {name: 0.0 for name in self.mixes}
        for task in self.tasks:
            if task["mix"] is not None:
                whole[list(self.mixes)[task["mix"]]] += task["count"] * task["mix_ml"]
        for name in reversed(list(self.blending.cards)):  # outer mixes before those they hold
            for hold in self._holds(name) if name in self.mixes else ():
                whole[list(self.mixes)[hold.mix]] += whole[name] * hold.parts / hold.whole
        taken: dict[int, int] = {}
        for name, share in self.ready_share.items():
            if 0 < share < 1 and name not in self.ready:
                users = [n for _, n in reversed(self._users(name, first))]
                bags_ml = self.plan.posted_bags_l.get(name, whole[name] * share / 1000) * 1000
                taken |= self._take(users, floor(min(bags_ml, whole[name]) + ROUNDING))
        return taken

    def _take(self, numbers: Sequence[int], left_ml: int) -> dict[int, int]:
        taken: dict[int, int] = {}
        for number in numbers:
            task = self.tasks[number]
            each = min(task["mix_ml"], left_ml // task["count"])
            if each > 0:
                taken[number] = each
                task["mix_ml"] -= each
                left_ml -= each * task["count"]
        return taken

    def _users(self, name: str, first: date) -> list[tuple[int, int]]:
        """Return the tasks that a mix goes into, in the order of their days, each with its day.

        That is the first day that was found for it, else in the posted plan, else the one that it
        may begin on.
        """
        posted: dict[tuple[str, int], int] = {}
        for line in self.plan.posted:
            key, day = (line.name, line.number), line.day.toordinal()
            posted[key] = min(posted.get(key, day), day)
        found = []
        for number, (task, item) in enumerate(zip(self.tasks, self.items, strict=True)):
            if task["mix"] == self.mixes[name]:
                days = [posted[key] for key in item.keys if key in posted]
                usual = max(task["opens"], first.toordinal())
                day = self.placed_on.get(number, min(days, default=usual))
                found.append((day, number))
        return sorted(found)

    def _mix(self, name: str, ticks: int) -> Mix:
        work, mix = self.plan.work, self.plan.mixes[name]
        days = self._keep_days(name)
        card = self.blending.cards.get(name)
        # What goes into bagged mix is turned under a vesselful at a time.
        unit_l = work.vessel_l if card is None else card.unit_l
        minutes = ceil_count(self.effort.blend_min(unit_l, work.vessel_l) * ticks, 1)
        unit_ml = max(1, floor(unit_l * 1000 + ROUNDING))
        if name in self.ready:
            put_in = mix.bought and mix.add
            return Mix(minutes, 0, unit_ml=unit_ml) if put_in else Mix(0, days)
        return Mix(minutes, days, self._holds(name), unit_ml)

    def _keep_days(self, name: str) -> int:
        keeps, most = self.plan.mixes[name].keeps_days, self.plan.work.store_days
        return most if keeps is None else min(keeps, most)

    def _holds(self, name: str) -> tuple[Hold, ...]:
        mix = self.plan.mixes[name]
        loose = mix.loose_per_l(mix.shrink.likely)
        total = sum(mix.parts.values())
        return tuple(
            Hold(self.mixes[part], ceil_count(float(share / total) * loose * 1e6, 1), 1_000_000)
            for part, share in mix.parts.items()
            if part in self.mixes
        )


def _day(day: WorkDay, spare: float, ticks: int) -> Day:
    clock = day.minutes * (1 - spare) * ticks
    minutes = floor(clock * day.people + ROUNDING)
    return Day(day.date.toordinal(), minutes, floor(clock + ROUNDING), day.people)


def _container(plan: Plan, text: str) -> Container:
    """Return what is at hand and what may be bought; a container without a supply may be bought."""
    supplies = [s for s in plan.supplies if s.of_kind == "container" and s.of == text]
    most = 0
    unlimited = not supplies
    for supply in supplies:
        if supply.pack is None or supply.have_pieces is not None:
            continue
        if supply.at_most is None:
            unlimited = True
        else:
            most += supply.at_most * (supply.pack.pieces or 1)
    return Container(plan.stock.get(text, 0), None if unlimited else most)
