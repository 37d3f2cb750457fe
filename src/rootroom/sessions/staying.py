"""Replanning with as few changes as possible from the sheet that hangs on the wall.

The trade-off: first the least lateness and the fewest sessions, as for any plan; then as few plants
as possible on another day than they were; only then the other aims.
The core is asked as ever. Then the old days are put back, the largest tasks first: all of them,
else halves, and halves of those, as long as neither lateness nor sessions rise. Where that breaks a
rule the core is asked again with the tasks held to their old days.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from attrs import evolve

from rootroom.sessions.assign import schedule_work
from rootroom.sessions.checking import check_answer
from rootroom.sessions.construct import add_blends
from rootroom.sessions.items import MoveItem, Work
from rootroom.sessions.problem import Answer, Blend, Placed, Problem

__all__ = ["Wall", "plants_moved", "stay_close"]

Wall = Mapping[tuple[str, int | None], Mapping[date, int]]
"""What the sheet says: plants by day, for each plant and move (a bed has no move)."""

Days = Mapping[int, Mapping[int, int]]
"""Units by position of the day, for each task that the sheet tells of."""

Solve = Callable[[Problem, float], Answer]

TRIES = 16
"""How often the core is asked again, at most; the work of each try is limited too."""

RESTORES = 200
"""How often old days are put back and checked, at most."""


def _solve(problem: Problem, seconds: float) -> Answer:
    return schedule_work(problem, seconds=seconds)


def stay_close(
    work: Work, answer: Answer, wall: Wall, *, seconds: float, solve: Solve = _solve
) -> Answer:
    """Return an answer no later and with no more sessions than `answer`, nearer to the old days.

    `seconds` [s] sets the work of all tries together.
    """
    if not answer.found:
        return answer
    old = _old_days(work, wall)
    nearest = _Nearest(work.problem, answer, old)
    nearest.restore(answer)
    if nearest.moved:
        nearest.ask(lambda problem: solve(problem, seconds / TRIES))
    best = nearest.best
    if best is answer:
        return answer
    return evolve(
        best,
        status=answer.status,
        bound_lateness=answer.bound_lateness,
        bound_sessions=answer.bound_sessions,
        proved=tuple(aim for aim in answer.proved if aim in ("lateness", "sessions")),
        method=f"{answer.method}, old days kept",
        clock=answer.clock or best.clock,
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
        self.least = _aims(answer)
        self.best = answer
        self.moved = plants_moved(problem, answer.placed, old)
        weight = {n: problem.tasks[n].count * problem.tasks[n].plants for n in old}
        self.tasks = sorted(old, key=lambda n: (-weight[n], n))

    def keep(self, answer: Answer) -> bool:
        """Keep an answer that is as good and nearer; return whether it is as good."""
        if not answer.found or _aims(answer) > self.least:
            return False
        moved = plants_moved(self.problem, answer.placed, self.old)
        if (_aims(answer), moved) < (_aims(self.best), self.moved):
            self.best, self.moved = answer, moved
        return True

    def restore(self, answer: Answer) -> None:
        """Put old days back into an answer, as many as go."""
        current = answer
        queue = [self.tasks]
        for _ in range(RESTORES):
            if not queue or not self.moved:
                return
            block = queue.pop(0)
            found = self._restored(current, block)
            if found is not None and self.keep(found):
                current = found
            elif len(block) > 1:
                half = len(block) // 2
                queue += [block[:half], block[half:]]

    def ask(self, solve: Callable[[Problem], Answer]) -> None:
        """Ask the core with more and more tasks held to their old days."""
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

    def _restored(self, answer: Answer, block: Sequence[int]) -> Answer | None:
        """Return an answer with the tasks of a block on their old days, None if that breaks one."""
        changed = {n: _fitted(self.old[n], self.problem.tasks[n].count) for n in block}
        if any(parts is None for parts in changed.values()):
            return None
        placed = [one for one in answer.placed if one.task not in changed]
        for number, parts in changed.items():
            placed += [Placed(day, number, count) for day, count in (parts or {}).items()]
        placed.sort(key=lambda one: (one.day, one.task))
        for blends in self._blends(answer, placed):
            check = check_answer(self.problem, placed, blends)
            if not check.broken:
                return evolve(
                    answer,
                    placed=tuple(placed),
                    blends=tuple(blends),
                    bought=check.bought,
                    lateness=check.lateness,
                    sessions=check.sessions,
                    pairs=check.pairs,
                    last_date=check.last_date,
                )
        return None

    def _blends(
        self, answer: Answer, placed: Sequence[Placed]
    ) -> Iterable[tuple[Blend, ...]]:
        yield add_blends(self.problem, placed)
        yield answer.blends


def _aims(answer: Answer) -> tuple[int, int]:
    return answer.lateness, answer.sessions


def _fitted(days: Mapping[int, int], count: int) -> dict[int, int] | None:
    """Return old units by day for as many units as there are now, the first days first."""
    fitted, left = {}, count
    for day, units in sorted(days.items()):
        part = min(units, left)
        if part:
            fitted[day] = part
        left -= part
    if left:
        if not fitted:
            return None
        fitted[max(fitted)] += left
    return fitted


def _old_days(work: Work, wall: Wall) -> dict[int, dict[int, int]]:
    """Return the old days of each task that can still be kept, in its units."""
    position = {day.date: place for place, day in enumerate(work.problem.days)}
    found: dict[int, dict[int, int]] = {}
    for number, item in enumerate(work.items):
        if not isinstance(item, MoveItem):
            continue
        task = work.problem.tasks[number]
        plants: dict[int, int] = {}
        for row in item.rows:
            for day, count in wall.get((row.name, item.move.number), {}).items():
                place = position.get(day.toordinal())
                if place is not None and task.opens <= day.toordinal() <= task.last:
                    plants[place] = plants.get(place, 0) + count
        days = {place: max(count // item.unit, 1) for place, count in plants.items()}
        if days:
            found[number] = days
    return found


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
