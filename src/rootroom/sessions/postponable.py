"""If it rains: what can wait, until which work day, and what cannot.

Work can wait until the last work day that breaks no rule and makes nothing later than it is
planned: its own date, the next move of the same plants as planned, plants that wait for the bed,
and the containers that a later session counts on.
What follows on the same day is rained off too and waits with it.
It must also find room in the free minutes of the work days from then on, nearest date first; what
cannot wait is done all the same and takes none.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from graphlib import TopologicalSorter

from rootroom.scheduling.problem import Answer, Order, Problem
from rootroom.sessions.tasks import Work


def find_slack(work: Work, answer: Answer) -> dict[tuple[int, int], int | None]:
    """Return until which day (a position) the work of every (day, task) can wait, or None."""
    problem = work.problem
    latest = _latest_dates(work, answer)
    spare = _free_minutes(work, answer)
    slack: dict[tuple[int, int], int | None] = {}
    by_day: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one in answer.placed:
        by_day[one.day].append((one.task, one.count))
    for day, parts in by_day.items():
        free = dict(spare)
        opened = {d for d in by_day if d != day}
        # What is due first gets the room first; equal dates in plan order.
        for task, count in sorted(parts, key=lambda part: (latest[day, part[0]], part[0])):
            wanted = count * problem.tasks[task].minutes
            slack[day, task] = _find_room(work, free, opened, day, latest[day, task], task, wanted)
    return slack


def _latest_dates(work: Work, answer: Answer) -> dict[tuple[int, int], int]:
    """Return the last date for the units of each (day, task), all else as planned."""
    problem = work.problem
    latest: dict[tuple[int, int], int] = {}
    days_of: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for one in answer.placed:
        days_of[one.task].append((one.day, one.count))
        planned = problem.days[one.day].date
        limit = problem.tasks[one.task].due_date
        latest[one.day, one.task] = max(planned, limit)
        if planned > limit:  # late already: every further day makes it later
            latest[one.day, one.task] = planned
    for order in _last_first(problem):
        gives, takes = order.gives, order.takes
        before = sorted(days_of[order.before])
        after = sorted(days_of[order.after])
        upto = 0
        for day, count in before:
            start, upto = upto, upto + count
            first = _first_user(after, start, gives, takes, whole=order.whole)
            if first is not None:
                date = problem.days[first].date
                if first == day:  # what follows on the same day is rained off with it, and waits
                    date = latest[day, order.after]
                date -= order.gap
                latest[day, order.before] = min(latest[day, order.before], date)
    fills = _fill_dates(work, days_of)
    for day, task in latest:
        planned = problem.days[day].date
        for use in problem.tasks[task].frees:
            dates = fills[use.container]
            place = bisect_right(dates, planned)
            if place < len(dates):
                limit = dates[place] - problem.containers[use.container].wash_days
                latest[day, task] = max(min(latest[day, task], limit), planned)
    return latest


def _last_first(problem: Problem) -> list[Order]:
    """Return the orders so that those of what comes after stand before those of what it follows."""
    following: dict[int, list[int]] = {order.before: [] for order in problem.orders}
    for order in problem.orders:
        following[order.before].append(order.after)
    place = {task: at for at, task in enumerate(TopologicalSorter(following).static_order())}
    return sorted(problem.orders, key=lambda order: place[order.before])


def _first_user(
    after: Sequence[tuple[int, int]], start: int, gives: int, takes: int, *, whole: bool
) -> int | None:
    """Return the first day whose units need more than the first `start` units have given."""
    if whole:
        return after[0][0] if after else None
    done = 0
    for day, count in after:
        done += count
        if done * takes > start * gives:
            return day
    return None


def _fill_dates(work: Work, days_of: Mapping[int, Sequence[tuple[int, int]]]) -> list[list[int]]:
    """Return the dates on which containers of each kind are filled, in order."""
    dates: list[set[int]] = [set() for _ in work.problem.containers]
    for task, parts in days_of.items():
        for use in work.problem.tasks[task].needs:
            dates[use.container].update(work.problem.days[day].date for day, _ in parts)
    return [sorted(found) for found in dates]


def _free_minutes(work: Work, answer: Answer) -> dict[int, int]:
    """Return the minutes left on every day, in the problem's own minutes."""
    problem = work.problem
    free = {day: here.minutes for day, here in enumerate(problem.days)}
    setups: set[tuple[int, int]] = set()
    for one in answer.placed:
        task = problem.tasks[one.task]
        free[one.day] -= one.count * task.minutes
        if task.mix is not None:
            setups.add((one.day, task.mix))
    for blend in answer.blends:
        free[blend.day] -= problem.mixes[blend.mix].blending(blend.ml)
        setups.add((blend.day, blend.mix))
    for day, _ in setups:
        free[day] -= problem.mix_setup
    for day in answer.session_days:
        free[day] -= problem.session_setup
    return free


def _find_room(
    work: Work,
    free: dict[int, int],
    opened: set[int],
    day: int,
    latest: int,
    task: int,
    wanted: int,
) -> int | None:
    """Return the last work day from which on all of the work finds room up to `latest`, or None.

    The room is taken, so that what is asked later finds less.
    """
    problem = work.problem
    record = problem.tasks[task]
    days = [
        d
        for d in range(day + 1, len(problem.days))
        if problem.days[d].date <= latest and problem.days[d].people >= record.people
    ]
    extra = 0
    if record.mix is not None:
        extra = problem.mix_setup + problem.mixes[record.mix].unit_minutes
    if not wanted:
        return days[-1] if days else None
    taken: dict[int, int] = {}
    for later in reversed(days):
        setup = extra + (0 if later in opened else problem.session_setup)
        used = min(free[later] - setup, wanted)
        if used > 0:
            taken[later] = free[later] - used - setup
            wanted -= used
        if wanted <= 0:
            free.update(taken)
            opened.update(taken)
            return later
    return None
