"""Better answers by small moves, and blending ahead where a full day cannot blend itself.

The moves, one after the other until none helps: a part of a group joins another part of it, the
work of one task on one day goes to another session, a whole session goes to a day without one,
two tasks exchange their days.
Each is checked in full against every rule, and kept where the objectives fall in their order or,
where they stay, tasks that stand earlier in the problem come earlier; so the same answer always
ends as the same one; it is approached, not proved. Mix that would wait for nothing is then blended
later: on the last session before its use that takes it without costing an objective.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator

from rootroom.scheduling.checker import check_answer, count_bought
from rootroom.scheduling.list_scheduling import add_blends
from rootroom.scheduling.problem import Blend, Placed, Problem
from rootroom.scheduling.windows import is_last_chance

MOST_TASKS = 300

MOST_TRIALS = 400
"""Answers that are checked for each way of moving; each costs as much as the plan is long."""

Units = Counter[tuple[int, int]]
"""Units by task and day."""


def move_closer(
    problem: Problem,
    placed: tuple[Placed, ...],
    blends: tuple[Blend, ...],
    out_of_time: Callable[[], bool] = lambda: False,
) -> tuple[tuple[Placed, ...], tuple[Blend, ...]]:
    """Return an answer that no small move makes better; one of very many tasks stays as it is."""
    if len(problem.tasks) > MOST_TASKS or not placed:
        return placed, blends
    best, worth = (placed, blends), _worth(problem, placed, blends)
    assert worth is not None
    counts = _Counts(problem)
    for moves in (_joined, _elsewhere, _shifted, _exchanged):
        trials = MOST_TRIALS
        improved = True
        while improved and trials > 0 and not out_of_time():
            improved = False
            for units in moves(problem, _units(best[0])):
                trials -= 1
                if trials <= 0 or out_of_time():
                    break
                if counts.least(units) >= worth:
                    continue
                moved = tuple(Placed(d, t, n) for (t, d), n in sorted(units.items()) if n)
                for mixed in _blended(problem, moved, best[1]):
                    trial = _worth(problem, moved, mixed)
                    if trial is not None and trial < worth:
                        best, worth, improved = (moved, mixed), trial, True
                        break
                if improved:
                    break
    return best


class _Counts:
    """What units alone say of an answer's worth: as much as it is, or less, without its blends.

    Most moves make an answer worse, which this finds in a twentieth of the time of a full check.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.weights = [
            [
                (
                    max(0, day.date - task.due_date) * task.plants,
                    int(is_last_chance(problem, task, at)) * task.plants,
                    (day.date - problem.days[0].date) * task.plants,
                )
                for at, day in enumerate(problem.days)
            ]
            for task in problem.tasks
        ]

    def least(self, units: Units) -> tuple[tuple[int, ...], list[int]]:
        """Return what the worth of an answer with these units is at least."""
        by_task: dict[int, Counter[int]] = defaultdict(Counter)
        setups, places = set(), [0] * len(self.problem.tasks)
        late = exposed = waiting = torn = 0
        for (number, day), count in units.items():
            weight = self.weights[number][day]
            late, exposed = late + weight[0] * count, exposed + weight[1] * count
            waiting += weight[2] * count
            by_task[number][day] = count
            places[number] += day * count
            setups.add((day, self.problem.tasks[number].mix))
        for number, by_day in by_task.items():
            task = self.problem.tasks[number]
            if task.one_group and len(by_day) > 1:
                torn += len(by_day) - 1 + sum(n <= task.most_small for n in by_day.values())
        busy = len({day for day, _ in setups})
        mixed = sum(mix is not None for _, mix in setups)
        bought = sum(count_bought(self.problem, by_task))
        return (late, busy, torn, mixed, bought, exposed, waiting), places


