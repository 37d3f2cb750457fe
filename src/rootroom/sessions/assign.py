"""The door to scheduling: a session problem in, a checked answer with its bounds out."""

from __future__ import annotations

from time import monotonic

from rootroom.sessions.bounds import chain_bound, ends_for_lateness, needs
from rootroom.sessions.checking import check_answer
from rootroom.sessions.construct import Filler, add_blends, choose_days
from rootroom.sessions.exact import AIMS, Found, Request
from rootroom.sessions.problem import Answer, Problem, Status
from rootroom.sessions.windows import Windows, find_windows
from rootroom.solving.child import run_in_child

__all__ = ["schedule_work"]

WORK_PER_SECOND = 0.35  # solver units; one took 1 to 2 s on the machine where it was measured
MODEL_SIZE = 40_000  # pairs of task and day up to which the exact method is tried


def schedule_work(problem: Problem, *, seconds: float = 20.0, exact: bool = True) -> Answer:
    """Return which work is done on which day, checked, with the bounds that are proved.

    `seconds` [s] sets the work allowed and is kept as a limit of the clock too.
    Without `exact` only the construction and its bounds are used.
    """
    end = monotonic() + seconds
    windows = find_windows(problem)
    if not windows.fits:
        return Answer(Status.INFEASIBLE, method="windows")
    late = _lateness_bound(problem, windows)
    ends = ends_for_lateness(problem, windows, 0)
    low = 0 if late else chain_bound(len(problem.days), needs(problem, windows, ends))
    found = _construct(problem, windows, (late, low), end - seconds / 2)
    clock = monotonic() > end - seconds / 2
    size = sum(b - a + 1 for a, b in zip(windows.first, windows.final, strict=True))
    if exact and size <= MODEL_SIZE:
        left = end - monotonic()
        request = Request(problem, windows, found, late, seconds * WORK_PER_SECOND, left)
        result = run_in_child("rootroom.sessions.exact:improve", request, seconds=left)
        clock = clock or result.ended == "clock"
        better = result.value
        if isinstance(better, Found):
            found = better
    return _answer(problem, windows, found, late, clock)


def _lateness_bound(problem: Problem, windows: Windows) -> int:
    """Return the least lateness that the first days alone force, at least 1 if 0 cannot be."""
    total = 0
    for number, task in enumerate(problem.tasks):
        date = problem.days[windows.first[number]].date
        total += max(0, date - task.due_date) * task.plants * task.count
    if not total:
        found = needs(problem, windows, ends_for_lateness(problem, windows, 0))
        total = int(any(need.impossible for need in found))
    return total


def _construct(problem: Problem, windows: Windows, bound: tuple[int, int], end: float) -> Found:
    filler = Filler(problem, windows)
    draft = choose_days(
        filler, rounds=20, out_of_time=lambda: monotonic() > end, bound=(*bound, 0)
    )
    if draft is None:
        return Found()
    blends = add_blends(problem, draft.placed)
    check = check_answer(problem, draft.placed, blends)
    if check.broken:
        return Found()
    return Found(draft.placed, blends, check.aims, stages=("construction",))


def _answer(
    problem: Problem, windows: Windows, found: Found, late: int, clock: bool
) -> Answer:
    method = ", ".join(found.stages)
    if found.infeasible:
        return Answer(Status.INFEASIBLE, method=method, clock=clock)
    if found.aims is None:
        return Answer(Status.LIMIT, bound_lateness=late, method=method, clock=clock)
    check = check_answer(problem, found.placed, found.blends)
    if check.broken:
        return Answer(Status.LIMIT, bound_lateness=late, method=method, clock=clock)
    ends = ends_for_lateness(problem, windows, check.lateness)
    own = chain_bound(len(problem.days), needs(problem, windows, ends))
    bounds = [*found.bounds, *[0] * (len(AIMS) - len(found.bounds))]
    bounds[0], bounds[1] = max(bounds[0], late), max(bounds[1], own)
    proved: list[str] = []
    for aim, value, bound in zip(AIMS, check.aims, bounds, strict=True):
        if value > bound or (aim not in ("lateness", "sessions") and len(found.bounds) < 2):
            break
        proved.append(aim)
    return Answer(
        Status.OPTIMAL if len(proved) >= 2 else Status.FEASIBLE,
        placed=tuple(sorted(found.placed, key=lambda one: (one.day, one.task))),
        blends=found.blends,
        bought=check.bought,
        lateness=check.lateness,
        sessions=check.sessions,
        pairs=check.pairs,
        last_date=check.last_date,
        bound_lateness=bounds[0],
        bound_sessions=bounds[1],
        proved=tuple(proved),
        method=method,
        clock=clock,
    )


