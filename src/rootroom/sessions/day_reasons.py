"""Why each session is on its day: what a work day earlier or later would cost."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from rootroom.scheduling.problem import Answer
from rootroom.sessions.session import DayReason
from rootroom.sessions.tasks import BedItem, Item, Work


def find_day_reasons(work: Work, answer: Answer) -> tuple[DayReason, ...]:
    """Return the reasons of all sessions, in the order of their days."""
    days = work.problem.days
    by_day: dict[int, list[int]] = {}
    done: dict[int, list[int]] = {}
    for one in sorted(answer.placed, key=lambda one: (one.day, one.task)):
        by_day.setdefault(one.day, []).append(one.task)
        done.setdefault(one.task, []).append(one.day)
    reasons = []
    for day, tasks in sorted(by_day.items()):
        before, after = day - 1 if day else None, day + 1 if day + 1 < len(days) else None
        reasons.append(
            DayReason(
                day=_date(work, day),
                before=None if before is None else _date(work, before),
                after=None if after is None else _date(work, after),
                taken=before in by_day,
                too_early=_names(work, _too_early(work, done, day, tasks)),
                too_late=_names(work, _too_late(work, done, day, tasks)),
            )
        )
    return tuple(reasons)


def _date(work: Work, day: int) -> date:
    return date.fromordinal(work.problem.days[day].date)


def _too_early(work: Work, done: Mapping[int, list[int]], day: int, tasks: list[int]) -> list[int]:
    """Return the tasks that could not be done on the work day before."""
    if not day:
        return []
    problem = work.problem
    before = problem.days[day - 1]
    found = []
    for number in tasks:
        task = problem.tasks[number]
        waits = any(
            problem.days[min(d for d in done[order.before])].date + order.gap > before.date
            for order in problem.orders
            if order.after == number and order.before in done
        )
        if task.opens > before.date or task.people > before.people or waits:
            found.append(number)
    return found


def _too_late(work: Work, done: Mapping[int, list[int]], day: int, tasks: list[int]) -> list[int]:
    """Return the tasks that would be late, or hold up what follows them, a work day later."""
    problem = work.problem
    after = problem.days[day + 1] if day + 1 < len(problem.days) else None
    found = []
    for number in tasks:
        task = problem.tasks[number]
        holds_up = after is not None and any(
            after.date + order.gap > problem.days[max(done[order.after])].date
            for order in problem.orders
            if order.before == number and order.after in done
        )
        if after is None or task.due_date < after.date or task.people > after.people or holds_up:
            found.append(number)
    return found


def _names(work: Work, tasks: list[int]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_name(work.items[number]) for number in tasks))


def _name(item: Item) -> str:
    return item.bed.name if isinstance(item, BedItem) else item.names
