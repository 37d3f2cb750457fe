"""Among answers that are equally good, the one that follows the order of the plan more closely.

Units move to an earlier session, whole days of a task at a time, tasks in their order, as long as
every rule and every aim stays as it is; two tasks never change places.
So this last aim is approached, not proved.
Mix that would wait for nothing is then blended later: on the last session before its use that takes
it without costing an aim.
"""

from __future__ import annotations

from collections import Counter

from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.list_scheduling import add_blends
from rootroom.scheduling.problem import Blend, Placed, Problem

__all__ = ["blend_late", "pull_forward"]

MOST_TASKS = 300

MOST_TRIALS = 400
"""Answers that are checked while blending is put later; each costs as much as the plan is long."""


def pull_forward(
    problem: Problem, placed: tuple[Placed, ...], blends: tuple[Blend, ...]
) -> tuple[tuple[Placed, ...], tuple[Blend, ...]]:
    """Return an answer with the same aims whose tasks are done as early as its sessions allow.

    One that lets mix wait, and one of very many tasks, stays as it is.
    """
    if len(problem.tasks) > MOST_TASKS or set(blends) != set(add_blends(problem, placed)):
        return placed, blends
    units: Counter[tuple[int, int]] = Counter()
    for one in placed:
        units[one.task, one.day] += one.count
    days = sorted({one.day for one in placed})
    aims = check_answer(problem, placed, blends).aims
    best = placed, blends
    for task, day in sorted(units):
        limits = problem.tasks[task]
        for earlier in days[: days.index(day)]:
            if problem.days[earlier].date < limits.opens:
                continue
            trial = units.copy()
            trial[task, earlier] += trial.pop((task, day))
            moved = tuple(Placed(d, t, n) for (t, d), n in sorted(trial.items()))
            mixed = add_blends(problem, moved)
            check = check_answer(problem, moved, mixed)
            if not check.broken and check.aims <= aims:
                units, best = trial, (moved, mixed)
                break
    return best


def blend_late(
    problem: Problem, placed: tuple[Placed, ...], blends: tuple[Blend, ...]
) -> tuple[Blend, ...]:
    """Return the blends with as much as possible put to later sessions, every aim as it is.

    Whole units move from the last session to the first, each to the latest session that takes
    them; a rule or an aim that would suffer keeps them where they are.
    """
    if len(problem.tasks) > MOST_TASKS or set(blends) == set(add_blends(problem, placed)):
        return blends
    made: Counter[tuple[int, int]] = Counter()
    for blend in blends:
        made[blend.day, blend.mix] += blend.ml
    days = sorted({one.day for one in placed} | {day for day, _ in made})
    aims = check_answer(problem, placed, blends).aims
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
                if not check.broken and check.aims <= aims:
                    made, best = trial, moved
                    break
    return best


def _parts(ml: int, unit_ml: int) -> list[int]:
    """Return amounts to put off, the largest first: all, or so that whole units stay."""
    return [ml - kept for kept in range(0, ml, unit_ml)]
