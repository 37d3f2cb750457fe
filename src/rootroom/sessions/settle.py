"""Among answers that are equally good, the one that follows the order of the plan more closely.

Units move to an earlier session, whole days of a task at a time, tasks in their order, as long as
every rule and every aim stays as it is; two tasks never change places.
So this last aim is approached, not proved.
"""

from __future__ import annotations

from collections import Counter

from rootroom.sessions.checking import check_answer
from rootroom.sessions.construct import add_blends
from rootroom.sessions.problem import Blend, Placed, Problem

__all__ = ["pull_forward"]

MOST_TASKS = 300


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
