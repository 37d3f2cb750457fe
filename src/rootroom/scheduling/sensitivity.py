"""The smallest changes that would let all work be done in time, each found by solving.

A change counts only when the changed problem was scheduled (without lateness, where it had been
late) and the answer has passed the checker. Each kind of change is tried from the smallest on; that
a still smaller one would not do is not proved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import floor
from typing import Literal

from attrs import evolve, frozen

from rootroom.scheduling.conflicts import missing_containers
from rootroom.scheduling.problem import Container, Day, Problem
from rootroom.scheduling.solve import schedule_work

__all__ = ["MOST_TASKS", "Cure", "find_cures"]

MOST_TASKS = 400
"""Problems with more tasks are not solved again for cures."""

MOST_SOLVED = 3000
"""Tasks of all problems together that are solved for cures: work, not a clock, ends the search."""

SMALL = 1e-9
SECONDS = 0.4
STEPS_MIN = (30, 60, 120, 180, 240)
WEEKS = (1, 2, 4, 8)
MOST_DATES = 14


@frozen
class Cure:
    """One change that is enough by itself.

    `kind` is "minutes" (`amount` [min] more on each work day), "people" (one more on each),
    "day" (one more work day on `date`, worked as that of `like`), "last" (`amount` weeks more at
    the end, the last on `date`)
    or "containers" (`amount` more that may be bought of kind `container`).
    """

    kind: Literal["minutes", "people", "day", "last", "containers"]
    amount: int = 0
    date: int | None = None
    like: int | None = None
    container: int | None = None


Change = tuple[Cure, Callable[[], Problem]]


def find_cures(
    problem: Problem,
    *,
    ticks: float,
    dates: Sequence[int] = (),
    late: bool = False,
    out_of_time: Callable[[], bool] = lambda: False,
) -> tuple[Cure, ...]:
    """Return changes that cure a late or impossible problem, at most one of each kind.

    `ticks` is how many of the problem's minutes one more minute [min] of the clock gives a person,
    the spare share taken off; `dates` are those that one more work day is tried on; `late` accepts
    an answer that does all work, some of it late.
    `out_of_time` ends the search.
    """
    if len(problem.tasks) > MOST_TASKS or not problem.days:
        return ()
    kinds: list[Iterator[Change]] = [
        _containers(problem), _days(problem, dates), _minutes(problem, ticks), _people(problem),
    ]  # fmt: skip
    if late:
        kinds.append(_later(problem))
    left = max(MOST_SOLVED // max(len(problem.tasks), 1), len(kinds))
    found = []
    for changes in kinds:
        for cure, changed in changes:
            if out_of_time() or not left:
                break
            left -= 1
            if _cured(changed(), late):
                found.append(cure)
                break
    return tuple(found)


def _cured(problem: Problem, late: bool) -> bool:
    answer = schedule_work(problem, seconds=SECONDS, exact=False)
    return answer.found and (late or answer.lateness == 0)


def _containers(problem: Problem) -> Iterator[Change]:
    for short in missing_containers(problem):
        boxes = list(problem.containers)
        box = boxes[short.container]
        boxes[short.container] = evolve(box, most_bought=(box.most_bought or 0) + short.missing)

        def changed(boxes: tuple[Container, ...] = tuple(boxes)) -> Problem:
            return evolve(problem, containers=boxes)

        yield Cure("containers", short.missing, container=short.container), changed


def _minutes(problem: Problem, ticks: float) -> Iterator[Change]:
    for step in STEPS_MIN:
        more = floor(step * ticks + SMALL)

        def changed(more: int = more) -> Problem:
            days = (
                evolve(
                    day,
                    minutes=day.minutes + more * max(day.people, 1),
                    vessel_minutes=day.vessel_minutes + more,
                )
                for day in problem.days
            )
            return evolve(problem, days=tuple(days))

        yield Cure("minutes", step), changed


def _people(problem: Problem) -> Iterator[Change]:
    def changed() -> Problem:
        days = (
            evolve(day, minutes=day.minutes + day.vessel_minutes, people=day.people + 1)
            for day in problem.days
        )
        return evolve(problem, days=tuple(days))

    yield Cure("people", 1), changed


def _days(problem: Problem, dates: Sequence[int]) -> Iterator[Change]:
    """Yield one more work day, as long as the longest, on each of the last of these dates."""
    longest = max(problem.days, key=lambda day: day.minutes)
    for date in dates[-MOST_DATES:]:

        def changed(date: int = date) -> Problem:
            days = sorted([*problem.days, evolve(longest, date=date)], key=lambda day: day.date)
            return evolve(problem, days=tuple(days))

        yield Cure("day", 1, date, longest.date), changed


def _later(problem: Problem) -> Iterator[Change]:
    """Yield more weeks at the end, worked as the last week is."""
    final = problem.days[-1].date
    week = [day for day in problem.days if day.date > final - 7]
    for weeks in WEEKS:

        def changed(weeks: int = weeks) -> Problem:
            more: list[Day] = [
                evolve(day, date=day.date + 7 * n) for n in range(1, weeks + 1) for day in week
            ]
            last = final + 7 * weeks
            tasks = (
                evolve(
                    task,
                    last=last,
                    due=None if task.due is None or task.due >= task.last else task.due,
                )
                for task in problem.tasks
            )
            return evolve(problem, days=(*problem.days, *more), tasks=tuple(tasks))

        yield Cure("last", weeks, final + 7 * weeks), changed
