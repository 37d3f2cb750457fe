"""The smallest changes that would let all work be done in time, each found by solving.

A change counts only when the changed problem was scheduled (without lateness, where it had been
late) and the answer has passed the checker. Each kind of change is tried from the smallest on; that
a still smaller one would not do is not proved. Where none is enough by itself, all are made
together, and those that are not needed are taken back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from math import floor
from typing import Literal

from attrs import evolve, frozen

from rootroom.scheduling.conflicts import missing_containers
from rootroom.scheduling.problem import Day, Problem
from rootroom.scheduling.solve import schedule_work
from rootroom.tolerances import ROUNDING

MOST_TASKS = 400
"""Problems with more tasks are not solved again for cures."""

MOST_SOLVED = 3000
"""Tasks of all problems together that are solved for cures: work, not a clock, ends the search."""

SECONDS = 0.4
STEPS_MIN = (15, 30, 60, 120, 180, 240)
WEEKS = (1, 2, 4, 8)
MOST_DATES = 14
MOST_TRIED_DAYS = 8


@frozen
class Clock:
    """How the problem's minutes come from hours of the clock.

    `ticks` a minute of one person, before the share `spare` [0 to 1] is left unplanned.
    """

    ticks: float
    spare: float

    def more(self, minutes: int) -> int:
        """Return what so many minutes [min] more give a person, in the problem's own."""
        return floor(minutes * self.ticks * (1 - self.spare) + ROUNDING)


@frozen
class Cure:
    """One change; `minutes` is what it adds to the work days [person-minutes of the problem].

    `kind` is "minutes" (`amount` [min of the clock] more), "people" (one more), both on any one of
    `dates`, or on each work day where there are none; "spare" (`amount` [percent] left unplanned);
    "day" (one more work day on the one of `dates`, worked as that of `like`), "last" (`amount`
    weeks more at the end, the last on the one of `dates`) or "containers" (`amount` more that may
    be bought of kind `container`).
    """

    kind: Literal["minutes", "people", "spare", "day", "last", "containers"]
    amount: int = 0
    dates: tuple[int, ...] = ()
    like: int | None = None
    container: int | None = None
    minutes: int = 0


Change = tuple[Cure, Callable[[Problem], Problem]]


def find_cures(
    problem: Problem,
    *,
    clock: Clock,
    dates: Sequence[int] = (),
    tight: Sequence[int] = (),
    late: bool = False,
    out_of_time: Callable[[], bool] = lambda: False,
) -> tuple[tuple[Cure, ...], ...]:
    """Return changes that cure a late or impossible problem: the smallest first.

    Each row is enough by itself, and what stands in one row is needed together.
    `dates` are those that one more work day is tried on, `tight` the days (positions) of which one
    alone may be made longer or get help; `late` accepts an answer that does all work, some of it
    late. `out_of_time` ends the search.
    """
    if len(problem.tasks) > MOST_TASKS or not problem.days:
        return ()
    trial = _Trial(problem, late, out_of_time)
    tight = tuple(tight)[-MOST_TRIED_DAYS:]
    found = [
        trial.first(_containers(problem)),
        _longer_day(trial, clock, tight),
        _help_on_a_day(trial, tight) or trial.first([_people()]),
        _less_spare(trial, clock),
        trial.first(_days(problem, dates)),
        trial.first(_minutes(clock)),
    ]
    if late:
        found.append(trial.first(_later(problem)))
    cures = [evolve(one[0], minutes=_added(problem, one)) for one in found if one is not None]
    if cures:
        return tuple((cure,) for cure in sorted(cures, key=lambda cure: cure.minutes))
    together = _together(trial, clock, late=late)
    return (together,) if together else ()


def _added(problem: Problem, change: Change) -> int:
    before = sum(day.minutes for day in problem.days)
    return sum(day.minutes for day in change[1](problem).days) - before


