"""Work that does not all fit: as little as can be is left out, and all else is planned."""

from __future__ import annotations

import json
import sys
from datetime import date
from math import comb, prod
from pathlib import Path

import pytest

from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import Container, Day, Order, Problem, Status, Task, Use
from rootroom.scheduling.solve import schedule_what_fits, widened
from rootroom.sheets.answers.as_json import sessions_json
from rootroom.sheets.answers.sessions import sessions_text
from tests.support.patience import PATIENCE_S
from tests.support.plans import group, mix, move, plan, pot, work
from tests.support.scheduling import days, minutes, scheduled

sys.path.insert(0, str(Path(__file__).parent))
from random_problems import best_by_enumeration, random_problem

ONE, THREE = pot("#1", 2.5), pot("#3", 9.0)


MOST_ANSWERS = 2000
"""Ways to put the units on the days up to which a widened problem is enumerated."""


def answers(problem: Problem) -> int:
    """Return in how many ways the units can stand on the days, whatever the rules."""
    behind = len(problem.days) - 1
    return prod(comb(task.count + behind, behind) for task in problem.tasks)


def left(problem: Problem) -> tuple[dict[int, int], int]:
    """Return what is left out by task, and the lateness of the rest."""
    found = schedule_what_fits(problem, Status.INFEASIBLE, seconds=20, effort=2)
    return {one.task: one.count for one in found.left_out}, found.lateness


@pytest.mark.worked
def test_two_minutes_too_few_leave_one_plant_out() -> None:
    """Ten units of 10 minutes in 98 minutes: nine are done, one is left out."""
    problem = Problem((Day(0, 98, 98),), (Task(10, 10, 0, 0),))
    found = schedule_what_fits(problem, Status.INFEASIBLE, seconds=20, effort=2)

    assert ({0: 1}, 0) == left(problem)
    assert [(0, 0, 9)] == [(one.day, one.task, one.count) for one in found.placed]
    assert (Status.INFEASIBLE, True, False) == (found.status, found.found, found.complete)


@pytest.mark.worked
def test_a_job_for_two_is_left_out_and_the_rest_goes_on() -> None:
    """Nobody comes along to help: the one job that takes two is left out."""
    tasks = (Task(1, 10, 0, 7, people=2), Task(4, 10, 0, 7))

    assert ({0: 1}, 0) == left(Problem((Day(0, 60, 60), Day(7, 60, 60)), tasks))


@pytest.mark.worked
def test_the_fewest_plants_are_left_out() -> None:
    """Of a tray of twelve and three pots, an hour each, the pots wait: 12 plants count for more."""
    tasks = (Task(1, 60, 0, 0, plants=12), Task(3, 20, 0, 0))

    assert ({1: 3}, 0) == left(Problem((Day(0, 60, 60),), tasks))


@pytest.mark.worked
def test_what_must_follow_is_left_out_too() -> None:
    """Two of four are potted on; only they can be planted out a week later."""
    tasks = (Task(4, 30, 0, 7), Task(4, 5, 0, 7))
    problem = Problem((Day(0, 60, 60), Day(7, 20, 20)), tasks, (Order(0, 1, 7),))

    assert ({0: 2, 1: 2}, 0) == left(problem)


@pytest.mark.worked
def test_what_waits_beyond_the_last_day_is_left_out_alone() -> None:
    """One plant may go on a year after the last day: the others are done."""
    tasks = (Task(2, 10, 0, 7), Task(1, 10, 400, 400, due=7))

    assert ({1: 1}, 0) == left(Problem((Day(0, 60, 60), Day(7, 60, 60)), tasks))


@pytest.mark.worked
def test_late_work_is_no_work_left_out() -> None:
    """What can be done late is done late: two weeks late are better than not at all."""
    tasks = (Task(2, 60, 0, 14, due=0), Task(1, 60, 0, 0))

    three = (Day(0, 60, 60), Day(7, 60, 60), Day(14, 60, 60))

    missing, late = left(Problem(three[:2], tasks))
    assert (1, 7) == (sum(missing.values()), late)
    assert ({}, 21) == left(Problem(three, tasks))


def test_containers_that_cannot_be_had_leave_no_answer() -> None:
    """Where not even days without end would do, nothing is planned, and the status is kept."""
    tasks = (Task(2, 10, 0, 0, needs=(Use(0),)),)
    problem = Problem((Day(0, 60, 60),), tasks, containers=(Container(1, 0),))
    found = schedule_what_fits(problem, Status.INFEASIBLE, seconds=20, effort=2)

    assert (Status.INFEASIBLE, False, ()) == (found.status, found.found, found.placed)


@pytest.mark.property
@pytest.mark.parametrize("start", range(0, 100, 50))
def test_as_little_is_left_out_as_enumeration_finds(start: int) -> None:
    """Of random problems that do not fit, what is left out and late is the least there is."""
    tried = proved = 0
    for seed in range(start, start + 50):
        problem = random_problem(seed)
        wide = widened(problem)
        if answers(wide) > MOST_ANSWERS or best_by_enumeration(problem) is not None:
            continue
        best = best_by_enumeration(wide)
        found = schedule_what_fits(problem, Status.INFEASIBLE, seconds=PATIENCE_S, effort=10.0)
        if best is None:
            assert not found.found, seed
            continue
        tried += 1
        whole = check_answer(wide, (*found.placed, *found.left_out), found.blends)
        done = {one.task for one in found.placed if one.day >= len(problem.days)}
        assert not done, seed
        assert found.found == found.complete or found.left_out, seed
        if found.proved:
            assert ("left_out",) == found.proved, seed
            far = wide.days[len(problem.days)].date - problem.days[-1].date
            plants = sum(one.count * problem.tasks[one.task].plants for one in found.left_out)
            assert plants == (best.lateness + far // 2) // far, seed
            proved += 1
        # Left-out work is told on the first day behind the others, where it is least late.
        assert whole.lateness <= best.lateness, seed
        assert found.lateness <= best.lateness, seed
    assert tried
    assert proved > 0.9 * tried


def test_it_is_told_on_screen_and_in_json() -> None:
    """The plants, the minutes, what stands in the way, and the sessions of the rest; exit 3."""
    figs = group("Fig", 60, move(ONE, THREE))
    tree = mix("tree", {"bark": 2, "peat": 1})
    own = minutes(pot_3=6.0, blend=10.0)
    one = plan([figs], [tree], work=work(days=days(2)), minutes=own)
    schedule = scheduled(one)
    answer = json.loads(sessions_json(schedule))

    # Two days of 204 less 40 hold 164 min each: 23 pots and 24 units of 1.0833 min, twice.
    assert [{"plant": "Fig", "move": 1, "count": 14, "minutes": 84}] == answer["left_out"]
    assert ("infeasible", 2) == (answer["status"], len(answer["sessions"]))
    assert [date(2027, 3, 6), date(2027, 3, 13)] == [s.date for s in schedule.sessions]
    text = sessions_text(one, schedule)
    assert text.startswith(
        "Not all of the work fits: 14 plants left out, proved the fewest; 2 sessions for\n"
        "the rest.\n\n"
        "Left out:\n  Fig, move 1: 14, 1 h 25 min of work\n"
    )
