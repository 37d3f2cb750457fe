"""Which rule keeps work from its days, in the problem's own numbers.

Three causes are looked for: a task that has no day at all (no work day, too few people, or a gap
that ends too late), a stretch of days that must hold more minutes than it offers (of people, or of
the one vessel), and containers that cannot be had.
A stretch counts the work that has no other days: what is short there is short in every answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from rootroom.scheduling.problem import Problem
from rootroom.scheduling.windows import Windows


@frozen
class NoDay:
    """A task without a day: it could start on date `opens` at the earliest, and must by `limit`.

    `why` is "people" (there are days, with too few people), "wait" (the work before it ends too
    late) or "days" (no work day in between).
    """

    task: int
    opens: int
    limit: int
    why: Literal["days", "people", "wait"]


@frozen
class ShortStretch:
    """From one day to another (positions) `needed` minutes must fit where `offered` are.

    `tasks` have no other days; `vessel` says that it is the vessel's time that is short.
    """

    first: int
    final: int
    needed: int
    offered: int
    tasks: tuple[int, ...]
    vessel: bool = False

    @property
    def missing(self) -> int:
        """Minutes that are short."""
        return self.needed - self.offered


@frozen
class MissingContainers:
    """`missing` containers of a kind that neither stock nor the season nor the shop gives."""

    container: int
    missing: int
    tasks: tuple[int, ...]


def no_days(problem: Problem, windows: Windows, limits: Sequence[int]) -> list[NoDay]:
    """Return the tasks that have no day up to their limit (dates), with the rule that is at fault.

    A task that only waits for another one that has no day is left out.
    """
    found: dict[int, NoDay] = {}
    waits = {order.after: order.before for order in problem.orders}
    for number, task in enumerate(problem.tasks):
        first = windows.first[number]
        limit = limits[number]
        if first < len(problem.days) and problem.days[first].date <= limit:
            continue
        if waits.get(number) in found:
            continue
        inside = [day for day in problem.days if task.opens <= day.date <= limit]
        fitting = [day for day in inside if day.people >= task.people]
        why: Literal["days", "people", "wait"] = "wait" if fitting else "days"
        if inside and not fitting:
            why = "people"
        found[number] = NoDay(number, task.opens, limit, why)
    return list(found.values())


def stretch(
    problem: Problem, windows: Windows, ends: Sequence[int], *, vessel: bool = False
) -> ShortStretch | None:
    """Return the stretch of days that is shortest of minutes, None where none is short.

    `ends` is the last day (a position) of each task. Set-ups are counted on every day.
    """
    tasks = [n for n, end in enumerate(ends) if windows.first[n] <= end]
    tasks.sort(key=lambda n: (ends[n], n))
    worst: ShortStretch | None = None
    for first in sorted({windows.first[n] for n in tasks}):
        inside: list[int] = []
        load = _Minutes(problem)
        for number in (n for n in tasks if windows.first[n] >= first):
            inside.append(number)
            load.add(number)
            offered = load.offered(first, ends[number], vessel=vessel)
            short = load.needed(vessel=vessel) - offered
            if short > (worst.missing if worst else 0):
                needed = short + offered
                worst = ShortStretch(first, ends[number], needed, offered, tuple(inside), vessel)
    return worst


class _Minutes:
    """The minutes of some tasks: of people, and of the vessel."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.work = 0
        self.ml: dict[int, int] = {}
        self.before = [0]
        self.vessel_before = [0]
        for day in problem.days:
            self.before.append(self.before[-1] + max(day.minutes - problem.session_setup, 0))
            self.vessel_before.append(self.vessel_before[-1] + day.vessel_minutes)

    def add(self, number: int) -> None:
        task = self.problem.tasks[number]
        self.work += task.count * task.minutes
        if task.mix is not None:
            self._mix(task.mix, task.count * task.mix_ml)

    def _mix(self, mix: int, ml: int) -> None:
        self.ml[mix] = self.ml.get(mix, 0) + ml
        for hold in self.problem.mixes[mix].holds:
            self._mix(hold.mix, ml * hold.parts // hold.whole)

    def needed(self, *, vessel: bool) -> int:
        problem = self.problem
        turning = sum(problem.mixes[mix].blending(ml) for mix, ml in self.ml.items())
        if vessel:
            return turning
        return self.work + turning + len(self.ml) * problem.mix_setup

    def offered(self, first: int, final: int, *, vessel: bool) -> int:
        total = self.vessel_before if vessel else self.before
        return total[final + 1] - total[first]


def missing_containers(problem: Problem) -> list[MissingContainers]:
    """Return the kinds of which the season fills more than stock, moves and the shop can give."""
    found = []
    for kind, container in enumerate(problem.containers):
        if container.most_bought is None:
            continue
        filled = freed = 0
        users = []
        for number, task in enumerate(problem.tasks):
            for use in task.needs:
                if use.container == kind:
                    filled += use.filled(task.count)
                    users.append(number)
            freed += sum(
                use.freed(task.count, task.count) for use in task.frees if use.container == kind
            )
        missing = filled - freed - container.stock - container.most_bought
        if missing > 0:
            found.append(MissingContainers(kind, missing, tuple(users)))
    return found
