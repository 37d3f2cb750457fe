"""The session problem in whole numbers: what must be done, on which days it may be done, with what.

Nothing here knows a plant, a file or a unit.
Minutes are person-minutes, volumes are millilitres, a *date* is a calendar day counted from any
origin, and a *day* is a position in `Problem.days`, the days on which work is allowed.
A *unit* is whatever a task counts: a plant, a pot that several plants share, a tray, a whole bed.

Rules, all hard except `due`:

- all units of a task are done, on days from `opens` to `last` that have at least `people` people,
  and on one single day if the task may not be split;
- the work of a day, with `session_setup` once, `mix_setup` once for each mix that is blended or
  used on the day, and the units blended, fits its `minutes`; a day without work costs nothing;
- what is blended on a day, one batch after the other in the one vessel, fits its `vessel_minutes`;
- a mix is blended on the day of its use or at most `keep_days` before; what waits overnight, of all
  mixes together, is at most `store_ml`; nothing is blended that is not used;
- an order between two tasks keeps its gap, unit by unit (first moved, first to move on) or whole;
- containers in use come from stock, from those bought, or from units that freed them at least
  `wash_days` dates earlier; so a pot emptied in a session is never filled in the same one.

Objectives, one after the other (their names in `OBJECTIVES`): least lateness (dates after `due`,
times units, times `plants`); fewest sessions; fewest groups torn (each part of a task beyond its
first, and each small part once more); fewest set-ups (pairs of day and mix); fewest containers
bought; largest rain reserve (fewest plants on the last day that serves them); the earlier day
(least dates after the first day, times units, times `plants`); and then tasks that stand earlier on
earlier days.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from attrs import evolve, field, frozen
from attrs.validators import ge, gt

OBJECTIVES = ("lateness", "sessions", "torn", "setups", "bought", "reserve", "early")
"""The objectives in their order; each counts only among answers equal in those before it."""


class Status(StrEnum):
    """How much is known of an answer.

    `optimal`: least lateness and, at that lateness, fewest sessions, both proved.
    `feasible`: keeps every rule, not proved best.
    `infeasible`: proved that no answer exists.
    `limit`: none found within the work allowed, and none proved impossible.
    """

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    LIMIT = "limit"


@frozen
class Day:
    """A day on which work is allowed.

    `minutes` [person-minutes] is what may be planned, spare time already taken off, and
    `vessel_minutes` [min] how long the one vessel can turn (the hours of the clock, whatever the
    number of people).
    """

    date: int
    minutes: int = field(validator=ge(0))
    vessel_minutes: int = field(validator=ge(0))
    people: int = field(default=1, validator=ge(0))


@frozen
class Hold:
    """A mix inside another: `parts` of `of` in `whole` of the finished outer mix, by volume."""

    mix: int
    parts: int = field(validator=gt(0))
    whole: int = field(validator=gt(0))


@frozen
class Mix:
    """A mix, blended in whole units of `unit_ml` [ml] that take `unit_minutes` [min] each.

    A unit is the smallest copy of its recipe that can be measured, so a session blends what it
    needs and no vesselful. It keeps `keep_days` [days] from blending to use.
    """

    unit_minutes: int = field(default=0, validator=ge(0))
    keep_days: int = field(default=0, validator=ge(0))
    holds: tuple[Hold, ...] = ()
    unit_ml: int = field(default=1_000_000_000, validator=gt(0))

    def blending(self, ml: int) -> int:
        """Return the minutes [min] of blending so much [ml]."""
        return -(-ml // self.unit_ml) * self.unit_minutes


@frozen
class Container:
    """A kind of container.

    `stock` is clean and at hand, `most_bought` limits buying (None: no limit, 0: cannot be bought),
    and one that is freed can be used again `wash_days` [days] later, at least 1.
    """

    stock: int = field(default=0, validator=ge(0))
    most_bought: int | None = None
    wash_days: int = field(default=1, validator=ge(1))


@frozen
class Use:
    """Containers that a task fills or frees: `number` of kind `container` for every `per` units.

    Filling counts up (two thirds of a tray need the tray), freeing counts down until the task is
    complete (the tray is free when its last plant has gone).
    """

    container: int
    number: int = field(default=1, validator=gt(0))
    per: int = field(default=1, validator=gt(0))

    def filled(self, units: int) -> int:
        """Return how many containers the first `units` units need."""
        return -(-units * self.number // self.per)

    def freed(self, units: int, count: int) -> int:
        """Return how many containers the first `units` of `count` units have freed."""
        return self.filled(count) if units >= count else units * self.number // self.per


@frozen
class Task:
    """One kind of work on a group of equal units.

    `minutes` [person-minutes] and `mix_ml` [ml] are for one unit; a mix of 0 ml is there already
    and is laid out, which takes its set-up alone.
    `opens` and `last` are the first and the last date allowed, `due` the date after which each day
    counts as late (None: `last`).
    `plants` weighs a unit's lateness, and `people` is how many must be there at once.
    `one_group` says that the units are plants of one group, which is better not torn apart.
    """

    count: int = field(validator=gt(0))
    minutes: int = field(validator=ge(0))
    opens: int
    last: int
    due: int | None = None
    mix: int | None = None
    mix_ml: int = field(default=0, validator=ge(0))
    split: bool = True
    people: int = field(default=1, validator=ge(0))
    plants: int = field(default=1, validator=ge(0))
    needs: tuple[Use, ...] = ()
    frees: tuple[Use, ...] = ()
    one_group: bool = False

    @property
    def most_small(self) -> int:
        """How many units are still a small part: fewer than 3 plants or a quarter of the task."""
        return max(0, -(-min(12, self.count * self.plants) // max(4 * self.plants, 1)) - 1)

    @property
    def due_date(self) -> int:
        """The last date that is not late."""
        return self.last if self.due is None else min(self.due, self.last)


@frozen
class Order:
    """`after` comes at least `gap` [days] after `before`; with gap 0 on the same day or later.

    `whole`: no unit of `after` starts before all of `before` is done.
    Otherwise unit by unit: on any date the units of `after` done so far take at most what the units
    of `before` done `gap` dates earlier have given, where a unit of `before` gives `gives` plants
    and a unit of `after` takes `takes`, the last of them no more than are left.
    """

    before: int
    after: int
    gap: int = field(default=0, validator=ge(0))
    whole: bool = False
    gives: int = field(default=1, validator=gt(0))
    takes: int = field(default=1, validator=gt(0))


@frozen
class Problem:
    """Everything that decides which work is done on which day."""

    days: tuple[Day, ...]
    tasks: tuple[Task, ...]
    orders: tuple[Order, ...] = ()
    mixes: tuple[Mix, ...] = ()
    containers: tuple[Container, ...] = ()
    session_setup: int = field(default=0, validator=ge(0))
    mix_setup: int = field(default=0, validator=ge(0))
    store_ml: int = field(default=0, validator=ge(0))

    def __attrs_post_init__(self) -> None:
        """Refuse references to nothing, dates out of order, and circles."""
        dates = [day.date for day in self.days]
        if any(a >= b for a, b in pairwise(dates)):
            raise ValueError(f"dates of days must rise, got {dates!r}")
        kinds, mixes, tasks = len(self.containers), len(self.mixes), len(self.tasks)
        for number, task in enumerate(self.tasks):
            if task.mix is not None and not 0 <= task.mix < mixes:
                raise ValueError(f"mix of task {number} must be below {mixes}, got {task.mix!r}")
            if task.mix is None and task.mix_ml:
                raise ValueError(f"task {number} has mix_ml {task.mix_ml!r} without a mix")
            for use in (*task.needs, *task.frees):
                if not 0 <= use.container < kinds:
                    where = f"container of task {number}"
                    raise ValueError(f"{where} must be below {kinds}, got {use!r}")
        for order in self.orders:
            if not (0 <= order.before < tasks and 0 <= order.after < tasks):
                raise ValueError(f"tasks of an order must be below {tasks}, got {order!r}")
        for mix in self.mixes:
            for hold in mix.holds:
                if not 0 <= hold.mix < mixes:
                    raise ValueError(f"a held mix must be below {mixes}, got {hold!r}")
        _refuse_circles([(o.before, o.after) for o in self.orders], "orders")
        held = [(hold.mix, m) for m, mix in enumerate(self.mixes) for hold in mix.holds]
        _refuse_circles(held, "mixes")


def _refuse_circles(pairs: list[tuple[int, int]], what: str) -> None:
    try:
        in_order(0, pairs)
    except CycleError as circle:
        raise ValueError(f"{what} go round in a circle among {circle.args[1]!r}") from None


def in_order(size: int, pairs: Iterable[tuple[int, int]]) -> list[int]:
    """Return the numbers below `size` so that the first of each pair comes before the second.

    Those that nothing holds back come first, each time in their own order.
    Raises CycleError for pairs that go round in a circle.
    """
    sorter: TopologicalSorter[int] = TopologicalSorter({number: () for number in range(size)})
    for first, second in pairs:
        sorter.add(second, first)
    sorter.prepare()
    found: list[int] = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready())
        found += ready
        sorter.done(*ready)
    return found


@frozen
class Placed:
    """`count` units of `task` on `day` (a position in `Problem.days`)."""

    day: int
    task: int
    count: int


@frozen
class Blend:
    """`ml` [ml] of finished `mix` blended on `day` (a position in `Problem.days`)."""

    day: int
    mix: int
    ml: int


@frozen
class Check:
    """What a list of units placed and mix blended amounts to.

    `broken` names each rule that is broken, with the day, task or kind; empty means valid.
    `torn` counts parts of groups beyond the first, small ones double; `exposed` the plants on the
    last day that serves them; `waiting` plants times dates from the first day on.
    """

    broken: tuple[str, ...]
    lateness: int
    sessions: int
    torn: int
    setups: int
    bought: tuple[int, ...]
    exposed: int
    waiting: int
    last_date: int | None

    @property
    def objectives(self) -> tuple[int, ...]:
        """The values of the objectives in their order."""
        first = (self.lateness, self.sessions, self.torn, self.setups)
        return (*first, sum(self.bought), self.exposed, self.waiting)


@frozen
class Answer:
    """Which work on which day, and what is known about it.

    `placed` and `blends` are sorted by day; `bought` has a number for each container kind.
    `bound_lateness` holds for every answer, and `bound_sessions` for every answer whose lateness is
    no worse than this one's.
    `proved` names the objectives proved best, in their order, each at the values of those before.
    `clock` says that the time limit, not the work allowed, ended the search: another run may
    differ.
    What cannot be done stands in `left_out`, and all else is placed; without an answer at all
    `placed` and `blends` are empty and the counts are 0.
    """

    status: Status
    placed: tuple[Placed, ...] = ()
    blends: tuple[Blend, ...] = ()
    bought: tuple[int, ...] = ()
    lateness: int = 0
    sessions: int = 0
    torn: int = 0
    setups: int = 0
    last_date: int | None = None
    bound_lateness: int = 0
    bound_sessions: int = 0
    proved: tuple[str, ...] = ()
    method: str = ""
    clock: bool = False
    left_out: tuple[Placed, ...] = ()

    def with_check(self, check: Check, placed: Iterable[Placed], blends: Iterable[Blend]) -> Answer:
        """Return this answer with other work on its days, counted as the checker counts it."""
        return evolve(
            self,
            placed=tuple(sorted(placed, key=lambda one: (one.day, one.task))),
            blends=tuple(blends),
            bought=check.bought,
            lateness=check.lateness,
            sessions=check.sessions,
            torn=check.torn,
            setups=check.setups,
            last_date=check.last_date,
        )

    @property
    def complete(self) -> bool:
        """Whether all work is done."""
        return self.status in (Status.OPTIMAL, Status.FEASIBLE)

    @property
    def found(self) -> bool:
        """Whether there is an answer at all, be it one that leaves work out."""
        return self.complete or bool(self.left_out)

    @property
    def session_days(self) -> tuple[int, ...]:
        """The days with work, in order."""
        return tuple(sorted({p.day for p in self.placed} | {b.day for b in self.blends}))


def outer_first(problem: Problem) -> list[int]:
    """Return the mixes, each before those that it holds."""
    pairs = [(m, hold.mix) for m, mix in enumerate(problem.mixes) for hold in mix.holds]
    return in_order(len(problem.mixes), pairs)
