"""The scheduler against full enumeration, and what it says of its answers."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from rootroom import child_process, make_season, read_plan
from rootroom.child_process import ChildResult, get_ready
from rootroom.scheduling.bounds import ends_for_lateness
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.neighbourhoods import improve_around
from rootroom.scheduling.problem import OBJECTIVES, Answer, Day, Mix, Order, Problem, Status, Task
from rootroom.scheduling.relaxation import find_days
from rootroom.scheduling.solve import assign_days, schedule_work
from rootroom.scheduling.windows import find_windows
from tests.support.patience import PATIENCE_S

sys.path.insert(0, str(Path(__file__).parent))
from random_problems import best_by_enumeration, random_problem


def run_here(function: str, argument: object, *, seconds: float) -> ChildResult:
    """Run the exact method in this process: starting 500 children would take minutes."""
    module, name = function.split(":")
    values: list[object] = []
    call: Callable[[object, Callable[[object], None]], None] = getattr(import_module(module), name)
    call(argument, values.append)
    return ChildResult(values[-1] if values else None, "done")


def died(function: str, argument: object, *, seconds: float) -> ChildResult:
    """Stand in for a child that aborts before it hands anything back."""
    return ChildResult(None, "died")


def objectives(problem: Problem, answer: Answer) -> tuple[int, ...]:
    """Return what the answer claims, objective by objective, and what no claim is made of."""
    check = check_answer(problem, answer.placed, answer.blends)
    claimed = (answer.lateness, answer.sessions, answer.torn, answer.setups, sum(answer.bought))
    return (*claimed, check.exposed, check.waiting)


@pytest.mark.property
@pytest.mark.parametrize("start", range(0, 500, 50))
def test_every_objective_equals_full_enumeration(start: int) -> None:
    """Fifty of 500 random problems with every rule: each objective in its order is best."""
    for seed in range(start, start + 50):
        problem = random_problem(seed)
        best = best_by_enumeration(problem)

        answer = schedule_work(problem, seconds=PATIENCE_S, effort=10.0, run=run_here)

        if best is None:
            assert answer.status == Status.INFEASIBLE, seed
            continue
        assert best.objectives == objectives(problem, answer), seed
        assert answer.status == Status.OPTIMAL, seed
        assert OBJECTIVES == answer.proved, seed
        assert not check_answer(problem, answer.placed, answer.blends, answer.bought).broken


@pytest.mark.property
def test_the_construction_alone_never_claims_what_is_not_so() -> None:
    """Without the exact method bounds stay below the best, and answers keep the rules."""
    for seed in range(500, 600):
        problem = random_problem(seed)
        best = best_by_enumeration(problem)

        answer = schedule_work(problem, exact=False)

        if best is None:
            assert not answer.found, seed
            continue
        assert answer.status != Status.INFEASIBLE, seed
        assert answer.bound_lateness <= best.lateness, seed
        if answer.found:
            assert best.objectives <= objectives(problem, answer), seed
        if answer.found and answer.lateness == best.lateness:
            assert answer.bound_sessions <= best.sessions, seed


@pytest.mark.property
def test_the_relaxation_never_denies_what_can_be_done() -> None:
    """The fewest sessions that there are hold all work in it too, within its own days as well."""
    again = 0
    for seed in range(700, 800):
        problem = random_problem(seed)
        best = best_by_enumeration(problem)
        if best is None or not problem.tasks:
            continue
        windows = find_windows(problem)
        ends = ends_for_lateness(problem, best.lateness)
        found = find_days(problem, windows, ends, best.sessions, seconds=PATIENCE_S)
        assert found.days is not None, seed

        within = find_days(
            problem, windows, ends, best.sessions, seconds=PATIENCE_S, whole=True, within=found
        )

        assert not within.clock
        if within.days is not None:
            again += 1
            assert within.setups <= found.setups, seed
            assert {one.day for one in within.placed} <= set(found.days), seed
    assert again >= 30


def one_more_week() -> Problem:
    """Three groups, two of them in steps; the exact method has something to do."""
    tasks = (
        Task(6, 20, 0, 13, 4, mix=0, mix_ml=500),
        Task(6, 30, 4, 13, 9, mix=1, mix_ml=900),
        Task(4, 25, 0, 13, 9, mix=0, mix_ml=500),
        Task(1, 90, 2, 13, 6, split=False, people=2),
    )
    days = tuple(Day(d, 240, 120, 2 if d % 2 else 1) for d in range(14))
    return Problem(days, tasks, (Order(0, 1, 5),), (Mix(15), Mix(15)), (), 20, 10, 2000)


def test_a_child_that_dies_leaves_the_construction() -> None:
    """An aborting solver costs the proof, never the answer."""
    problem = one_more_week()

    answer = schedule_work(problem, run=died)

    assert answer.found
    assert "construction" == answer.method
    assert not check_answer(problem, answer.placed, answer.blends).broken


def test_the_same_problem_has_the_same_answer_in_a_child() -> None:
    """In children of their own, one started ahead, one ahead that died: all agree to the last."""
    problem = one_more_week()
    module = "rootroom.scheduling.exact_search"

    first = schedule_work(problem, seconds=PATIENCE_S, effort=5.0)
    get_ready(module)
    ahead = schedule_work(problem, seconds=PATIENCE_S, effort=5.0)
    get_ready(module)
    child_process._ready[module].kill()
    child_process._ready[module].wait()
    third = schedule_work(problem, seconds=PATIENCE_S, effort=5.0)

    assert first == ahead == third
    assert Status.OPTIMAL == first.status
    assert "CP-SAT" in first.method
    assert not first.clock
    assert module not in child_process._ready


def test_assign_days_keeps_the_order_and_proves_the_fewest() -> None:
    """Three tasks of 6, 6 and 4 in days of 10: 16 minutes need two days, and two do."""
    found = assign_days([6, 6, 4], [(0, 1), (0, 2)], 10)

    assert (0, 1, 0) == found.days
    assert (2, Status.OPTIMAL) == (found.bound, found.status)


def test_assign_days_with_nothing_to_do() -> None:
    """No tasks need no days."""
    found = assign_days([], [], 10)

    assert ((), 0, Status.OPTIMAL) == (found.days, found.bound, found.status)


def test_assign_days_with_work_that_takes_no_time() -> None:
    """Tasks of no minutes still stand on a day, and one day is enough."""
    found = assign_days([0, 0], [(0, 1)], 10)

    assert ((0, 0), 1, Status.OPTIMAL) == (found.days, found.bound, found.status)


def test_assign_days_says_when_a_task_is_longer_than_a_day() -> None:
    """A task of 12 minutes never fits in a day of 10."""
    assert Status.INFEASIBLE == assign_days([3, 12], [], 10, seconds=60).status


def test_error_assign_days_in_a_circle() -> None:
    """Two tasks that each wait for the other are a mistake of the caller."""
    with pytest.raises(ValueError, match="orders go round in a circle among"):
        assign_days([1, 1], [(0, 1), (1, 0)], 10)


@pytest.mark.worked
def test_a_group_that_fits_one_day_is_not_torn() -> None:
    """Eight plants fit each of three sessions that others need: they stay together, on the first.

    Three jobs hold one date each, so there are three sessions whatever happens; 100 minutes of 130
    are theirs, and eight plants of 3 minutes fit any one.
    """
    held = tuple(Task(1, 100, date, date) for date in (0, 7, 14))
    problem = Problem(
        tuple(Day(date, 130, 130) for date in (0, 7, 14)),
        (*held, Task(8, 3, 0, 14, one_group=True)),
    )

    answer = schedule_work(problem)

    assert [(0, 8)] == [(one.day, one.count) for one in answer.placed if one.task == 3]
    assert OBJECTIVES == answer.proved


@pytest.mark.worked
def test_work_keeps_a_later_day_in_reserve() -> None:
    """Two jobs take one session: on the first day that serves both, so that rain has a way out."""
    days = tuple(Day(date, 100, 100) for date in (0, 7, 14, 21))
    problem = Problem(days, (Task(2, 10, 0, 21), Task(2, 10, 7, 21)))

    answer = schedule_work(problem)

    assert {1} == {one.day for one in answer.placed}


@pytest.mark.property
def test_neighbourhoods_keep_every_rule_and_what_was_reached() -> None:
    """From the first answer on, each objective falls or stays, never below the best there is."""
    better = 0
    for seed in range(600, 700):
        problem = random_problem(seed)
        best = best_by_enumeration(problem)
        first = schedule_work(problem, exact=False)
        if best is None or not first.found:
            continue
        before = check_answer(problem, first.placed, first.blends).objectives
        for position, least in enumerate(best.objectives[:6]):
            if before[:position] != best.objectives[:position]:
                break
            reached = improve_around(
                problem,
                find_windows(problem),
                (first.placed, first.blends),
                position,
                least,
                work=1.0,
                left=lambda: PATIENCE_S,
            )
            assert not reached.check.broken, seed
            assert best.objectives <= reached.check.objectives <= before, seed
            better += reached.check.objectives < before
    assert better


@pytest.mark.pinned
def test_every_objective_of_the_fig_plan_is_proved() -> None:
    """Mix out of bags counts as a set-up in the relaxation too, and containers as bought."""
    plan, _ = read_plan(Path(__file__).parents[3] / "plans" / "spring-figs-and-tomatoes.toml")
    assert plan is not None

    assert OBJECTIVES == make_season(plan).schedule.proved
