"""Blending ahead: what a full day cannot blend itself is blended at an earlier session.

A simple way to find batches for work whose days are given. It moves one unit at a time to the
nearest earlier session with room, and gives up where none has; mixes inside other mixes stay on
their day. Whoever calls it checks the answer.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable

from rootroom.scheduling.list_scheduling import add_blends
from rootroom.scheduling.problem import Blend, Placed, Problem


def blend_ahead(problem: Problem, placed: Iterable[Placed]) -> tuple[Blend, ...] | None:
    """Return the blends of placed work with as little as need be blended ahead; None: no way."""
    listed = list(placed)
    plan = _Ahead(problem, listed)
    for day in sorted(plan.busy, reverse=True):
        while plan.over(day):
            if not plan.shift(day):
                return None
    return plan.blends()


class _Ahead:
    """The batches of all days, as they are moved."""

    def __init__(self, problem: Problem, placed: list[Placed]) -> None:
        self.problem = problem
        self.busy = {one.day for one in placed}
        self.ml: dict[int, Counter[int]] = defaultdict(Counter)  # day -> mix -> ml blended
        self.used: dict[int, set[int]] = defaultdict(set)  # day -> mixes
        self.waits: Counter[int] = Counter()  # day -> ml that wait overnight
        self.plain: Counter[int] = Counter()  # day -> minutes of tasks
        for one in placed:
            task = problem.tasks[one.task]
            self.plain[one.day] += one.count * task.minutes
            if task.mix is not None:
                self.used[one.day].add(task.mix)
        for blend in add_blends(problem, placed):
            self.ml[blend.day][blend.mix] += blend.ml
            self.used[blend.day].add(blend.mix)
        nested = {hold.mix for mix in problem.mixes for hold in mix.holds}
        self.fixed = nested | {n for n, mix in enumerate(problem.mixes) if mix.holds}

    def over(self, day: int, mix: int | None = None, ml: int = 0) -> bool:
        """Whether a day's work does not fit, with so much more of a mix."""
        made = Counter(self.ml[day])
        mixes = set(self.used[day])
        if mix is not None:
            made[mix] += ml
            mixes.add(mix)
        turning = sum(
            self.problem.mixes[number].blending(volume) for number, volume in made.items()
        )
        minutes = turning + self.plain[day] + self.problem.session_setup
        minutes += len(mixes) * self.problem.mix_setup
        here = self.problem.days[day]
        return minutes > here.minutes or turning > here.vessel_minutes

    def shift(self, day: int) -> bool:
        """Move one unit of a day to an earlier session; return whether one could be moved."""
        dates = [one.date for one in self.problem.days]
        for earlier in sorted((d for d in self.busy if d < day), reverse=True):
            for mix, made in sorted(self.ml[day].items()):
                keeps = dates[day] - dates[earlier] <= self.problem.mixes[mix].keep_days
                if not made or mix in self.fixed or not keeps:
                    continue
                unit_ml = self.problem.mixes[mix].unit_ml
                ml = made % unit_ml or unit_ml
                nights = range(earlier, day)
                room = all(self.waits[n] + ml <= self.problem.store_ml for n in nights)
                if room and not self.over(earlier, mix, ml):
                    self._move(day, earlier, mix, ml)
                    return True
        return False

    def _move(self, day: int, earlier: int, mix: int, ml: int) -> None:
        self.ml[day][mix] -= ml
        self.ml[earlier][mix] += ml
        self.used[earlier].add(mix)
        for night in range(earlier, day):
            self.waits[night] += ml

    def blends(self) -> tuple[Blend, ...]:
        """Return what is blended, by day and mix."""
        return tuple(
            Blend(day, mix, ml)
            for day in sorted(self.ml)
            for mix, ml in sorted(self.ml[day].items())
            if ml
        )
