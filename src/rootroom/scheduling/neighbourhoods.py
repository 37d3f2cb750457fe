"""Better answers by large neighbourhoods: free some groups or days, solve that rest exactly.

What is not free stays where it is, so that the model is small whatever the problem's size. Each
round takes one objective that is above its bound, with those before it as limits.
(Shaw, "Using constraint programming and local search methods to solve vehicle routing problems",
1998.)
Rounds and the work of each are counted, so every run ends alike.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from attrs import frozen

from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import OBJECTIVES, Blend, Check, Placed, Problem
from rootroom.scheduling.windows import Windows

ROUND_WORK = 0.03  # solver units for one neighbourhood
QUIET_ROUNDS = 8  # rounds without gain after which an objective is left as it is
SIZES = (5, 8, 12)  # groups freed beside those that the objective points at


@frozen
class Spent:
    """The answer reached, its check, and the work taken [solver units]."""

    placed: tuple[Placed, ...]
    blends: tuple[Blend, ...]
    check: Check
    work: float


def improve_around(
    problem: Problem,
    windows: Windows,
    answer: tuple[tuple[Placed, ...], tuple[Blend, ...]],
    position: int,
    least: int,
    *,
    work: float,
    left: Callable[[], float],
) -> Spent:
    """Return an answer that is no worse, better in the objective at `position` where one was found.

    `least` is the bound on that objective, `work` [solver units] the most that is spent and `left`
    tells the seconds [s] left on the clock. Objectives before it never get worse.
    """
    placed, blends = answer
    check = check_answer(problem, placed, blends)
    chance = random.Random(position)
    spent, quiet, turn = 0.0, 0, 0
    while check.objectives[position] > least and quiet < QUIET_ROUNDS:
        if spent >= work or left() <= 0:
            break
        turn, quiet = turn + 1, quiet + 1
        units: Counter[tuple[int, int]] = Counter()
        for one in placed:
            units[one.task, one.day] += one.count
        if turn % 3:
            allowed = _free_groups(problem, windows, units, OBJECTIVES[position], chance)
        else:
            allowed = _free_days(problem, windows, units, chance)
        found = _solve(problem, units, allowed, check, position, left())
        spent += found[2]
        if found[0] is None:
            continue
        better = check_answer(problem, found[0], found[1])
        if not better.broken and better.objectives < check.objectives:
            placed, blends, check, quiet = found[0], found[1], better, 0
    return Spent(placed, blends, check, spent)


def _free_groups(
    problem: Problem,
    windows: Windows,
    units: Counter[tuple[int, int]],
    objective: str,
    chance: random.Random,
) -> list[list[int]]:
    """Return the days allowed by task: all of its window for some tasks, for the rest its own."""
    days = _own_days(problem, units)
    guilty = sorted(_guilty(problem, units, days, objective))
    first = chance.sample(guilty, min(3, len(guilty)))
    # Who shares days with those can make room for them.
    near = [
        task
        for task in range(len(problem.tasks))
        if task not in first
        and any(
            windows.first[task] <= windows.final[one] and windows.first[one] <= windows.final[task]
            for one in first
        )
    ] or list(range(len(problem.tasks)))
    free = {*first, *chance.sample(near, min(chance.choice(SIZES), len(near)))}
    return [
        list(range(windows.first[task], windows.final[task] + 1)) if task in free else days[task]
        for task in range(len(problem.tasks))
    ]


def _guilty(
    problem: Problem, units: Counter[tuple[int, int]], days: list[list[int]], objective: str
) -> Iterator[int]:
    """Yield the tasks that an objective counts; all of them where it counts days or mixes."""
    for number, (task, own) in enumerate(zip(problem.tasks, days, strict=True)):
        if objective == "lateness":
            counts = any(problem.days[day].date > task.due_date for day in own)
        elif objective == "torn":
            counts = task.one_group and len(own) > 1
        elif objective == "bought":
            counts = bool(task.needs or task.frees)
        else:
            counts = True
        if counts:
            yield number


def _free_days(
    problem: Problem,
    windows: Windows,
    units: Counter[tuple[int, int]],
    chance: random.Random,
) -> list[list[int]]:
    """Return the days allowed by task: its own, and those between some sessions in a row."""
    own = _own_days(problem, units)
    sessions = sorted({day for _, day in units})
    width = min(chance.choice((2, 3, 4)), len(sessions))
    at = chance.randrange(len(sessions) - width + 1)
    start = sessions[at - 1] + 1 if at else 0
    end = sessions[at + width] if at + width < len(sessions) else len(problem.days)
    between = range(start, end)
    return [
        sorted({*days, *(d for d in between if windows.first[task] <= d <= windows.final[task])})
        if any(day in between for day in days)
        else days
        for task, days in enumerate(own)
    ]


def _own_days(problem: Problem, units: Counter[tuple[int, int]]) -> list[list[int]]:
    days: list[list[int]] = [[] for _ in problem.tasks]
    for task, day in sorted(units):
        days[task].append(day)
    return days


def _solve(
    problem: Problem,
    units: Counter[tuple[int, int]],
    allowed: list[list[int]],
    check: Check,
    position: int,
    seconds: float,
) -> tuple[tuple[Placed, ...] | None, tuple[Blend, ...], float]:
    """Return a better answer within the days allowed, if any, and the work it took."""
    from ortools.sat.python import cp_model

    from rootroom.scheduling.constraint_model import SessionModel, limited_solver

    own = _own_days(problem, units)
    first = tuple(days[0] for days in allowed)
    ends = [days[-1] for days in allowed]
    model = SessionModel(problem, Windows(first, tuple(ends), tuple(ends)), ends)
    for task, (days, before) in enumerate(zip(allowed, own, strict=True)):
        for day, column in model.units[task].items():
            if days == before:
                model.model.add(column == units[task, day])
            elif day not in days:
                model.model.add(column == 0)
    for name, most in zip(OBJECTIVES[:position], check.objectives, strict=False):
        model.model.add(model.objective(name) <= most)
    now = model.objective(OBJECTIVES[position])
    model.model.add(now <= check.objectives[position])
    model.model.minimize(_with_next(model, now, position, check))
    solver = limited_solver(ROUND_WORK, max(seconds, 0.01))
    solver.parameters.cp_model_presolve = False  # it takes longer than so small a search
    status = solver.solve(model.model)
    taken = max(solver.response_proto.deterministic_time, ROUND_WORK / 100)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, (), taken
    placed, blends = model.read(solver)
    return placed, blends, taken


def _with_next(model: Any, now: Any, position: int, check: Check) -> Any:
    """Return the objective with the next one as a tie-break, which the next rounds start from."""
    if position + 1 >= len(OBJECTIVES) - 2:
        return now
    return (check.objectives[position + 1] + 1000) * now + model.objective(OBJECTIVES[position + 1])
