"""The state of a season after its record: plants, containers, goods, money and minutes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from attrs import field, frozen

from rootroom.plan.goods import PostedLine
from rootroom.plan.model import Plan
from rootroom.record.empty_containers import ContainerCount, count_containers
from rootroom.record.events import WORK_KINDS, Event, holding
from rootroom.record.mix_and_goods import Goods, count_goods, layer_of
from rootroom.record.plants import Group, replay_plants
from rootroom.record.posted import Choices, choices_of, posted_lines


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
    share [0 to 1] of each layer that is in, by bed and layer from 1 below, `minutes` the
    person-minutes worked by day. `worked` are the days on which work was done, `stops` those on
    which none is, `last` the last day on which anything happened, `posted` the lines of the last
    posted plan and `choices` what it chose to blend and to buy where.
    `odd` says in words what does not fit the plan and was dealt with as well as could be.
    """

    groups: Mapping[str, Sequence[Group]] = field(factory=dict)
    boxes: Mapping[str, ContainerCount] = field(factory=dict)
    goods: Goods = field(factory=Goods)
    filled: Mapping[tuple[str, int], float] = field(factory=dict)
    minutes: Mapping[date, float] = field(factory=dict)
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
    minutes: dict[date, float] = defaultdict(float)
    for event in told:
        if event.kind == "worked":
            minutes[event.day] += event.data["minutes"]
    return State(
        groups=groups,
        boxes=count_containers(plan, told, groups, goods.boxes),
        goods=goods,
        filled=filled,
        minutes=dict(sorted(minutes.items())),
        worked=frozenset(_worked(told)),
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


def _worked(events: Iterable[Event]) -> Iterable[date]:
    for event in events:
        state = event.data.get("state") if event.kind == "session" else None
        if event.kind in WORK_KINDS or state in ("done", "cut short"):
            yield event.day


def _stops(events: Iterable[Event]) -> Iterable[Stop]:
    for event in events:
        if event.kind == "day off":
            day = date.fromisoformat(event.data["day"])
            yield Stop(day, date.fromordinal(day.toordinal() + 1), event.data["reason"])
        elif event.kind == "postponed":
            yield Stop(event.day, date.fromisoformat(event.data["until"]), event.data["reason"])