def _worth(
    problem: Problem, placed: tuple[Placed, ...], blends: tuple[Blend, ...]
) -> tuple[tuple[int, ...], list[int]] | None:
    """Return the objectives, then the days by task as in the file; None if a rule breaks."""
    check = check_answer(problem, placed, blends)
    if check.broken:
        return None
    by_task = [0] * len(problem.tasks)
    for one in placed:
        by_task[one.task] += one.day * one.count
    return check.objectives, by_task


def _units(placed: Iterable[Placed]) -> Units:
    units: Units = Counter()
    for one in placed:
        units[one.task, one.day] += one.count
    return units


def _blended(
    problem: Problem, placed: tuple[Placed, ...], old: tuple[Blend, ...]
) -> Iterator[tuple[Blend, ...]]:
    """Yield the ways in which the mix may be blended, the nearest to the day of use first."""
    yield add_blends(problem, placed)
    if problem.store_ml:
        yield old
        ahead = blend_ahead(problem, placed)
        if ahead is not None:
            yield ahead


def _joined(problem: Problem, units: Units) -> Iterator[Units]:
    """Yield answers in which two parts of a group are one, the smallest part first."""
    by_task: dict[int, list[int]] = {}
    for task, day in sorted(units):
        if problem.tasks[task].one_group:
            by_task.setdefault(task, []).append(day)
    for task, days in by_task.items():
        for day in sorted(days, key=lambda d: (units[task, d], d)):
            for other in days:
                if other != day:
                    yield _moved(units, task, day, other)


def _elsewhere(problem: Problem, units: Units) -> Iterator[Units]:
    """Yield answers in which one task's work of one day is on another session's day."""
    sessions = sorted({day for _, day in units})
    for task, day in sorted(units):
        limits = problem.tasks[task]
        for other in sessions:
            if other != day and limits.opens <= problem.days[other].date <= limits.last:
                yield _moved(units, task, day, other)


def _shifted(problem: Problem, units: Units) -> Iterator[Units]:
    """Yield answers in which a whole session is on a day that had none."""
    sessions = sorted({day for _, day in units})
    for day in sessions:
        tasks = [problem.tasks[task] for task, when in units if when == day]
        opens, last = max(task.opens for task in tasks), min(task.last for task in tasks)
        for other, here in enumerate(problem.days):
            if other not in sessions and opens <= here.date <= last:
                trial: Units = Counter()
                for (task, when), count in units.items():
                    trial[task, other if when == day else when] += count
                yield trial


def _exchanged(problem: Problem, units: Units) -> Iterator[Units]:
    """Yield answers in which a task and a later one of the problem exchange their days."""
    places = sorted(units)
    for task, day in places:
        for other, when in places:
            if task < other and when < day and (task, when) not in units:
                trial = _moved(units, task, day, when)
                if (other, day) not in trial:
                    yield _moved(trial, other, when, day)


def _moved(units: Units, task: int, day: int, other: int) -> Units:
    trial = units.copy()
    trial[task, other] += trial.pop((task, day))
    return trial


def blend_late(
    problem: Problem, placed: tuple[Placed, ...], blends: tuple[Blend, ...]
) -> tuple[Blend, ...]:
    """Return the blends with as much as possible put to later sessions, every objective as it is.

    Whole units move from the last session to the first, each to the latest session that takes
    them; a rule or an objective that would suffer keeps them where they are.
    """
    if len(problem.tasks) > MOST_TASKS or set(blends) == set(add_blends(problem, placed)):
        return blends
    made: Counter[tuple[int, int]] = Counter()
    for blend in blends:
        made[blend.day, blend.mix] += blend.ml
    days = sorted({one.day for one in placed} | {day for day, _ in made})
    objectives = check_answer(problem, placed, blends).objectives
    best, trials = blends, 0
    for day, mix in sorted(made, reverse=True):
        for later in reversed(days[days.index(day) + 1 :]):
            for ml in _parts(made[day, mix], problem.mixes[mix].unit_ml):
                trials += 1
                if trials > MOST_TRIALS:
                    return best
                trial = made.copy()
                trial[day, mix] -= ml
                trial[later, mix] += ml
                moved = tuple(Blend(d, m, n) for (d, m), n in sorted(trial.items()) if n)
                check = check_answer(problem, placed, moved)
                if not check.broken and check.objectives <= objectives:
                    made, best = trial, moved
                    break
    return best


