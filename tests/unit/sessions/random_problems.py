"""Small random session problems with every rule in play, and their best answer by enumeration."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import product

from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import (
    Blend,
    Check,
    Container,
    Day,
    Hold,
    Mix,
    Order,
    Placed,
    Problem,
    Task,
    Use,
)


def random_problem(seed: int) -> Problem:
    """Return a problem of at most three tasks and four days, small enough to enumerate."""
    chance = random.Random(seed)
    dates = sorted(chance.sample(range(7), chance.choice((2, 3, 3, 4))))
    days = tuple(
        Day(date, chance.randint(4, 10), chance.randint(1, 5), chance.choice((1, 2, 2)))
        for date in dates
    )
    mixes = _random_mixes(chance)
    tasks = [_random_task(chance, len(mixes)) for _ in range(chance.choice((2, 2, 3)))]
    orders = []
    for before in range(len(tasks)):
        for after in range(before + 1, len(tasks)):
            if chance.random() < 0.4:
                whole, gap = chance.random() < 0.3, chance.choice((0, 1, 1, 2))
                gives, takes = chance.choice(((1, 1), (1, 1), (1, 2), (2, 1)))
                orders.append(Order(before, after, gap, whole, gives, takes))
    containers = tuple(
        Container(chance.choice((0, 1, 2)), chance.choice((None, 1, 2, 2)), chance.choice((1, 2)))
        for _ in range(2)
    )
    return Problem(
        days,
        tuple(tasks),
        tuple(orders),
        mixes,
        containers,
        session_setup=chance.choice((0, 1, 2)),
        mix_setup=chance.choice((0, 1)),
        store_ml=chance.choice((0, 0, 1, 2)),
    )


def _random_mixes(chance: random.Random) -> tuple[Mix, ...]:
    unit_ml = chance.choice((1, 2, 3))
    first = Mix(chance.choice((0, 1, 1, 2)), chance.choice((0, 1, 3)), unit_ml=unit_ml)
    if chance.random() < 0.4:
        return (first,)
    holds = (Hold(0, 1, 2),) if chance.random() < 0.5 else ()
    return (first, Mix(chance.choice((0, 1)), chance.choice((0, 1, 2)), holds, unit_ml))


def _random_task(chance: random.Random, mixes: int) -> Task:
    opens = chance.choice((0, 0, 0, 1, 2))
    mix = chance.choice((None, *range(mixes)))
    needs = (Use(chance.randrange(2), *chance.choice(((1, 1), (1, 2), (2, 1)))),)
    frees = (Use(chance.randrange(2), *chance.choice(((1, 1), (1, 2)))),)
    return Task(
        count=chance.choice((1, 2, 2, 3)),
        minutes=chance.choice((0, 1, 2, 3)),
        opens=opens,
        last=chance.choice((6, 6, 6, 6, 5, opens + 3)),
        due=chance.choice((None, opens, opens + 1, opens + 3)),
        mix=mix,
        mix_ml=0 if mix is None else chance.choice((0, 1, 1)),
        split=chance.random() < 0.7,
        people=chance.choice((1, 1, 1, 1, 2)),
        plants=chance.choice((0, 1, 1, 2)),
        needs=needs if chance.random() < 0.4 else (),
        frees=frees if chance.random() < 0.4 else (),
        one_group=chance.random() < 0.6,
    )


def spread(total: int, places: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to put `total` equal things in `places`."""
    if places == 0:
        if total == 0:
            yield ()
        return
    for here in range(total + 1):
        for rest in spread(total - here, places - 1):
            yield (here, *rest)


def best_by_enumeration(problem: Problem) -> Check | None:
    """Return the check of the best of all answers, None where there is none.

    Every number of units on every day and every amount blended on every day is tried.
    """
    size = len(problem.days)
    ways = [
        [
            way
            for way in spread(task.count, size)
            if all(
                task.opens <= day.date <= task.last and day.people >= task.people
                for day, units in zip(problem.days, way, strict=True)
                if units
            )
            and (task.split or task.count in way)
        ]
        for task in problem.tasks
    ]
    best: Check | None = None
    for chosen in product(*ways):
        placed = [
            Placed(day, task, units)
            for task, way in enumerate(chosen)
            for day, units in enumerate(way)
            if units
        ]
        for blends in _all_blends(problem, chosen):
            check = check_answer(problem, placed, blends)
            if not check.broken and (best is None or check.objectives < best.objectives):
                best = check
    return best


def _all_blends(
    problem: Problem, chosen: tuple[tuple[int, ...], ...]
) -> Iterator[tuple[Blend, ...]]:
    """Yield every plan of blending that comes to the total used, outer mixes first."""
    size = len(problem.days)
    need = [[0] * size for _ in problem.mixes]
    for task, way in zip(problem.tasks, chosen, strict=True):
        if task.mix is not None:
            for day, units in enumerate(way):
                need[task.mix][day] += units * task.mix_ml

    def plans(mix: int, need: list[list[int]]) -> Iterator[tuple[Blend, ...]]:
        if mix < 0:
            yield ()
            return
        here = need[mix]
        stored = problem.store_ml and problem.mixes[mix].keep_days
        for way in spread(sum(here), size) if stored else (tuple(here),):
            inner = [list(row) for row in need]
            for hold in problem.mixes[mix].holds:
                for day, ml in enumerate(way):
                    inner[hold.mix][day] += -(-ml * hold.parts // hold.whole)
            own = tuple(Blend(day, mix, ml) for day, ml in enumerate(way) if ml)
            for rest in plans(mix - 1, inner):
                yield (*own, *rest)

    return plans(len(problem.mixes) - 1, need)
