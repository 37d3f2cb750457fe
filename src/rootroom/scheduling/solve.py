"""The door to scheduling: a problem in, a checked answer out, with what cannot be done left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from time import monotonic

from attrs import evolve, frozen

from rootroom.child_process import ChildResult, run_in_child
from rootroom.scheduling.bounds import lateness_bound, objective_bound
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.day_selection import STALE, choose_days
from rootroom.scheduling.exact_search import Found, Request
from rootroom.scheduling.line_balancing import balance
from rootroom.scheduling.list_scheduling import Draft, Filler, add_blends
from rootroom.scheduling.problem import (
    OBJECTIVES,
    Answer,
    Day,
    Order,
    Placed,
    Problem,
    Status,
    Task,
)
from rootroom.scheduling.tie_breaking import blend_late, move_closer
from rootroom.scheduling.windows import Windows, find_windows

Runner = Callable[..., ChildResult]

WORK_PER_SECOND = 0.35  # solver units; one took 1 to 2 s on the machine where it was measured
LOADS_PER_SECOND = 12_000  # full days looked at when tasks are balanced; 20,000 were measured
TASKS_PER_SECOND = 100_000  # looked at by the construction, a share of the time
TASKS_PER_SECOND_LARGE = 1_200_000  # the same where the construction has most of the time
LARGE_SIZE = 40_000  # pairs of task and day from which on it has
BRIEF = 8  # repeats of the construction without gain where the exact method goes on from there
MANY = 10**9  # set-ups that are few enough there
KEPT_SHARE = 0.03  # of the time, for settling and checking what the exact method found


def schedule_work(
    problem: Problem,
    *,
    seconds: float = 20.0,
    effort: float | None = None,
    exact: bool = True,
    run: Runner = run_in_child,
) -> Answer:
    """Return which work is done on which day, checked, with the bounds that are proved.

    `seconds` [s] is kept as a limit of the clock, and `effort` sets the work allowed: about what
    an idle machine does in so many seconds, by default in all of them. With less effort than
    seconds a busy or slow machine ends at the same answer.
    Without `exact` only the construction and its bounds are used; `run` runs the exact method.
    """
    end = monotonic() + seconds
    effort = seconds if effort is None else min(effort, seconds)
    if _is_balancing(problem):
        return _balance(problem, effort, end)
    windows = find_windows(problem)
    late = lateness_bound(problem, windows)
    if late is None:
        return Answer(Status.INFEASIBLE, method="windows and needs")
    low, setups = (
        0 if late else objective_bound(problem, windows, name, 0) for name in ("sessions", "setups")
    )
    size = sum(b - a + 1 for a, b in zip(windows.first, windows.final, strict=True))
    large = size > LARGE_SIZE or not exact
    speed = TASKS_PER_SECOND_LARGE if large else TASKS_PER_SECOND
    stop = end - (0.35 if large else 0.5) * seconds
    draft = choose_days(
        Filler(problem, windows),
        work=int(effort * speed),
        bound=(late, low, setups if large else MANY),
        patience=STALE if large else BRIEF,
        out_of_time=lambda: monotonic() > stop,
    )
    found = _drafted(problem, draft)
    clock = monotonic() > stop
    if exact and not _settled(problem, windows, found):
        left = end - monotonic() - KEPT_SHARE * seconds
        request = Request(problem, windows, found, late, effort * WORK_PER_SECOND, left)
        found, ended = _improved(request, run)
        clock = clock or ended
    return _answer(problem, windows, found, late, clock, settle_by=end)


def _improved(request: Request, run: Runner) -> tuple[Found, bool]:
    """Return what the exact method makes of a construction, and whether the clock ended it."""
    result = run("rootroom.scheduling.exact_search:improve", request, seconds=request.seconds)
    ended = result.ended == "clock"
    if not isinstance(result.value, Found):
        return request.known, ended
    return result.value, ended or result.value.clock


def _settled(problem: Problem, windows: Windows, found: Found) -> bool:
    """Whether the bounds alone prove every objective of a construction."""
    if found.objectives is None:
        return False
    return all(
        value <= objective_bound(problem, windows, objective, found.objectives[0])
        for objective, value in zip(OBJECTIVES, found.objectives, strict=True)
    )


@frozen
class Assigned:
    """Days by task, from 0, on the fewest days known; `bound` [days] holds for every answer."""

    days: tuple[int, ...]
    bound: int
    status: Status


def assign_days(
    minutes: Sequence[int],
    before: Iterable[tuple[int, int]],
    capacity: int,
    seconds: float = 10.0,
) -> Assigned:
    """Put tasks on the fewest equal days, none before a task that must come first.

    `minutes` [min] by task, `before` pairs of tasks from 0 (the first on the same day or earlier),
    `capacity` [min] of a day, `seconds` [s] a limit that sets the work allowed.
    This is simple assembly line balancing, type 1.
    Raises ValueError for negative minutes, unknown tasks, and orders that go round in a circle.
    """
    span = max(len(minutes) - 1, 0)
    problem = Problem(
        days=tuple(Day(date, capacity, capacity) for date in range(len(minutes))),
        tasks=tuple(Task(1, int(task), 0, span) for task in minutes),
        orders=tuple(Order(a, b) for a, b in before),
    )
    answer = schedule_work(problem, seconds=seconds)
    days = [0] * len(minutes)
    for one in answer.placed:
        days[one.task] = one.day
    return Assigned(tuple(days) if answer.found else (), answer.bound_sessions, answer.status)


def _is_balancing(problem: Problem) -> bool:
    """Whether only minutes and orders count: equal days, open windows, no set-up, no mix."""
    if not problem.tasks or not problem.days or problem.session_setup:
        return False
    first, last = problem.days[0], problem.days[-1]
    return (
        len(problem.days) >= len(problem.tasks)
        and all(day.minutes == first.minutes for day in problem.days)
        and all(
            task.count == 1
            and task.mix is None
            and not task.needs
            and task.opens <= first.date
            and task.due_date >= last.date
            and task.people <= min(day.people for day in problem.days)
            and task.minutes <= first.minutes
            for task in problem.tasks
        )
        and all(not order.gap and order.gives == order.takes == 1 for order in problem.orders)
    )


def _balance(problem: Problem, effort: float, end: float) -> Answer:
    result = balance(
        [task.minutes for task in problem.tasks],
        [(order.before, order.after) for order in problem.orders],
        problem.days[0].minutes,
        work=max(1000, int(effort * LOADS_PER_SECOND)),
        out_of_time=lambda: monotonic() > end,
    )
    placed = tuple(sorted((Placed(d, t, 1) for t, d in enumerate(result.days)), key=_by_day))
    found = Found(placed, stages=("balancing",))
    proof = evolve(found, bounds=(0, result.bound))
    return _answer(problem, find_windows(problem), proof, 0, monotonic() > end)


def _by_day(one: Placed) -> tuple[int, int]:
    return one.day, one.task


def _drafted(problem: Problem, draft: Draft | None) -> Found:
    """Return what a construction found, checked; nothing where it breaks a rule."""
    if draft is None:
        return Found()
    blends = add_blends(problem, draft.placed)
    check = check_answer(problem, draft.placed, blends)
    if check.broken:
        return Found()
    return Found(draft.placed, blends, check.objectives, stages=("construction",))


def _answer(
    problem: Problem,
    windows: Windows,
    found: Found,
    late: int,
    clock: bool,
    *,
    settle_by: float | None = None,
) -> Answer:
    method = ", ".join(found.stages)
    if found.infeasible:
        return Answer(Status.INFEASIBLE, method=method, clock=clock)
    if not found.placed and problem.tasks:
        return Answer(Status.LIMIT, bound_lateness=late, method=method, clock=clock)
    placed, blends = found.placed, found.blends
    if settle_by is not None:
        placed, blends = move_closer(problem, placed, blends, lambda: monotonic() > settle_by)
        blends = blend_late(problem, placed, blends)
    check = check_answer(problem, placed, blends)
    if check.broken:
        return Answer(Status.LIMIT, bound_lateness=late, method=method, clock=clock)
    bounds = [objective_bound(problem, windows, name, check.lateness) for name in OBJECTIVES]
    for position, bound in enumerate(found.bounds):
        bounds[position] = max(bounds[position], bound)
    best = [v <= b for v, b in zip(check.objectives, bounds, strict=True)]
    proved = OBJECTIVES[: [*best, False].index(False)]
    known = Answer(
        Status.OPTIMAL if len(proved) >= 2 else Status.FEASIBLE,
        bound_lateness=bounds[0],
        bound_sessions=bounds[1],
        proved=proved,
        method=method,
        clock=clock,
    )
    return known.with_check(check, placed, blends)


# The problem is widened by days far behind its last one, which hold everything. Work put there is
# left out; each plant of it is later than all others together can be in time, so fewest plants are
# left out before anything else counts, and of equal answers the one that is least late.
def schedule_what_fits(
    problem: Problem, status: Status, *, seconds: float, effort: float | None = None
) -> Answer:
    """Return the work that can be done, and what is left out of it, as a checked answer.

    `status` is what is known of doing it all: `infeasible` where that is proved impossible, else
    `limit`; the answer keeps it. Where not even days without end would do, as for containers that
    cannot be had, the answer is empty. Where no fewer plants can be left out, `proved` says
    "left_out". The limits are those of `schedule_work`.
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
        proved=("left_out",) if "lateness" in found.proved else (),
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
    chain = _longest_chain(problem)
    far = 1 + 2 * sum(
        task.count * task.plants * (abs(last - task.due_date) + chain * gap)
        for task in problem.tasks
    )
    # Work that waits beyond the last day, as after a late move before it, has a day too.
    begin = max([last, *(task.opens for task in problem.tasks)]) + far
    behind = tuple(
        Day(begin + at * gap, problem.session_setup + total + turning, turning, people)
        for at in range(chain + 1)
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
