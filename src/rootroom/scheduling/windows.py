"""The days on which each task can be done at all, drawn together along the orders.

Three ends per task, all as positions in `Problem.days`: `first`, `final` (later breaks a hard rule)
and `due` (later makes this task, or one that must follow it, late).
Orders are followed by dates, so a gap that ends on a day off moves on to the next day with work.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from attrs import frozen

from rootroom.scheduling.problem import Order, Problem, Task, in_order

FAR = 10**9  # a date out of reach


@frozen
class Windows:
    """Ends of the tasks' windows as day positions; `first > final` where a task fits nowhere.

    `due` may lie before `first` (it will be late, the least is known) and is -1 before all days.
    """

    first: tuple[int, ...]
    due: tuple[int, ...]
    final: tuple[int, ...]

    @property
    def fits(self) -> bool:
        """Whether each task has at least one day."""
        return all(a <= b for a, b in zip(self.first, self.final, strict=True))


def task_order(problem: Problem) -> list[int]:
    """Return the tasks so that each comes after those it must wait for, else in their own order."""
    return in_order(len(problem.tasks), [(order.before, order.after) for order in problem.orders])


def _all_needed(problem: Problem, order: Order) -> bool:
    """Whether the last unit of `after` needs the last unit of `before`."""
    before, after = problem.tasks[order.before], problem.tasks[order.after]
    return order.whole or order.takes * after.count > order.gives * (before.count - 1)


def find_windows(problem: Problem) -> Windows:
    """Return the windows of all tasks, as narrow as orders, days and people make them."""
    soft = [task.due_date if task.plants else task.last for task in problem.tasks]
    return Windows(
        _first_days(problem),
        latest_days(problem, soft),
        latest_days(problem, [task.last for task in problem.tasks]),
    )


def is_last_chance(problem: Problem, task: Task, day: int) -> bool:
    """Whether no later day would serve a task in time that is done on this day."""
    for later in reversed(problem.days):
        if later.date <= problem.days[day].date:
            return True
        if later.date <= task.due_date and later.people >= task.people:
            return False
    return True


def _first_days(problem: Problem) -> tuple[int, ...]:
    dates = [day.date for day in problem.days]
    fitting = _fitting_days(problem)
    into: list[list[Order]] = [[] for _ in problem.tasks]
    for order in problem.orders:
        into[order.after].append(order)
    first = [0] * len(problem.tasks)
    for number in task_order(problem):
        opens = problem.tasks[number].opens
        for order in into[number]:
            start = first[order.before]
            opens = max(opens, dates[start] + order.gap if start < len(dates) else FAR)
        days = fitting[problem.tasks[number].people]
        at = bisect_left(days, bisect_left(dates, opens))
        first[number] = days[at] if at < len(days) else len(dates)
    return tuple(first)


def latest_days(problem: Problem, limits: Sequence[int]) -> tuple[int, ...]:
    """Return the last day of each task when none may be after its limit [date]; -1 for no day.

    Where few of a task's units go on, only those must hurry, so the task keeps its own limit.
    """
    dates = [day.date for day in problem.days]
    fitting = _fitting_days(problem)
    out: list[list[Order]] = [[] for _ in problem.tasks]
    for order in problem.orders:
        if _all_needed(problem, order):
            out[order.before].append(order)
    latest = [0] * len(problem.tasks)
    for number in reversed(task_order(problem)):
        limit = limits[number]
        for order in out[number]:
            end = latest[order.after]
            limit = min(limit, dates[end] - order.gap if end >= 0 else -FAR)
        days = fitting[problem.tasks[number].people]
        at = bisect_right(days, bisect_right(dates, limit) - 1) - 1
        latest[number] = days[at] if at >= 0 else -1
    return tuple(latest)


def _fitting_days(problem: Problem) -> dict[int, list[int]]:
    """Return the days that have enough people, by the number needed."""
    return {
        people: [at for at, day in enumerate(problem.days) if day.people >= people]
        for people in {task.people for task in problem.tasks}
    }
