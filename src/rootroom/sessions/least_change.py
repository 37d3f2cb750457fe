"""Replanning with as few changes as possible from the posted plan.

The trade-off: first the least lateness, as for any plan; then no more sessions than the sheet has
left, or than are needed; then as few plants as possible on another day than they were; then the
fewest sessions and the other objectives. So days are not shuffled to save one, and the answer says
how many sessions would do.
The core is asked as ever. Then the old days are put back, the largest tasks first: all of them,
else halves, and halves of those, as long as neither lateness nor sessions rise. Where that breaks a
rule the core is asked again with the tasks held to their old days.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.plan.entries import PostedLine
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.list_scheduling import add_blends
from rootroom.scheduling.problem import Answer, Blend, Placed, Problem, Status
from rootroom.scheduling.solve import schedule_work
from rootroom.scheduling.tie_breaking import blend_ahead
from rootroom.sessions.session import BedLine, PlantLine
from rootroom.sessions.tasks import Item, MoveItem, Work

if TYPE_CHECKING:
    from rootroom.sessions.session import Session

BED = "fill bed"
"""The kind of work whose lines in the posted plan tell of a layer of a bed."""

Days = Mapping[int, Mapping[int, int]]
"""Units by position of the day, for each task that the sheet tells of."""

Solve = Callable[[Problem], Answer]

TRIES = 16
"""How often the core is asked again, at most; the work of each try is limited too."""

RESTORES = 200
"""How often old days are put back and checked, at most."""


def stay_close(
    work: Work,
    answer: Answer,
    posted: Iterable[PostedLine],
    *,
    seconds: float,
    effort: float,
    solve: Solve | None = None,
) -> Answer:
    """Return an answer that is no later than `answer` and nearer to the old days.

    It has no more sessions than `answer` or the posted plan has, whichever is more.
    `effort` sets the work of all tries together, as for one run of the core, and `seconds` [s] is
    the clock's safety net; `solve` asks the core once.
    """
    if not answer.found:
        return answer
    nearest = _Nearest(work.problem, answer, _old_days(work, posted))
    nearest.restore(answer)
    if nearest.moved:
        nearest.ask(solve or partial(schedule_work, seconds=seconds / TRIES, effort=effort / TRIES))
    best = nearest.best
    if best is answer:
        return answer
    proved = Status.OPTIMAL if best.sessions <= answer.bound_sessions else Status.FEASIBLE
    return evolve(
        best,
        status=answer.status if answer.status is Status.FEASIBLE else proved,
        bound_lateness=answer.bound_lateness,
        bound_sessions=answer.bound_sessions,
        proved=tuple(
            name
            for name in answer.proved
            if name == "lateness" or (name == "sessions" and best.sessions <= answer.sessions)
        ),
        method=f"{answer.method}, old days kept",
        clock=answer.clock or best.clock,
    )


def posted_work(sessions: Iterable[Session]) -> tuple[PostedLine, ...]:
    """Return the lines of plants and beds of some sessions as a plan is posted."""
    return tuple(
        PostedLine(
            day=session.date,
            kind=line.kind,
            name=line.name,
            number=line.layer if isinstance(line, BedLine) else line.move,
            count=1 if isinstance(line, BedLine) else line.count,
            share=line.share,
        )
        for session in sessions
        for line in session.work
        if isinstance(line, PlantLine | BedLine)
    )


def plants_moved(problem: Problem, placed: Iterable[Placed], old: Days) -> int:
    """Return how many plants are on another day than they were, of tasks that had days."""
    moved = 0
    for one in placed:
        if one.task in old:
            more = one.count - old[one.task].get(one.day, 0)
            moved += max(more, 0) * max(problem.tasks[one.task].plants, 1)
    return moved


class _Nearest:
    """The answer nearest to the old days that was found so far."""

    def __init__(self, problem: Problem, answer: Answer, old: Days) -> None:
        self.problem, self.old = problem, old
        days = {day for parts in old.values() for day in parts}
        self.least = (answer.lateness, max(answer.sessions, len(days)))
        self.best = answer
        self.moved = plants_moved(problem, answer.placed, old)
        weight = {n: problem.tasks[n].count * problem.tasks[n].plants for n in old}
        self.tasks = sorted(old, key=lambda n: (-weight[n], n))

    def keep(self, answer: Answer) -> bool:
        """Keep an answer that is good enough and nearer; return whether it is good enough."""
        if not answer.found or (answer.lateness, answer.sessions) > self.least:
            return False
        moved = plants_moved(self.problem, answer.placed, self.old)
        if (answer.lateness, moved, answer.sessions) < (
            self.best.lateness, self.moved, self.best.sessions
        ):  # fmt: skip
            self.best, self.moved = answer, moved
        return True

    def restore(self, answer: Answer) -> None:
        """Put old days back into an answer: all tasks, halves, tasks, and days of a task."""
        current = answer
        queue: list[list[int]] = [self.tasks]
        for _ in range(RESTORES):
            if not queue or not self.moved:
                return
            block = queue.pop(0)
            found = self._checked(current, self._put_back(current, block))
            if found is not None and self.keep(found):
                current = found
            elif len(block) > 1:
                half = len(block) // 2
                queue += [block[:half], block[half:]]
            else:
                current = self._restore_days(current, block[0])

    def _restore_days(self, answer: Answer, task: int) -> Answer:
        """Put back what can be put back of one task, day by day."""
        for day, wanted in sorted(self.old[task].items()):
            now = {one.day: one.count for one in answer.placed if one.task == task}
            short = wanted - now.get(day, 0)
            spare = {d: n - self.old[task].get(d, 0) for d, n in now.items() if d != day}
            for other, extra in sorted(spare.items()):
                part = min(extra, short)
                if part <= 0:
                    continue
                trial = {**now, day: now.get(day, 0) + part, other: now[other] - part}
                found = self._checked(answer, {task: trial})
                if found is not None and self.keep(found):
                    answer, now = found, trial
                    short -= part
        return answer

    def ask(self, solve: Solve) -> None:
        """Ask the core: on the old days alone, then with more and more tasks held to theirs."""
        days = sorted({day for parts in self.old.values() for day in parts})
        if days and len(days) < len(self.problem.days):
            found = _on_days(self.problem, days, solve)
            if self.keep(found):
                self.restore(found)
        held: set[int] = set()
        queue = [self.tasks]
        for _ in range(TRIES):
            if not queue or not self.moved:
                return
            block = queue.pop(0)
            found = solve(_hold(self.problem, self.old, held | set(block)))
            if self.keep(found):
                held |= set(block)
                self.restore(found)
            elif len(block) > 1:
                half = len(block) // 2
                queue += [block[:half], block[half:]]

    def _put_back(self, answer: Answer, block: Sequence[int]) -> dict[int, dict[int, int]]:
        return {n: _fitted(self.old[n], self.problem.tasks[n].count) for n in block}

    def _checked(self, answer: Answer, changed: Days) -> Answer | None:
        """Return an answer with some tasks on other days, None if that breaks a rule."""
        placed = [one for one in answer.placed if one.task not in changed]
        for number, parts in changed.items():
            placed += [Placed(day, number, count) for day, count in parts.items() if count]
        for blends in self._blends(answer, placed):
            check = check_answer(self.problem, placed, blends)
            if not check.broken:
                return answer.with_check(check, placed, blends)
        return None

    def _blends(self, answer: Answer, placed: Sequence[Placed]) -> Iterable[tuple[Blend, ...]]:
        yield add_blends(self.problem, placed)
        yield answer.blends
        ahead = blend_ahead(self.problem, placed)
        if ahead is not None:
            yield ahead


def _fitted(days: Mapping[int, int], count: int) -> dict[int, int]:
    """Return old units by day for as many units as there are now, the first days first."""
    fitted, left = {}, count
    for day, units in sorted(days.items()):
        fitted[day] = min(units, left)
        left -= fitted[day]
    fitted[max(days)] += left
    return {day: units for day, units in fitted.items() if units}


def _on_days(problem: Problem, days: Sequence[int], solve: Solve) -> Answer:
    """Return the core's answer when only some of the days (positions) may be used."""
    part = evolve(problem, days=tuple(problem.days[day] for day in days))
    answer = solve(part)
    return evolve(
        answer,
        placed=tuple(evolve(one, day=days[one.day]) for one in answer.placed),
        blends=tuple(evolve(blend, day=days[blend.day]) for blend in answer.blends),
    )


