"""The parts of the scheduler: windows, needs, construction, balancing, settling, the child."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
from attrs import evolve

from rootroom.child_process import run_in_child
from rootroom.scheduling.bounds import chain_bound, ends_for_lateness, needs, objective_bound
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.day_selection import choose_days
from rootroom.scheduling.line_balancing import balance
from rootroom.scheduling.list_scheduling import Filler, add_blends, blend_same_day
from rootroom.scheduling.problem import Blend, Day, Hold, Mix, Order, Placed, Problem, Task
from rootroom.scheduling.tie_breaking import blend_late, move_closer
from rootroom.scheduling.windows import find_windows

WEEK = tuple(Day(d, 60, 60) for d in (0, 1, 5, 6, 7))


@pytest.mark.worked
def test_windows_are_drawn_together_along_a_gap() -> None:
    """Gap 3 from date 0 gives date 3, which is no work day: the first after it is date 5.

    Backwards: due 6 less 3 is date 3, and the last work day by then is date 1.
    """
    tasks = (Task(2, 5, 0, 7), Task(2, 5, 0, 7, 6))

    windows = find_windows(Problem(WEEK, tasks, (Order(0, 1, 3),)))

    assert (0, 2) == windows.first
    assert (1, 3) == windows.due
    assert (1, 4) == windows.final


@pytest.mark.worked
def test_few_that_go_on_do_not_hurry_the_rest() -> None:
    """One of six plants moves on: the other five keep their own last date."""
    tasks = (Task(6, 5, 0, 7), Task(1, 5, 0, 5))

    assert (4, 2) == find_windows(Problem(WEEK, tasks, (Order(0, 1, 1),))).final


@pytest.mark.worked
def test_needs_of_an_interval_count_set_ups() -> None:
    """100 minutes in dates 0 to 5 with 20 a session: days of 60 hold 40, so three of them."""
    problem = Problem(WEEK, (Task(10, 10, 0, 5),), session_setup=20)
    windows = find_windows(problem)

    found = needs(problem, windows, ends_for_lateness(problem, 0))

    assert [(0, 2, 3)] == [(need.start, need.end, need.sessions) for need in found]
    assert 3 == chain_bound(5, found)


@pytest.mark.worked
def test_late_units_loosen_only_what_they_may() -> None:
    """Due on date 1, two plants a unit: lateness 8 lets one unit be 4 dates late, to date 5."""
    problem = Problem(WEEK, (Task(3, 5, 0, 7, 1, plants=2),))

    assert [1] == ends_for_lateness(problem, 1)
    assert [2] == ends_for_lateness(problem, 8)


@pytest.mark.worked
def test_an_inner_mix_is_blended_for_the_outer_one() -> None:
    """Three litres of the outer mix hold two thirds of the inner: 2000 ml beside its own 500."""
    problem = Problem(WEEK, (), mixes=(Mix(), Mix(holds=(Hold(0, 2, 3),))))

    assert {1: 3000, 0: 2500} == blend_same_day(problem, {0: 500, 1: 3000})


def test_the_lazy_choice_opens_as_few_days_as_there_must_be() -> None:
    """On plain divisible work in windows no subset of days with fewer members would do."""
    chance = random.Random(3)
    for _ in range(40):
        tasks = []
        for _ in range(6):
            opens = chance.randint(0, 5)
            tasks.append(Task(chance.randint(1, 6), 1, opens, opens + chance.randint(0, 3)))
        days = tuple(Day(d, 6, 6) for d in range(9))
        problem = Problem(days, tuple(tasks))
        windows = find_windows(problem)
        filler = Filler(problem, windows)
        draft = choose_days(filler, work=10_000)
        fits = [
            len(chosen)
            for size in range(10)
            for chosen in combinations(range(9), size)
            if filler.start().run(chosen) is not None
        ]

        assert (None if not fits else min(fits)) == (draft and len(draft.days))
        if draft:
            bound = objective_bound(problem, windows, "sessions", 0)
            assert bound <= len(draft.days)
            assert not check_answer(problem, draft.placed, add_blends(problem, draft.placed)).broken


@pytest.mark.property
def test_balancing_equals_full_enumeration() -> None:
    """On 300 small problems the fewest days are those of a search over all sets of tasks."""
    chance = random.Random(7)
    for _ in range(300):
        size = chance.randint(1, 9)
        minutes = [chance.randint(1, 10) for _ in range(size)]
        pairs = [p for p in combinations(range(size), 2) if chance.random() < 0.25]

        found = balance(minutes, pairs, 10, work=10**6)

        assert fewest_days(minutes, pairs, 10) == found.count == found.bound
        assert all(found.days[a] <= found.days[b] for a, b in pairs)
        loads = [sum(m for m, d in zip(minutes, found.days, strict=True) if d == day)
                 for day in range(found.count)]  # fmt: skip
        assert max(loads) <= 10


def fewest_days(minutes: list[int], pairs: list[tuple[int, int]], capacity: int) -> int:
    """Return the fewest days by dynamic programming over sets of tasks (days, last day's load)."""
    size = len(minutes)
    before = [sum(1 << a for a, b in pairs if b == task) for task in range(size)]
    best: dict[int, tuple[int, int]] = {0: (0, capacity)}
    for state in range(1 << size):
        if state not in best:
            continue
        days, load = best[state]
        for task in range(size):
            if state >> task & 1 or before[task] & ~state:
                continue
            fits = load + minutes[task] <= capacity
            after = (days, load + minutes[task]) if fits else (days + 1, minutes[task])
            following = state | 1 << task
            best[following] = min(best.get(following, after), after)
    return best[(1 << size) - 1][0]


@pytest.mark.worked
def test_long_tasks_are_proved_by_packing_alone() -> None:
    """Five tasks over half a day need five days, though their minutes would fit in three."""
    found = balance([6, 6, 6, 6, 6], [], 10, work=1000)

    assert (5, 5) == (found.bound, found.count)


def test_work_moves_to_the_first_session_that_takes_it() -> None:
    """A task put needlessly late comes forward; the sessions stay the two that they were."""
    tasks = (Task(1, 10, 0, 9), Task(1, 10, 5, 9))
    problem = Problem(WEEK, tasks, session_setup=5)
    placed = (Placed(2, 1, 1), Placed(4, 0, 1))
    moved, _ = move_closer(problem, placed, ())
    assert (Placed(2, 0, 1), Placed(2, 1, 1)) == moved

    kept = move_closer(evolve(problem, orders=(Order(1, 0, 2),)), placed, ())

    assert (placed, ()) == kept


def test_mix_blended_a_day_ahead_is_brought_to_the_day_of_use() -> None:
    """One session is enough where mix was blended on a day of its own."""
    task = Task(1, 10, 0, 9, mix=0, mix_ml=5)
    problem = Problem(WEEK, (task,), mixes=(Mix(5, 3),), store_ml=9)
    placed, blends = (Placed(1, 0, 1),), (Blend(0, 0, 5),)

    assert ((Placed(0, 0, 1),), (Blend(0, 0, 5),)) == move_closer(problem, placed, blends)


def test_mix_is_blended_on_the_last_day_that_costs_nothing() -> None:
    """Mix for two days is not blended a day early where both have the time, and is where not."""
    tasks = (Task(1, 10, 0, 9, mix=0, mix_ml=5), Task(1, 10, 0, 9, mix=0, mix_ml=5))
    problem = Problem(WEEK, tasks, mixes=(Mix(5, 3, unit_ml=5),), store_ml=9)
    placed, early = (Placed(0, 0, 1), Placed(1, 1, 1)), (Blend(0, 0, 10),)

    assert (Blend(0, 0, 5), Blend(1, 0, 5)) == blend_late(problem, placed, early)

    full = evolve(WEEK[1], minutes=10)
    busy = evolve(problem, days=(WEEK[0], full, *WEEK[2:]))
    assert early == blend_late(busy, placed, early)


def test_error_child_that_aborts() -> None:
    """A function that breaks off is reported as died, with nothing handed back."""
    result = run_in_child("os:abort", None, seconds=20)

    assert (None, "died") == (result.value, result.ended)


def test_child_is_stopped_by_the_clock() -> None:
    """A child that never ends is stopped, and says so."""
    stopped = run_in_child("time:sleep", 60, seconds=0.0)

    assert "clock" == stopped.ended
