"""A good answer without a solver: fill given days by urgency, and choose few days.

With the days fixed, the most urgent work first is close to the best (it is the best for equal units
of work on one machine with windows; Jackson 1955, Horn 1974), and more days never hurt.
So the days are chosen by closing them one by one, each as early as possible, as long as the rest still
holds all work: with plain windows and no set-up this lazy choice uses the fewest days (Chang, Gabow,
Khuller, "A model for minimizing active processor time", Algorithmica 70, 2014).
Mix is blended on the day of its use; waiting mix is left to the exact method.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable

from attrs import frozen

from rootroom.sessions.problem import Blend, Placed, Problem
from rootroom.sessions.windows import Windows, task_order

__all__ = ["Draft", "Filler", "blend_same_day", "choose_days"]


@frozen
class Draft:
    """Units by task and day, as found; `lateness` in plant-days, `days` the days with work."""

    placed: tuple[Placed, ...]
    lateness: int
    days: tuple[int, ...]


class Filler:
    """Fills given days with a problem's work, the most urgent first."""

    def __init__(self, problem: Problem, windows: Windows) -> None:
        self.problem = problem
        self.windows = windows
        self.dates = [day.date for day in problem.days]
        rank = {number: place for place, number in enumerate(task_order(problem))}
        self.sequence = sorted(
            range(len(problem.tasks)),
            key=lambda t: (windows.due[t], windows.final[t], rank[t]),
        )
        place = {number: at for at, number in enumerate(self.sequence)}
        for order in problem.orders:  # the same day serves both only in their order
            if place[order.before] > place[order.after]:
                self.sequence = _in_order(problem, self.sequence)
                break
        self.orders: list[list[tuple[int, int, int, int]]] = [[] for _ in problem.tasks]
        for order in problem.orders:
            takes = 0 if order.whole else order.takes
            self.orders[order.after].append((order.before, order.gap, order.gives, takes))
        self.plain = all(not mix.batch_minutes and not mix.holds for mix in problem.mixes)
        self.freeing: list[list[tuple[int, int]]] = [[] for _ in problem.containers]
        for number, task in enumerate(problem.tasks):
            for at, use in enumerate(task.frees):
                self.freeing[use.container].append((number, at))

    def fill(self, days: Iterable[int]) -> Draft | None:
        """Return the work placed on these days, or None where some does not fit by its last date."""
        return _Filling(self).run(days)


def _in_order(problem: Problem, sequence: list[int]) -> list[int]:
    """Return the sequence changed as little as the orders allow."""
    needs: list[set[int]] = [set() for _ in problem.tasks]
    for order in problem.orders:
        needs[order.after].add(order.before)
    done: set[int] = set()
    result: list[int] = []

    def add(number: int) -> None:
        for other in sorted(needs[number] - done):
            if other not in done:
                add(other)
        if number not in done:
            done.add(number)
            result.append(number)

    for number in sequence:
        add(number)
    return result