def _old_days(work: Work, posted: Iterable[PostedLine]) -> dict[int, dict[int, int]]:
    """Return the old days of each task in its units, as far as it may still be done on them.

    A day of the posted plan that is gone (called off, or over) with something left to do counts as
    the next work day that it does not use: its session moves there as a whole.
    """
    hung: dict[tuple[str, str, int], list[PostedLine]] = {}
    for line in posted:
        kind = BED if line.kind == BED else ""
        hung.setdefault((kind, line.name, line.number), []).append(line)
    told = [
        (number, day.toordinal(), units)
        for number, item in enumerate(work.items)
        for day, units in _old_units(item, hung)
        if units
    ]
    position = _positions(work.problem, {day for _, day, _ in told})
    found: dict[int, dict[int, int]] = {}
    for number, day, units in told:
        place = position.get(day)
        task = work.problem.tasks[number]
        if place is not None and task.opens <= work.problem.days[place].date <= task.last:
            days = found.setdefault(number, {})
            days[place] = days.get(place, 0) + units
    return found


def _positions(problem: Problem, dates: set[int]) -> dict[int, int]:
    """Return the day's position for each date of the posted plan, its own or the one instead."""
    position = {day.date: place for place, day in enumerate(problem.days) if day.date in dates}
    taken = set(position.values())
    for gone in sorted(dates - set(position)):
        later = (
            place
            for place, day in enumerate(problem.days)
            if day.date >= gone and place not in taken
        )
        instead = next(later, None)
        if instead is not None:
            position[gone] = instead
            taken.add(instead)
    return position


def _old_units(
    item: Item, hung: Mapping[tuple[str, str, int], Sequence[PostedLine]]
) -> Iterable[tuple[date, int]]:
    """Yield the days of an item in the posted plan with its units."""
    if isinstance(item, MoveItem):
        plants: dict[date, int] = {}
        for row in item.rows:
            for line in hung.get(("", row.name, item.move.number), ()):
                plants[line.day] = plants.get(line.day, 0) + line.count
        for day, count in plants.items():
            yield day, max(count // item.unit, 1)
        return
    layer = item.bed.layers[item.layer]
    portion = layer.left_share / item.of_portions
    done = 0
    for line in hung.get((BED, item.bed.name, layer.number or item.layer + 1), ()):
        first, done = done, done + round(line.share / portion)
        inside = min(done, item.first + item.portions) - max(first, item.first)
        yield line.day, max(inside, 0)


def _hold(problem: Problem, old: Days, held: set[int]) -> Problem:
    """Return the problem with the windows of some tasks closed around their old days."""
    tasks = []
    for number, task in enumerate(problem.tasks):
        if number in held:
            days = old[number]
            first, last = problem.days[min(days)].date, problem.days[max(days)].date
            task = evolve(task, opens=first, last=last)
        tasks.append(task)
    return evolve(problem, tasks=tuple(tasks))