def _parts(ml: int, unit_ml: int) -> list[int]:
    """Return amounts to put off, the largest first: all, or so that whole units stay."""
    return [ml - kept for kept in range(0, ml, unit_ml)]


# A simple way to find batches for work whose days are given. It moves one unit at a time to the
# nearest earlier session with room, and gives up where none has; mixes inside other mixes stay on
# their day. Whoever calls it checks the answer.
def blend_ahead(problem: Problem, placed: Iterable[Placed]) -> tuple[Blend, ...] | None:
    """Return the blends of placed work with as little as need be blended ahead; None: no way."""
    listed = list(placed)
    plan = _Ahead(problem, listed)
    for day in sorted(plan.busy, reverse=True):
        while plan.over(day):
            if not plan.shift(day):
                return None
    return plan.blends()


class _Ahead:
    """The batches of all days, as they are moved."""

    def __init__(self, problem: Problem, placed: list[Placed]) -> None:
        self.problem = problem
        self.busy = {one.day for one in placed}
        self.ml: dict[int, Counter[int]] = defaultdict(Counter)  # day -> mix -> ml blended
        self.used: dict[int, set[int]] = defaultdict(set)  # day -> mixes
        self.waits: Counter[int] = Counter()  # day -> ml that wait overnight
        self.plain: Counter[int] = Counter()  # day -> minutes of tasks
        for one in placed:
            task = problem.tasks[one.task]
            self.plain[one.day] += one.count * task.minutes
            if task.mix is not None:
                self.used[one.day].add(task.mix)
        for blend in add_blends(problem, placed):
            self.ml[blend.day][blend.mix] += blend.ml
            self.used[blend.day].add(blend.mix)
        nested = {hold.mix for mix in problem.mixes for hold in mix.holds}
        self.fixed = nested | {n for n, mix in enumerate(problem.mixes) if mix.holds}

    def over(self, day: int, mix: int | None = None, ml: int = 0) -> bool:
        """Whether a day's work does not fit, with so much more of a mix."""
        made = Counter(self.ml[day])
        mixes = set(self.used[day])
        if mix is not None:
            made[mix] += ml
            mixes.add(mix)
        turning = sum(
            self.problem.mixes[number].blending(volume) for number, volume in made.items()
        )
        minutes = turning + self.plain[day] + self.problem.session_setup
        minutes += len(mixes) * self.problem.mix_setup
        here = self.problem.days[day]
        return minutes > here.minutes or turning > here.vessel_minutes

    def shift(self, day: int) -> bool:
        """Move one unit of a day to an earlier session; return whether one could be moved."""
        dates = [one.date for one in self.problem.days]
        for earlier in sorted((d for d in self.busy if d < day), reverse=True):
            for mix, made in sorted(self.ml[day].items()):
                keeps = dates[day] - dates[earlier] <= self.problem.mixes[mix].keep_days
                if not made or mix in self.fixed or not keeps:
                    continue
                unit_ml = self.problem.mixes[mix].unit_ml
                ml = made % unit_ml or unit_ml
                nights = range(earlier, day)
                room = all(self.waits[n] + ml <= self.problem.store_ml for n in nights)
                if room and not self.over(earlier, mix, ml):
                    self._move(day, earlier, mix, ml)
                    return True
        return False

    def _move(self, day: int, earlier: int, mix: int, ml: int) -> None:
        self.ml[day][mix] -= ml
        self.ml[earlier][mix] += ml
        self.used[earlier].add(mix)
        for night in range(earlier, day):
            self.waits[night] += ml

    def blends(self) -> tuple[Blend, ...]:
        """Return what is blended, by day and mix."""
        return tuple(
            Blend(day, mix, ml)
            for day in sorted(self.ml)
            for mix, ml in sorted(self.ml[day].items())
            if ml
        )