class _Filling:
    """The state of one pass over the days."""

    def __init__(self, filler: Filler) -> None:
        self.filler = filler
        self.problem = filler.problem
        tasks = self.problem.tasks
        self.left = [task.count for task in tasks]
        self.history: list[list[tuple[int, int]]] = [[] for _ in tasks]  # date, units so far
        self.out = [0] * len(self.problem.containers)
        self.placed: list[Placed] = []
        self.lateness = 0

    def run(self, days: Iterable[int]) -> Draft | None:
        windows = self.filler.windows
        waiting = list(self.filler.sequence)
        worked = []
        for day in days:
            before = len(self.placed)
            waiting = self._fill_day(day, waiting)
            if len(self.placed) > before:
                worked.append(day)
            if any(windows.final[number] <= day for number in waiting):
                return None
            if not waiting:
                break
        if waiting:
            return None
        return Draft(tuple(self.placed), self.lateness, tuple(worked))

    def _fill_day(self, day: int, waiting: list[int]) -> list[int]:
        problem, windows, left = self.problem, self.filler.windows, self.left
        here = problem.days[day]
        free = here.minutes - problem.session_setup
        if free < 0:
            return waiting
        date = here.date
        load = _DayLoad(problem, here.vessel_minutes)
        rest: list[int] = []
        for number in waiting:
            task = problem.tasks[number]
            if windows.first[number] > day or here.people < task.people:
                rest.append(number)
                continue
            units = self._released(number, date, left[number])
            if units and (units == left[number] or task.split):
                if task.needs:
                    units = self._contained(number, date, units)
                units, cost = load.most(task.mix, task.mix_ml, task.minutes, units, free, task.split)
            else:
                units = 0
            if units:
                load.take(task.mix, task.mix_ml, units)
                free -= cost
                self._place(number, day, date, units)
            if left[number]:
                rest.append(number)
        return rest

    def _released(self, number: int, date: int, units: int) -> int:
        for before, gap, gives, takes in self.filler.orders[number]:
            done = self._done(before, date - gap)
            task = self.problem.tasks[before]
            if done >= task.count:
                continue
            if not takes:
                return 0
            so_far = self.problem.tasks[number].count - self.left[number]
            units = min(units, gives * done // takes - so_far)
            if units <= 0:
                return 0
        return units

    def _done(self, number: int, date: int) -> int:
        for when, units in reversed(self.history[number]):
            if when <= date:
                return units
        return 0

    def _contained(self, number: int, date: int, units: int) -> int:
        """Return how many units there are containers for, buying what may be bought."""
        problem = self.problem
        task = problem.tasks[number]
        so_far = task.count - self.left[number]
        for use in task.needs:
            container = problem.containers[use.container]
            if container.most_bought is None:
                continue
            room = container.stock + container.most_bought - self.out[use.container]
            for other, at in self.filler.freeing[use.container]:
                giver = problem.tasks[other]
                done = self._done(other, date - container.wash_days)
                room += giver.frees[at].freed(done, giver.count)
            units = min(units, (use.filled(so_far) + room) * use.per // use.number - so_far)
        if units < self.left[number] and not task.split:
            return 0
        return max(units, 0)

    def _place(self, number: int, day: int, date: int, units: int) -> None:
        task = self.problem.tasks[number]
        so_far = task.count - self.left[number]
        for use in task.needs:
            self.out[use.container] += use.filled(so_far + units) - use.filled(so_far)
        self.left[number] -= units
        self.history[number].append((date, so_far + units))
        self.placed.append(Placed(day, number, units))
        self.lateness += max(0, date - task.due_date) * units * task.plants


class _DayLoad:
    """What the mixes of one day cost: set-up, batches, and the time of the vessel."""

    def __init__(self, problem: Problem, vessel_minutes: int) -> None:
        self.problem = problem
        self.vessel_minutes = vessel_minutes
        self.ml: dict[int, int] = {}
        self.minutes = 0  # set-ups and batches so far
        self.plain = all(not mix.batch_minutes and not mix.holds for mix in problem.mixes)

    def most(
        self, mix: int | None, mix_ml: int, minutes: int, units: int, free: int, split: bool
    ) -> tuple[int, int]:
        """Return how many of `units` fit in `free` minutes, and the minutes that they take."""
        if units <= 0:
            return 0, 0
        if mix is None or not mix_ml or self.plain:
            setup = 0
            if mix is not None and mix_ml and mix not in self.ml:
                setup = self.problem.mix_setup
            if setup + units * minutes > free:
                if not split or setup + minutes > free:
                    return 0, 0
                units = (free - setup) // minutes
            return units, setup + units * minutes
        low, high, cost = 0, units, 0
        while low < high:  # the cost rises with the units
            middle = (low + high + 1) // 2 if low or high < units else units
            total, turning = self._with(mix, middle * mix_ml)
            price = total - self.minutes + middle * minutes
            if price <= free and turning <= self.vessel_minutes:
                low, cost = middle, price
            elif not split:
                return 0, 0
            else:
                high = middle - 1
        return low, cost

    def _with(self, mix: int, ml: int) -> tuple[int, int]:
        """Return the minutes of all mixes, and of the vessel, with so much more of one mix."""
        made = blend_same_day(self.problem, {**self.ml, mix: self.ml.get(mix, 0) + ml})
        turning = sum(
            -(-volume // self.problem.vessel_ml) * self.problem.mixes[m].batch_minutes
            for m, volume in made.items()
        )
        return turning + len(made) * self.problem.mix_setup, turning

    def take(self, mix: int | None, mix_ml: int, units: int) -> None:
        """Add the mix of some units to the day."""
        if mix is None or not mix_ml:
            return
        if not self.plain:
            self.minutes = self._with(mix, units * mix_ml)[0]
        self.ml[mix] = self.ml.get(mix, 0) + units * mix_ml


def blend_same_day(problem: Problem, used: dict[int, int]) -> dict[int, int]:
    """Return ml to blend of each mix when all that is used is blended on the day."""
    made: dict[int, int] = {}
    pending = [(mix, ml) for mix, ml in used.items() if ml]
    if not any(problem.mixes[mix].holds for mix, _ in pending):
        return dict(pending)
    # A mix draws on those it holds only once all that draw on it are known.
    for mix in _outer_first(problem):
        total = used.get(mix, 0) + sum(
            -(-made[outer] * hold.parts // hold.whole)
            for outer in made
            for hold in problem.mixes[outer].holds
            if hold.mix == mix
        )
        if total:
            made[mix] = total
    return made


def _outer_first(problem: Problem) -> list[int]:
    depth = [0] * len(problem.mixes)
    for _ in problem.mixes:
        for number, mix in enumerate(problem.mixes):
            for hold in mix.holds:
                depth[hold.mix] = max(depth[hold.mix], depth[number] + 1)
    return sorted(range(len(depth)), key=lambda m: (depth[m], m))


def add_blends(problem: Problem, placed: Iterable[Placed]) -> tuple[Blend, ...]:
    """Return the mix of each day, blended on the day of its use."""
    by_day: dict[int, dict[int, int]] = {}
    for one in placed:
        task = problem.tasks[one.task]
        if task.mix is not None and task.mix_ml:
            used = by_day.setdefault(one.day, {})
            used[task.mix] = used.get(task.mix, 0) + one.count * task.mix_ml
    return tuple(
        Blend(day, mix, ml)
        for day in sorted(by_day)
        for mix, ml in sorted(blend_same_day(problem, by_day[day]).items())
    )


def choose_days(
    filler: Filler, *, rounds: int, out_of_time: Callable[[], bool], bound: int = 0
) -> Draft | None:
    """Return the draft with the least lateness found, on few days; None where nothing fits.

    `rounds` is the number of disturbed repeats after the first two choices; `bound` [sessions] ends
    the search when reached.
    """
    every = range(len(filler.problem.days))
    best = filler.fill(every)
    if best is None:
        return None
    chance = random.Random(1)
    for turn in range(rounds + 1):
        if out_of_time() or len(best.days) <= bound:
            break
        shut = set() if not turn else set(chance.sample(best.days, min(2, len(best.days))))
        best = _close_days(filler, best, [d for d in every if d not in shut], out_of_time)
    return best


def _close_days(
    filler: Filler, best: Draft, days: list[int], out_of_time: Callable[[], bool]
) -> Draft:
    """Return `best` or a better draft: days closed from the first on where the rest can do."""
    draft = filler.fill(days)
    if draft is None or draft.lateness > best.lateness:
        return best
    kept, rest = [], list(days)
    while rest and not out_of_time():
        day = rest.pop(0)
        trial = filler.fill([*kept, *rest])
        if trial is None or trial.lateness > best.lateness:
            kept.append(day)
            if len(kept) >= len(best.days):
                return best
        else:
            draft = trial
    if len(draft.days) < len(best.days) or draft.lateness < best.lateness:
        return draft
    return best
