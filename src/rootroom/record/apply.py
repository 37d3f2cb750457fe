"""The plan that is left, and the state it is taken from: what was done out of it, what is there in.

Every stage works on the plan that comes out as on any other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from attrs import evolve, field, frozen

from rootroom.plan.entries import NO_MARKS, Bed, Marks, PostedLine, StoredMix
from rootroom.plan.model import Move, Plan, PlantKind, Roster, Work
from rootroom.record.empty_containers import ContainerCount, containers_there
from rootroom.record.events import Event, holding, works
from rootroom.record.mix_and_goods import Goods, count_goods, layer_of
from rootroom.record.plants import Group, Lot, replay_plants
from rootroom.record.posted import Choices, as_posted, choices_of, posted_lines
from rootroom.tolerances import AS_WRITTEN, DUST_L

Sorts = tuple[tuple[str, int], ...]


def apply_record(plan: Plan, events: Iterable[Event], *, today: date | None = None) -> Plan:
    """Return what is left of a plan after a record, from `today` on (else its last day)."""
    return plan_from(plan, replay(plan, events), today=today)


def plan_from(plan: Plan, state: State, *, today: date | None = None, anew: bool = False) -> Plan:
    """Return what is left of a plan after what was done, from `today` on (else the last day).

    What the posted plan chose stays chosen, unless it is planned `anew`.
    Moves that were made are gone; the next ones wait from the day on which they really were.
    Stock, packs and heaps hold what is left, `stored` the mix that is there.
    A day on which work was done, and every day that was called off, is no work day any more.
    """
    begin = today or state.last
    left = evolve(
        plan,
        plants=_roster(plan.plants, state),
        beds=tuple(bed for bed in (_bed_left(bed, state) for bed in plan.beds) if bed is not None),
        stock={text: box.on_hand for text, box in sorted(state.boxes.items()) if box.on_hand},
        supplies=state.goods.supplies or plan.supplies,
        work=_work_left(plan.work, state, begin),
        stored={
            name: StoredMix(book.there, book.made)
            for name, book in sorted(state.goods.mixes.items())
            if book.there > DUST_L and name in plan.mixes
        },
        posted=state.posted,
        made=tuple(
            made for found in state.groups.values() for one in found for made in one.with_care
        ),
    )
    return left if anew else as_posted(left, state.choices, state.worked)


def _work_left(work: Work, state: State, begin: date | None) -> Work:
    if begin is None:
        return work
    days = tuple(
        day
        for day in work.days
        if day.date >= begin
        and day.date not in state.worked
        and not any(stop.first <= day.date < stop.end for stop in state.stops)
    )
    return evolve(work, days=days, first=max(work.first, begin))


# Plants


def _roster(roster: Roster, state: State) -> Roster:
    """Return the groups with the moves that are left; those nobody told of as they are."""
    told = {group.row: group for found in state.groups.values() for group in found}
    if not told:
        return roster
    kinds = list(roster.kinds)
    known = dict.fromkeys((NO_MARKS, *roster.marks))
    marks: dict[Marks, int] = {one: number for number, one in enumerate(known)}
    names: list[str] = []
    counts: list[int] = []
    kind_of: list[int] = []
    mark_of: list[int] = []
    for row, (name, count, kind) in enumerate(
        zip(roster.names, roster.counts, roster.kind_of, strict=True)
    ):
        own = roster.marks_at(row)
        if row not in told:
            parts: list[tuple[int, Marks, int]] = [(count, own, kind)]
        else:
            parts = []
            for number, sorts, left in _parts(told[row]):
                parts.append((number, evolve(own, sorts=sorts), len(kinds)))
                kinds.append(left)
        for number, mark, of_kind in parts:
            names.append(name)
            counts.append(number)
            kind_of.append(of_kind)
            mark_of.append(marks.setdefault(mark, len(marks)))
    if not any(mark_of):
        return Roster(tuple(kinds), names, counts, kind_of)
    return Roster(tuple(kinds), names, counts, kind_of, tuple(marks), mark_of)


def _parts(group: Group) -> Iterable[tuple[int, Sorts, PlantKind]]:
    """Yield what is left of a group, in parts that may go on at the same time, foremost first."""
    for _, count, sorts, moves in parts_left(group):
        if moves:
            yield count, sorts, evolve(group.kind, now=moves[0].old, moves=moves)


def parts_left(group: Group) -> Iterable[tuple[int, int, Sorts, tuple[Move, ...]]]:
    """Yield moves made, plants that have made them, their sorts, and the moves still to do.

    Foremost plants come first; plants with nothing more to do have no moves. Where only some make
    a move, those that are ahead make it.
    """
    quota = [_quota(group, number) for number in range(1, len(group.moves) + 1)]
    for stage in range(len(group.moves), -1, -1):
        for count, sorts, opens in _alike(group, stage):
            moves, going = [], count
            for move in group.moves[stage:]:
                number = move.number - 1
                there = going * move.into
                left = quota[number]
                going = there if left is None else min(there, left)
                if not going:
                    break
                if left is not None:
                    quota[number] = left - going
                moves.append(evolve(move, count=None if going == there else going))
            if moves:
                moves[0] = evolve(moves[0], opens=max(moves[0].opens, opens))
            yield stage, count, sorts, tuple(moves)


def _quota(group: Group, number: int) -> int | None:
    """Return how many plants may still make a move, where the plan says how many; else None."""
    planned = group.moves[number - 1].count
    return None if planned is None else max(planned - group.into[number], 0)


def _alike(group: Group, stage: int) -> list[tuple[int, Sorts, date]]:
    """Return how many plants of a stage may make their next move, of which sorts, and from when."""
    found: dict[date, list[tuple[str, int]]] = {}
    for lot in group.lots[stage]:
        opens = _opens(lot, group.moves[stage]) if stage < len(group.moves) else date.min
        found.setdefault(opens, []).append((lot.sort, lot.count))
    return [
        (sum(count for _, count in lots), tuple(lot for lot in lots if lot[0]), opens)
        for opens, lots in sorted(found.items())
    ]


def _opens(lot: Lot, move: Move) -> date:
    days = [lot.until or date.min]
    if lot.since is not None:
        days.append(lot.since + timedelta(move.wait_days))
    return max(days)


# Beds


def _bed_left(bed: Bed, state: State) -> Bed | None:
    """Return a bed without what is in it, None if nothing is missing; layers keep their number."""
    shares: Sequence[float] = [
        state.filled.get((bed.name, number), 0.0) for number in range(1, len(bed.layers) + 1)
    ]
    if not any(shares):
        return bed
    given_m = sum(layer.depth_m or 0.0 for layer in bed.layers)
    rest_m = max(bed.depth_m - bed.already_m - given_m, 0.0)
    in_m, layers = 0.0, []
    for number, (layer, share) in enumerate(zip(bed.layers, shares, strict=True), 1):
        depth_m = rest_m if layer.depth_m is None else layer.depth_m
        in_m += share * depth_m
        if share < 1 - AS_WRITTEN:
            left_m = None if layer.depth_m is None else depth_m * (1 - share)
            layers.append(evolve(layer, depth_m=left_m, number=number, left_share=1 - share))
    if not layers:
        return None
    return evolve(bed, already_m=bed.already_m + in_m, layers=tuple(layers))


@frozen
class Stop:
    """Days on which no work is done, from `first` until before `end`, and why."""

    first: date
    end: date
    reason: str


@frozen
class State:
    """What a record comes to, replayed onto its plan.

    `groups` are the plants that it tells of by name, `boxes` the containers by text, `filled` the
    share [0 to 1] of each layer that is in, by bed and layer from 1 below.
    `worked` are the days on which work was done, `stops` those on
    which none is, `last` the last day on which anything happened, `posted` the lines of the last
    posted plan and `choices` what it chose to blend and to buy where.
    `odd` says in words what does not fit the plan and was dealt with as well as could be.
    """

    groups: Mapping[str, Sequence[Group]] = field(factory=dict)
    boxes: Mapping[str, ContainerCount] = field(factory=dict)
    goods: Goods = field(factory=Goods)
    filled: Mapping[tuple[str, int], float] = field(factory=dict)
    worked: frozenset[date] = frozenset()
    stops: tuple[Stop, ...] = ()
    last: date | None = None
    posted: tuple[PostedLine, ...] = ()
    choices: Choices = field(factory=Choices)
    odd: tuple[str, ...] = ()

    @property
    def done(self) -> dict[tuple[str, int], int]:
        """Plants that made each move, by name and move, counted as they were afterwards."""
        made: dict[tuple[str, int], int] = defaultdict(int)
        for name, groups in self.groups.items():
            for group in groups:
                for move in range(1, len(group.into)):
                    made[name, move] += group.into[move]
        return {key: count for key, count in made.items() if count}

    @property
    def called_off(self) -> list[tuple[date, date, str]]:
        """Days without work: from the first until before the second, and why."""
        return [(stop.first, stop.end, stop.reason) for stop in self.stops]


def replay(plan: Plan, events: Iterable[Event]) -> State:
    """Return the state that a record's events lead to from the plan as it was written.

    Independent events may stand in any order; of a chain of corrections the last one holds.
    """
    told = holding(events)
    groups, odd = replay_plants(plan.plants, told)
    goods = count_goods(plan, told, groups)
    filled, unknown = _filled(plan, told)
    return State(
        groups=groups,
        boxes=containers_there(plan, told, groups, goods),
        goods=goods,
        filled=filled,
        worked=frozenset(event.day for event in told if works(event)),
        stops=tuple(_stops(told)),
        last=max((event.day for event in told if event.kind != "planned"), default=None),
        posted=posted_lines(told),
        choices=choices_of(told),
        odd=(*odd, *goods.odd, *unknown),
    )


def _filled(plan: Plan, events: Iterable[Event]) -> tuple[dict[tuple[str, int], float], list[str]]:
    beds = {bed.name: bed for bed in plan.beds}
    filled: dict[tuple[str, int], float] = defaultdict(float)
    odd = []
    for event in events:
        if event.kind != "filled":
            continue
        bed = beds.get(event.data["bed"])
        layer = None if bed is None else layer_of(bed, event)
        if bed is None or layer is None:
            number, name = event.data["layer"], event.data["bed"]
            odd.append(f"{event.day}: the plan has no layer {number} of a bed called `{name}`")
            continue
        filled[bed.name, layer] += event.data["share"]
    return {key: min(share, 1.0) for key, share in sorted(filled.items())}, odd


def _stops(events: Iterable[Event]) -> Iterable[Stop]:
    for event in events:
        if event.kind == "day off":
            day = date.fromisoformat(event.data["day"])
            yield Stop(day, date.fromordinal(day.toordinal() + 1), event.data["reason"])
        elif event.kind == "postponed":
            yield Stop(event.day, date.fromisoformat(event.data["until"]), event.data["reason"])