class _Trial:
    """Solves changed problems, as long as work and time are left."""

    def __init__(self, problem: Problem, late: bool, out_of_time: Callable[[], bool]) -> None:
        self.problem, self.late, self.out_of_time = problem, late, out_of_time
        self.left = max(MOST_SOLVED // max(len(problem.tasks), 1), 12)

    def cured(self, *changes: Change) -> bool:
        """Whether the changes together are enough; never where nothing is left to find out."""
        if self.out_of_time() or not self.left:
            return False
        self.left -= 1
        changed = self.problem
        for _, make in changes:
            changed = make(changed)
        answer = schedule_work(changed, seconds=SECONDS, exact=False)
        return answer.complete and (self.late or answer.lateness == 0)

    def first(self, changes: Iterable[Change]) -> Change | None:
        """Return the first change that is enough."""
        return next((change for change in changes if self.cured(change)), None)


def _longer(day: Day, more: int) -> Day:
    return evolve(
        day,
        minutes=day.minutes + more * max(day.people, 1),
        vessel_minutes=day.vessel_minutes + more,
    )


def _helped(day: Day) -> Day:
    return evolve(day, minutes=day.minutes + day.vessel_minutes, people=day.people + 1)


def _on_days(
    change: Callable[[Day], Day], days: Sequence[int] | None = None
) -> Callable[[Problem], Problem]:
    """Return what changes some days of a problem (positions), or each."""

    def changed(problem: Problem) -> Problem:
        return evolve(
            problem,
            days=tuple(
                change(day) if days is None or at in days else day
                for at, day in enumerate(problem.days)
            ),
        )

    return changed


def _containers(problem: Problem) -> Iterator[Change]:
    for short in missing_containers(problem):

        def changed(
            problem: Problem, kind: int = short.container, more: int = short.missing
        ) -> Problem:
            boxes = list(problem.containers)
            boxes[kind] = evolve(boxes[kind], most_bought=(boxes[kind].most_bought or 0) + more)
            return evolve(problem, containers=tuple(boxes))

        yield Cure("containers", short.missing, container=short.container), changed


def _minutes(clock: Clock) -> Iterator[Change]:
    for step in STEPS_MIN[1:]:
        more = clock.more(step)
        yield Cure("minutes", step), _on_days(partial(_longer, more=more))


def _longer_day(trial: _Trial, clock: Clock, tight: Sequence[int]) -> Change | None:
    """Return the fewest minutes more on one day alone, and all days on which they are enough."""

    def change(step: int, days: Sequence[int]) -> Change:
        more = clock.more(step)
        dates = tuple(trial.problem.days[day].date for day in days)
        return Cure("minutes", step, dates), _on_days(lambda day: _longer(day, more), days[:1])

    able = [day for day in tight if trial.cured(change(STEPS_MIN[-1], [day]))]
    shorter = 0
    for step in STEPS_MIN if able else ():
        enough = [day for day in able if trial.cured(change(step, [day]))]
        if enough:
            while step - shorter > 1:
                middle = (step + shorter) // 2
                fewer = [day for day in enough if trial.cured(change(middle, [day]))]
                step, shorter = (middle, shorter) if fewer else (step, middle)
                enough = fewer or enough
            return change(step, enough)
        shorter = step
    return None


def _help_on_a_day(trial: _Trial, tight: Sequence[int]) -> Change | None:
    enough = [day for day in tight if trial.cured((Cure("people", 1), _on_days(_helped, [day])))]
    dates = tuple(trial.problem.days[day].date for day in enough)
    return (Cure("people", 1, dates), _on_days(_helped, enough[:1])) if enough else None


def _less_spare(trial: _Trial, clock: Clock) -> Change | None:
    """Return the largest share [percent] that may be left unplanned."""

    def change(percent: int) -> Change:
        grown = (1 - percent / 100) / (1 - clock.spare)
        return Cure("spare", percent), _on_days(
            lambda day: evolve(
                day,
                minutes=floor(day.minutes * grown + ROUNDING),
                vessel_minutes=floor(day.vessel_minutes * grown + ROUNDING),
            )
        )

    low, high = 0, round(clock.spare * 100)
    if high <= 0 or clock.spare >= 1 or not trial.cured(change(low)):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if trial.cured(change(middle)) else (low, middle)
    return change(low)


def _people() -> Change:
    return Cure("people", 1), _on_days(_helped)


def _days(problem: Problem, dates: Sequence[int]) -> Iterator[Change]:
    """Yield one more work day, as long as the longest, on each of the last of these dates."""
    longest = max(problem.days, key=lambda day: day.minutes)
    for date in dates[-MOST_DATES:]:

        def changed(problem: Problem, date: int = date) -> Problem:
            days = sorted([*problem.days, evolve(longest, date=date)], key=lambda day: day.date)
            return evolve(problem, days=tuple(days))

        yield Cure("day", 1, (date,), longest.date), changed


def _later(problem: Problem) -> Iterator[Change]:
    """Yield more weeks at the end, worked as the last week is."""
    final = problem.days[-1].date

    def changed(problem: Problem, weeks: int) -> Problem:
        week = [day for day in problem.days if day.date > final - 7]
        more = [evolve(day, date=day.date + 7 * n) for n in range(1, weeks + 1) for day in week]
        tasks = (
            evolve(
                task,
                last=final + 7 * weeks,
                due=None if task.due is None or task.due >= task.last else task.due,
            )
            for task in problem.tasks
        )
        return evolve(problem, days=(*problem.days, *more), tasks=tuple(tasks))

    for weeks in WEEKS:
        cure = Cure("last", weeks, (final + 7 * weeks,))
        yield cure, partial(changed, weeks=weeks)


def _together(trial: _Trial, clock: Clock, *, late: bool) -> tuple[Cure, ...]:
    """Return changes that are enough together, none of them needlessly, each as small as tried."""
    steps: list[list[Change]] = [
        *([box] for box in _containers(trial.problem)),
        list(_minutes(clock)),
        [_people()],
        *([list(_later(trial.problem))] if late else []),
    ]
    chosen = [kind[-1] for kind in steps]
    if not trial.cured(*chosen):
        return ()
    for at in reversed(range(len(steps))):
        rest = [*chosen[:at], *chosen[at + 1 :]]
        if rest and trial.cured(*rest):
            chosen, steps = rest, [*steps[:at], *steps[at + 1 :]]
    for at, kind in enumerate(steps):
        for change in kind[:-1]:
            if trial.cured(*chosen[:at], change, *chosen[at + 1 :]):
                chosen[at] = change
                break
    return tuple(cure for cure, _ in chosen)
