"""Which days to hold sessions on: close days one by one, then give up set-ups.

Closing days from the first on, as long as the rest still hold all work, uses the fewest days for
plain windows without set-up (the lazy choice of Chang, Gabow, Khuller, "A model for minimizing
active processor time", Algorithmica 70, 2014).
What set-ups and gaps spoil is mended by disturbed repeats; limits count work, so every run ends
alike. (Shifting days one by one gained nothing on 17 plans and 7 home plans, and is gone.)
"""

from __future__ import annotations

import random
from collections.abc import Callable

from rootroom.scheduling.list_scheduling import Draft, Filler

STALE = 40  # disturbed repeats without gain after which a plan is as good as it will get


def choose_days(
    filler: Filler,
    *,
    work: int,
    bound: tuple[int, int, int] = (0, 0, 0),
    patience: int = STALE,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Draft | None:
    """Return the draft with the least lateness found, on few days; None where nothing fits.

    `work` counts tasks looked at; `bound` (lateness, sessions, setups) ends the search too, and
    `patience` disturbed repeats without gain.
    """
    every = list(range(len(filler.problem.days)))
    best: Draft | None = None
    chance = random.Random(1)
    stop = filler.work + work

    def ended() -> bool:
        return filler.work > stop or out_of_time()

    turn = stale = 0
    while best is None or not (ended() or best.rank <= bound or stale > patience):
        if best is None and turn >= len(BONUSES):
            break
        bonus, days = BONUSES[turn % len(BONUSES)], every
        turn, stale = turn + 1, stale + 1
        if turn > len(BONUSES) and best is not None:
            away = set(chance.sample(best.days, min(chance.choice((1, 2)), len(best.days))))
            days = [day for day in every if day not in away]
        most_late = None if best is None else best.lateness
        found = filler.start(bonus=bonus).run(days, most_late)
        if found is None:
            continue
        found = close_days(filler, found, days, bonus, ended)
        if best is not None and (found.lateness, len(found.days)) > best.rank[:2]:
            continue
        found = close_setups(filler, found, bonus, ended)
        if best is None or found.rank < best.rank:
            best, stale = found, 0
    return best


BONUSES = (0, 3, 6, 1, 2, 12)  # days


def close_days(
    filler: Filler, best: Draft, days: list[int], bonus: int, ended: Callable[[], bool]
) -> Draft:
    """Return a draft no worse: days closed from the first on wherever the rest can do."""
    fixed = filler.start(bonus=bonus)  # filled up to the last kept day, without it
    kept: list[int] = []
    for at, day in enumerate(days):
        if ended():
            break
        rest = [*kept[-1:], *days[at + 1 :]]
        trial = fixed.copy().run(rest, best.lateness)
        if trial is not None:
            best = trial
            continue
        if kept:
            fixed.advance(kept[-1], day)
        kept.append(day)
        if not fixed.waiting:
            break
    return best


def close_setups(filler: Filler, best: Draft, bonus: int, ended: Callable[[], bool]) -> Draft:
    """Return a draft no worse: set-ups given up, the smallest first."""
    problem = filler.problem
    shut: set[tuple[int, int]] = set()
    kept: set[tuple[int, int]] = set()
    while not ended():
        minutes: dict[tuple[int, int], int] = {}
        for one in best.placed:
            task = problem.tasks[one.task]
            if task.mix is not None:
                pair = (one.day, task.mix)
                minutes[pair] = minutes.get(pair, 0) + one.count * task.minutes
        open_setups = [pair for pair in minutes if pair not in kept]
        if not open_setups:
            break
        pair = min(open_setups, key=lambda p: (minutes[p], p))
        start = filler.start(bonus=bonus, shut=shut | {pair})
        trial = start.run(best.days, best.lateness)
        if trial is not None and trial.rank < best.rank:
            best = trial
            shut.add(pair)
        else:
            kept.add(pair)
    return best
