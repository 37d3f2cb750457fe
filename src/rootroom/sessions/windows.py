"""The days on which each task can be done at all, drawn together along the orders.

Three ends per task, all as positions in `Problem.days`: `first`, `final` (later breaks a hard rule)
and `due` (later makes this task, or one that must follow it, late).
Orders are followed by dates, so a gap that ends on a day off moves on to the next day with work.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from attrs import frozen

from rootroom.sessions.problem import Order, Problem

__all__ = ["Windows", "find_windows", "task_order"]


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
    after: list[list[int]] = [[] for _ in problem.tasks]
    waiting = [0] * len(problem.tasks)
    for order in problem.orders:
        after[order.before].append(order.after)
        waiting[order.after] += 1
    done: list[int] = []
    ready = [number for number, count in enumerate(waiting) if not count]
    while ready:
        done.extend(ready)
        following = []
        for number in ready:
            for follower in after[number]:
                waiting[follower] -= 1
                if not waiting[follower]:
                    following.append(follower)
        ready = sorted(following)
    return done


def _all_needed(problem: Problem, order: Order) -> bool:
    """Whether the last unit of `after` needs the last unit of `before`."""
    before, after = problem.tasks[order.before], problem.tasks[order.after]
    return order.whole or order.takes * after.count > order.gives * (before.count - 1)


def find_windows(problem: Problem) -> Windows:
    """Return the windows of all tasks, as narrow as orders, days and people make them."""
    dates = [day.date for day in problem.days]
    tasks = problem.tasks
    sequence = task_order(problem)
    into: list[list[Order]] = [[] for _ in tasks]
    out: list[list[Order]] = [[] for _ in tasks]
    for order in problem.orders:
        into[order.after].append(order)
        out[order.before].append(order)
    fitting: dict[int, list[int]] = {}
    for task in tasks:
        if task.people not in fitting:
            fitting[task.people] = [
                p for p, day in enumerate(problem.days) if day.people >= task.people
            ]
    size = len(tasks)
    first, due, final = [0] * size, [0] * size, [0] * size
    for number in sequence:
        task = tasks[number]
        opens = task.opens
        for order in into[number]:
            start = first[order.before]
            if not task.split or order.whole:
                # A task on one day waits for every unit it takes; the earliest is still the first.
                start = first[order.before]
            opens = max(opens, (dates[start] if start < len(dates) else 10**9) + order.gap)
        days = fitting[task.people]
        at = bisect_left(days, bisect_left(dates, opens))
        first[number] = days[at] if at < len(days) else len(dates)
    for number in reversed(sequence):
        task = tasks[number]
        last, soft = task.last, task.due_date
        for order in out[number]:
            # Where few go on, only the units that go on must hurry; the window keeps the rest.
            if _all_needed(problem, order):
                end, wish = final[order.after], due[order.after]
                last = min(last, (dates[end] if end >= 0 else -(10**9)) - order.gap)
                soft = min(soft, (dates[wish] if wish >= 0 else -(10**9)) - order.gap)
        days = fitting[task.people]
        for ends, date in ((final, last), (due, soft)):
            at = bisect_right(days, bisect_right(dates, date) - 1) - 1
            ends[number] = days[at] if at >= 0 else -1
    return Windows(tuple(first), tuple(due), tuple(final))
