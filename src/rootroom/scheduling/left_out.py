"""What can be done of work that does not all fit: as little as can be is left out.

The problem is widened by days far behind its last one, which hold everything. Work put there is
left out; each unit of it counts as `FAR` days late, so fewest plants are left out before anything
else counts, and of equal answers the one that is least late.
"""

from __future__ import annotations

from collections import Counter

from attrs import evolve

from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import Answer, Day, Placed, Problem, Status
from rootroom.scheduling.solve import schedule_work

FAR = 1000
"""Dates behind the last one from which on work is left out: more than any season is long."""


def schedule_what_fits(
    problem: Problem, status: Status, *, seconds: float, effort: float | None = None
) -> Answer:
    """Return the work that can be done, and what is left out of it, as a checked answer.

    `status` is what is known of doing it all: `infeasible` where that is proved impossible, else
    `limit`; the answer keeps it. Where not even days without end would do, as for containers that
    cannot be had, the answer is empty. The limits are those of `schedule_work`.
    """
    wide, size = widened(problem), len(problem.days)
    found = schedule_work(wide, seconds=seconds, effort=effort)
    if not found.found:
        return evolve(found, status=status, placed=(), blends=())
    placed = tuple(one for one in found.placed if one.day < size)
    blends = tuple(one for one in found.blends if one.day < size)
    left: Counter[int] = Counter()
    for one in found.placed:
        left[one.task] += one.count if one.day >= size else 0
    # Of the rules only that all is done can be broken: the widened answer was checked.
    check = check_answer(problem, placed, blends)
    behind = len(wide.days) - size
    rest = Answer(
        status,
        bound_sessions=max(0, found.bound_sessions - behind),
        method=found.method,
        clock=found.clock,
        left_out=tuple(Placed(size, task, left[task]) for task in sorted(left) if left[task]),
    )
    return rest.with_check(check, placed, blends)


def widened(problem: Problem) -> Problem:
    """Return the problem with days far behind the last one, enough for every chain of orders."""
    last = problem.days[-1].date if problem.days else max(task.last for task in problem.tasks)
    gap = 1 + max([order.gap for order in problem.orders], default=0)
    gap = max([gap, *(kind.wash_days for kind in problem.containers)])
    total = sum(task.count * task.minutes for task in problem.tasks)
    turning = sum(mix.blending(_used_ml(problem)) + problem.mix_setup for mix in problem.mixes)
    people = max((task.people for task in problem.tasks), default=1)
    behind = tuple(
        Day(last + FAR + number * gap, problem.session_setup + total + turning, turning, people)
        for number in range(_longest_chain(problem) + 1)
    )
    end = behind[-1].date
    tasks = tuple(evolve(task, last=end, due=task.due_date) for task in problem.tasks)
    return evolve(problem, days=(*problem.days, *behind), tasks=tasks)


def _used_ml(problem: Problem) -> int:
    """Return more than is ever blended of one mix [ml], what goes into other mixes too."""
    direct = sum(task.count * task.mix_ml for task in problem.tasks)
    parts = [hold.parts / hold.whole for mix in problem.mixes for hold in mix.holds]
    return int(direct * (1 + sum(parts)) ** len(problem.mixes)) + len(problem.tasks) + 1


def _longest_chain(problem: Problem) -> int:
    """Return how many orders follow one another at the most."""
    chain = [0] * len(problem.tasks)
    for _ in problem.tasks:
        changed = False
        for order in problem.orders:
            if chain[order.after] <= chain[order.before]:
                chain[order.after] = chain[order.before] + 1
                changed = True
        if not changed:
            break
    return max(chain, default=0)
