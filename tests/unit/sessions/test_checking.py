"""The independent checker refuses every broken rule: one broken answer a rule."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from attrs import evolve

from rootroom.scheduling.checker import check_answer, count_bought
from rootroom.scheduling.problem import (
    Blend,
    Container,
    Day,
    Hold,
    Mix,
    Order,
    Placed,
    Problem,
    Status,
    Task,
    Use,
)
from rootroom.scheduling.solve import schedule_work
from tests.unit.sessions.random_problems import random_problem, spread

# Four days, 100 minutes each, the vessel 40 of them; the second day has two people.
# Task 0: four plants of 10 minutes, a litre of mix 0 each, into kind 0.
# Task 1: the same plants moved on, two dates later or more; they free kind 0 and fill kind 1.
# Task 2: one bed for two people, not to be split, after all of task 0.
PROBLEM = Problem(
    days=(Day(0, 100, 40), Day(1, 100, 40, 2), Day(3, 100, 40), Day(7, 100, 40)),
    tasks=(
        Task(4, 10, 0, 7, 1, mix=0, mix_ml=1000, needs=(Use(0),)),
        Task(4, 5, 2, 7, 3, mix=1, mix_ml=1000, frees=(Use(0),), needs=(Use(1, 1, 2),)),
        Task(2, 15, 1, 1, split=False, people=2),
    ),
    orders=(Order(0, 1, 2), Order(0, 2, 1, whole=True)),
    mixes=(Mix(10, 2, unit_ml=2000), Mix(5, 1, (Hold(0, 1, 2),), 2000)),
    containers=(Container(4, 0), Container(0, 2)),
    session_setup=5,
    mix_setup=3,
    store_ml=2000,
)
PLACED = (Placed(0, 0, 4), Placed(1, 2, 2), Placed(2, 1, 4))
BLENDS = (Blend(0, 0, 4000), Blend(2, 0, 2000), Blend(2, 1, 4000))


def test_a_good_answer_passes_with_its_objectives() -> None:
    """Nothing late, three sessions; mix 0 on two days and mix 1 on one; two of kind 1 bought."""
    check = check_answer(PROBLEM, PLACED, BLENDS)

    assert () == check.broken
    assert (0, 3, 0, 3, 2, 6, 14) == check.objectives
    assert (0, 2) == check.bought


def test_mix_that_is_there_takes_its_set_up_alone() -> None:
    """Laid out, not blended: 4 plants of 10 minutes, set-ups of 5 and 3, and no turning; 48."""
    tasks = (evolve(PROBLEM.tasks[0], mix_ml=0),)
    short = evolve(PROBLEM, tasks=tasks, orders=(), days=(Day(0, 47, 40),))
    enough = evolve(short, days=(Day(0, 48, 0),))
    placed = (Placed(0, 0, 4),)

    assert ("day 0: 48 of 47 minutes",) == check_answer(short, placed, ()).broken
    assert () == check_answer(enough, placed, ()).broken
    for problem, status in ((short, Status.INFEASIBLE), (enough, Status.OPTIMAL)):
        answer = schedule_work(problem, seconds=60, effort=1)
        assert (status, ()) == (answer.status, answer.blends)


def test_late_units_count_by_days_and_plants() -> None:
    """Four units moved on at date 7 where 3 was due: 4 dates x 4 units x 3 plants."""
    task = evolve(PROBLEM.tasks[1], plants=3)
    problem = evolve(PROBLEM, tasks=(PROBLEM.tasks[0], task, PROBLEM.tasks[2]))
    placed = (*PLACED[:2], Placed(3, 1, 4))
    blends = (BLENDS[0], Blend(3, 0, 2000), Blend(3, 1, 4000))

    check = check_answer(problem, placed, blends)

    assert () == check.broken
    assert 48 == check.lateness


def _with_task(number: int, **changes: object) -> Problem:
    tasks = list(PROBLEM.tasks)
    tasks[number] = evolve(tasks[number], **changes)
    return evolve(PROBLEM, tasks=tuple(tasks))


BROKEN = {
    "a unit is missing": (PROBLEM, (Placed(0, 0, 4), Placed(2, 1, 4)), BLENDS, "0 of 2 units"),
    "a day that is none": (PROBLEM, (*PLACED, Placed(9, 0, 1)), BLENDS, "no such record"),
    "a bed is split": (
        _with_task(2, last=7, people=1),
        (PLACED[0], Placed(1, 2, 1), Placed(2, 2, 1), PLACED[2]),
        BLENDS,
        "task 2: split over days",
    ),
    "too early": (_with_task(1, opens=4), PLACED, BLENDS, "task 1: on date 3, before 4"),
    "too late": (_with_task(1, last=2), PLACED, BLENDS, "task 1: on date 3, after 2"),
    "too few people": (
        _with_task(2, people=3),
        PLACED,
        BLENDS,
        "task 2: day 1 has fewer than 3 people",
    ),
    "gap not kept": (
        evolve(PROBLEM, orders=(Order(0, 1, 4),)),
        PLACED,
        BLENDS,
        "order 0 to 1: gap not kept",
    ),
    "before all is done": (
        evolve(PROBLEM, orders=(Order(1, 2, 0, whole=True),)),
        PLACED,
        BLENDS,
        "order 1 to 2: gap not kept",
    ),
    "minutes run out": (
        evolve(PROBLEM, days=(Day(0, 67, 40), *PROBLEM.days[1:])),
        PLACED,
        BLENDS,
        "day 0: 68 of 67 minutes",
    ),
    "the vessel is busy": (
        evolve(PROBLEM, days=(Day(0, 100, 19), *PROBLEM.days[1:])),
        PLACED,
        BLENDS,
        "day 0: vessel 20 of 19 minutes",
    ),
    "mix used before it is made": (
        PROBLEM,
        PLACED,
        (Blend(1, 0, 4000), *BLENDS[1:]),
        "mix 0: used before it is blended on day 0",
    ),
    "mix left over": (
        PROBLEM,
        PLACED,
        (*BLENDS, Blend(3, 0, 1)),
        "mix 0: 6001 ml blended, 6000 ml used",
    ),
    "mix kept too long": (
        PROBLEM,
        PLACED,
        (Blend(0, 0, 6000), Blend(2, 1, 4000)),
        "mix 0: kept too long from day 0",
    ),
    "the store is too small": (
        evolve(PROBLEM, store_ml=1999, mixes=(Mix(10, 3), PROBLEM.mixes[1])),
        PLACED,
        (Blend(0, 0, 6000), Blend(2, 1, 4000)),
        "store: 2000 ml wait after day 0",
    ),
    "the inner mix is forgotten": (
        PROBLEM,
        PLACED,
        (Blend(0, 0, 4000), Blend(2, 1, 4000)),
        "mix 0: 4000 ml blended, 6000 ml used",
    ),
    "containers run out": (
        evolve(PROBLEM, containers=(Container(3, 0), Container(0, 2))),
        PLACED,
        BLENDS,
        "container 0: 1 bought of at most 0",
    ),
    "a pot is filled while it is washed": (
        evolve(
            PROBLEM,
            tasks=(
                *PROBLEM.tasks[:2],
                Task(2, 15, 1, 3, split=False, people=1, needs=(Use(0),)),
            ),
        ),
        (PLACED[0], PLACED[2], Placed(2, 2, 2)),
        BLENDS,
        "container 0: 2 bought of at most 0",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_error_broken_rule(name: str) -> None:
    """Each broken rule is named."""
    problem, placed, blends, message = BROKEN[name]

    broken = check_answer(problem, placed, blends).broken

    assert [line for line in broken if message in line], broken


def test_error_more_taken_than_given() -> None:
    """Two plants a unit given, three taken: one unit done allows none, two allow one."""
    orders = (Order(0, 1, 0, gives=2, takes=3),)
    tasks = (Task(2, 1, 0, 9), Task(1, 1, 0, 9))
    problem = Problem((Day(0, 9, 9), Day(1, 9, 9)), tasks, orders)
    early = (Placed(0, 0, 1), Placed(0, 1, 1), Placed(1, 0, 1))
    right = (Placed(0, 0, 2), Placed(0, 1, 1))

    assert ("order 0 to 1: gap not kept on day 0",) == check_answer(problem, early, ()).broken
    assert () == check_answer(problem, right, ()).broken


def test_error_too_few_containers_claimed() -> None:
    """An answer that claims fewer bought than are missing is refused."""
    broken = check_answer(PROBLEM, PLACED, BLENDS, (0, 1)).broken

    assert ("container 1: 1 bought where 2 are missing",) == broken


def short_by_dates(problem: Problem, units: dict[int, Counter[int]], kind: int) -> int:
    """Return how many containers are missing at most, counted anew on every date."""
    container, most = problem.containers[kind], 0
    for today in range(problem.days[-1].date + 1):
        missing = -container.stock
        for number, by_day in units.items():
            task = problem.tasks[number]
            done = sum(n for d, n in by_day.items() if problem.days[d].date <= today)
            clean = sum(
                n for d, n in by_day.items() if problem.days[d].date + container.wash_days <= today
            )
            missing += sum(u.filled(done) for u in task.needs if u.container == kind)
            missing -= sum(u.freed(clean, task.count) for u in task.frees if u.container == kind)
        most = max(most, missing)
    return most


def test_containers_bought_agree_with_a_count_on_every_date() -> None:
    """200 random problems, all units spread at random: one sweep finds what plain counting does."""
    bought = 0
    for seed in range(200):
        problem, chance = random_problem(seed), random.Random(seed)
        units = {
            number: Counter(
                dict(enumerate(chance.choice(list(spread(task.count, len(problem.days))))))
            )
            for number, task in enumerate(problem.tasks)
        }
        expected = tuple(
            short_by_dates(problem, units, kind) for kind in range(len(problem.containers))
        )
        assert expected == count_bought(problem, units)
        bought += sum(expected)
    assert bought > 100
