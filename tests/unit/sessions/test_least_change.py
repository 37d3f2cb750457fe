"""Replanning close to the posted plan, and telling what changed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time, timedelta
from functools import partial

import pytest
from attrs import evolve

from rootroom.mixing.blend import blend
from rootroom.plan.entries import PostedLine
from rootroom.plan.model import Plan, WorkDay
from rootroom.record.apply import plan_from, replay
from rootroom.record.events import Event
from rootroom.record.posted import posted_blends
from rootroom.replanning.changes import Change, Missed, find_changes, find_missed
from rootroom.replanning.posting import next_session
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.problem import Day, Mix, Placed, Problem, Task
from rootroom.scheduling.solve import schedule_work
from rootroom.scheduling.tie_breaking import blend_ahead
from rootroom.sessions.least_change import posted_work, stay_close
from rootroom.sessions.schedule import Planned
from rootroom.sessions.session import Line
from rootroom.sessions.timeline import Schedule
from tests.support.plans import FIRST, bed, group, move, plan, pot, work
from tests.support.recording import as_rows, event, moved
from tests.support.scheduling import SATURDAY, days, minutes, worked_out
from tests.support.scheduling import scheduled as scheduled_exactly

ONE, THREE, SEVEN = pot("#1", 2.0), pot("#3", 9.0), pot("#7", 20.0)


def scheduled(of: Plan) -> Schedule:
    """Return the schedule of a plan by construction alone, which is quick and does for these."""
    found = worked_out(of)
    answer = schedule_work(found.problem, exact=False)
    answer = stay_close(
        found, answer, of.posted, seconds=1.0, effort=1.0, solve=partial(schedule_work, exact=False)
    )
    return Planned.of(of, found, blend(of), answer).book()


def saturday(number: int) -> date:
    """Return a Saturday of the season, from 0."""
    return SATURDAY + timedelta(weeks=number)


def yard(*counts: int, on: Sequence[WorkDay] | None = None, own: float = 20.0) -> Plan:
    """Return groups `a`, `b`, ... whose plants take `own` minutes each; six days of 240 minutes.

    Nothing is spared and nothing set up, so a day takes 12 plants of 20 minutes.
    """
    groups = [
        group(name, count, move(ONE, SEVEN, mix=None))
        for name, count in zip("abcdef", counts, strict=False)
    ]
    return plan(
        groups,
        work=work(days=days(6) if on is None else tuple(on), spare_share=0.0, setup_min=0.0,
                  mix_setup_min=0.0),
        minutes=minutes(pot_7=own),
        stock={"#7": 1000},
    )  # fmt: skip


def on_wall(*lines: tuple[str, int, int]) -> tuple[PostedLine, ...]:
    """Return lines on the wall: a name, the number of the Saturday, and plants."""
    return tuple(PostedLine(saturday(week), "move", name, 1, count) for name, week, count in lines)


def planned(schedule: Schedule) -> set[tuple[str, int, int]]:
    """Return a schedule's plants in the same way."""
    return {
        (line.name, (line.day - SATURDAY).days // 7, line.count)
        for line in posted_work(schedule.sessions)
    }


def test_a_wall_that_still_holds_is_kept() -> None:
    """Without a wall all is done on the first days; days of the wall that are as good stay."""
    wall = [("a", 2, 12), ("b", 4, 12)]

    assert set(wall) != planned(scheduled(yard(12, 12)))
    assert set(wall) == planned(scheduled_exactly(evolve(yard(12, 12), posted=on_wall(*wall))))


def test_counts_of_a_day_are_kept_too() -> None:
    """24 plants were to be done 9 on one day and 3 on two others, with 9 more of another."""
    wall = [("a", 1, 9), ("a", 3, 3), ("b", 3, 9), ("b", 1, 3)]

    assert set(wall) == planned(scheduled(evolve(yard(12, 12), posted=on_wall(*wall))))


def test_sessions_are_not_shuffled_to_save_one() -> None:
    """Three days of 4 plants would fit one; the wall has three, so three it is, and it is said."""
    wall = [("a", 0, 4), ("b", 1, 4), ("c", 2, 4)]
    kept = scheduled(evolve(yard(4, 4, 4), posted=on_wall(*wall)))

    assert set(wall) == planned(kept)
    assert ("feasible", 1) == (kept.status, kept.bound_sessions)


def test_lateness_comes_before_the_wall() -> None:
    """A group that would be late on its old day goes to a day in time, the other one stays."""
    due = group("a", 4, move(ONE, SEVEN, mix=None, due=saturday(1)))
    other = group("b", 4, move(ONE, SEVEN, mix=None))
    late = evolve(
        yard(1, 1), plants=plan([due, other]).plants, posted=on_wall(("a", 3, 4), ("b", 4, 4))
    )
    schedule = scheduled(late)

    assert 0 == schedule.late_plant_days
    assert ("b", 4, 4) in planned(schedule)


def test_a_rained_off_day_goes_to_the_next_and_the_rest_stays() -> None:
    """12, 12 and 12 plants on days 0, 2 and 4; day 0 is gone: its plants go to day 1."""
    wall = on_wall(("a", 0, 12), ("b", 2, 12), ("c", 4, 12))
    rained = evolve(yard(12, 12, 12, on=days(6)[1:]), posted=wall)

    assert {("a", 1, 12), ("b", 2, 12), ("c", 4, 12)} == planned(scheduled(rained))


def test_days_of_beds_are_kept() -> None:
    """A bed that was to be filled on the third Saturday is filled on it."""
    south = bed("South", 1.0, 0.1, [("bark", 0.1)])
    with_bed = evolve(yard(12), beds=(south,), minutes=minutes(pot_7=10.0, fill_bed=60.0))
    wall = (PostedLine(saturday(2), "fill bed", "South", 1, 1), *on_wall(("a", 3, 12)))
    schedule = scheduled(evolve(with_bed, posted=wall))

    assert {("South", 2, 1), ("a", 3, 12)} == planned(schedule)


def test_plants_that_are_gone_leave_their_day_short() -> None:
    """10 of 12 are left: the first days of the wall keep theirs."""
    kept = scheduled(evolve(yard(10), posted=on_wall(("a", 1, 6), ("a", 2, 6))))

    assert {("a", 1, 6), ("a", 2, 4)} == planned(kept)


def test_the_wall_of_another_plan_does_no_harm() -> None:
    """Names and moves that the plan does not have are passed over."""
    stranger = (*on_wall(("x", 1, 6)), PostedLine(saturday(1), "move", "a", 7, 3))

    assert planned(scheduled(yard(12))) == planned(scheduled(evolve(yard(12), posted=stranger)))


def test_mix_is_blended_ahead_where_a_kept_day_is_full() -> None:
    """Day 1 has 60 minutes of plants and 2 batches of 30, and 90 in all; day 0 has room for one.

    The store takes 100 ml and the mix keeps a day, so 100 of its 200 ml are blended on day 0.
    """
    problem = Problem(
        days=(Day(0, 90, 90), Day(1, 90, 90)),
        tasks=(Task(1, 10, 0, 1, mix=0, mix_ml=10), Task(2, 30, 0, 1, mix=0, mix_ml=100)),
        mixes=(Mix(30, keep_days=1, unit_ml=110),),
        store_ml=100,
    )
    placed = [Placed(0, 0, 1), Placed(1, 1, 2)]
    blends = blend_ahead(problem, placed)

    assert blends is not None
    assert {(0, 100), (1, 110)} == {(one.day, one.ml) for one in blends}
    assert () == check_answer(problem, placed, blends).broken
    assert None is blend_ahead(evolve(problem, store_ml=50), placed)


# What changed


def replanned(of: Plan, *told: Event, today: date | None = None) -> tuple[Plan, list[Change]]:
    """Return what is left of a plan after a record, and what changes against its wall."""
    sheet = event("planned", FIRST, sessions=as_rows(of.posted))
    state = replay(of, [sheet, *told])
    left = plan_from(of, state, today=today)
    schedule = scheduled(left)
    changes = find_changes(
        left, schedule, done=state.done, today=today or state.last, stops=state.called_off
    )
    return left, list(changes)


def test_nothing_changes_after_a_session_as_planned() -> None:
    """What was done is no change."""
    hung = evolve(yard(12, 12), posted=on_wall(("a", 0, 12), ("b", 2, 12)))

    assert [] == replanned(hung, moved("a", 1, 12, saturday(0)))[1]


@pytest.mark.parametrize(
    ("told", "before", "after", "reason"),
    [
        (
            event("day off", saturday(0), day=saturday(0).isoformat(), reason="rain"),
            {saturday(0): 12}, {saturday(1): 12}, "rain",
        ),
        (
            event("postponed", saturday(0), until=saturday(1).isoformat(), reason="we are away"),
            {saturday(0): 12}, {saturday(1): 12}, "we are away",
        ),
        (
            moved("a", 1, 7, saturday(0)),
            {saturday(0): 5}, {saturday(1): 5}, "not done on its day",
        ),
        (
            event("not yet", saturday(0), plant="a", move=1, count=12,
                  until=saturday(5).isoformat()),
            {saturday(0): 12}, {saturday(5): 12}, f"may not be done before {saturday(5)}",
        ),
        (
            event("lost", saturday(0), plant="a", move=1, count=2),
            {saturday(0): 2}, {}, "fewer of them than posted",
        ),
    ],
)  # fmt: skip
def test_a_change_is_told_with_its_reason(
    told: Event, before: dict[date, int], after: dict[date, int], reason: str
) -> None:
    """One line of the sheet, what it said, what holds now, and why."""
    hung = evolve(yard(12), posted=on_wall(("a", 0, 12)))
    today = told.day + timedelta(1) if told.kind == "moved" else None

    assert [Change("move", "a", 1, before, after, reason)] == replanned(hung, told, today=today)[1]


def test_a_bed_is_told_with_its_share() -> None:
    """Half of a layer went in: the other half moves on, from its day to the next."""
    one = bed("South", 4.0, 0.3, [("bark", None)])
    hung = evolve(
        yard(),
        beds=(one,),
        posted=(
            PostedLine(saturday(0), "fill bed", "South", 1, 1, 0.5),
            PostedLine(saturday(1), "fill bed", "South", 1, 1, 0.5),
        ),
    )
    half = event("filled", saturday(0), bed="South", layer=1, share=0.5)
    rain = event("day off", saturday(1), day=saturday(1).isoformat(), reason="rain")
    sheet = event("planned", FIRST, sessions=as_rows(hung.posted))
    state = replay(hung, [sheet, half, rain])
    left = plan_from(hung, state)
    changes = find_changes(
        left, scheduled(left), done={}, filled=state.filled, today=state.last,
        stops=state.called_off,
    )  # fmt: skip

    moved_on = Change("fill bed", "South", 1, {saturday(1): 500}, {saturday(2): 500}, "rain")
    assert (moved_on,) == changes


def test_work_that_fits_no_more_says_so() -> None:
    """It is left out with its own reason, and not called done."""
    hung = evolve(yard(12, 12), posted=on_wall(("a", 0, 12), ("b", 1, 12)))
    sheet = event("planned", FIRST, sessions=as_rows(hung.posted))
    left = plan_from(hung, replay(hung, [sheet]), today=saturday(5))
    changes = find_changes(left, scheduled_exactly(left), done={}, today=saturday(5))
    reasons = {change.reason: change.after for change in changes}

    assert {} == reasons["does not fit into the work days that are left"]
    assert {saturday(5): 12} == reasons["not done on its day"]


def test_a_move_that_waits_for_a_later_one_says_so() -> None:
    """The first move comes a week late, so the second, 14 days after it, does too."""
    moves = (move(ONE, THREE, mix=None), move(THREE, SEVEN, number=2, mix=None, wait_days=14))
    hung = evolve(
        yard(1),
        plants=plan([group("a", 4, *moves)]).plants,
        posted=(
            PostedLine(saturday(0), "move", "a", 1, 4),
            PostedLine(saturday(2), "move", "a", 2, 4),
        ),
        stock={"#3": 9, "#7": 9},
    )
    rain = event("day off", saturday(0), day=saturday(0).isoformat(), reason="rain")

    assert ["rain", f"waits 14 days from the move before, now on {saturday(1)}"] == [
        change.reason for change in replanned(hung, rain)[1]
    ]


def test_dates_that_are_missed_now_are_named() -> None:
    """Due on the first Saturday, which is rained off: 4 plants a week late, for the first time."""
    due = group("a", 4, move(ONE, SEVEN, mix=None, due=saturday(0)))
    hung = evolve(yard(1), plants=plan([due]).plants, posted=on_wall(("a", 0, 4)))
    rain = event("day off", saturday(0), day=saturday(0).isoformat(), reason="rain")
    left, _ = replanned(hung, rain)

    assert (Missed("a", 1, saturday(0), saturday(1), 4, anew=True),) == find_missed(
        left, scheduled(left)
    )


def test_error_what_fits_no_day_any_more_is_named() -> None:
    """The last work day is called off: nothing fits, and the plants are named."""
    hung = evolve(yard(4, on=days(1)), posted=on_wall(("a", 0, 4)))
    rain = event("day off", saturday(0), day=saturday(0).isoformat(), reason="rain")
    left, changes = replanned(hung, rain)
    schedule = scheduled(left)

    assert ("infeasible", []) == (schedule.status, changes)
    assert [("a", None, 4)] == [(m.name, m.day, m.count) for m in find_missed(left, schedule)]


def test_a_layer_that_is_in_is_no_change() -> None:
    """Bark is in, the rest of the bed keeps its day."""
    south = bed("South", 1.0, 0.2, [("bark", 0.1), ("logs", None)])
    hung = evolve(
        yard(),
        beds=(south,),
        minutes=minutes(fill_bed=60.0),
        posted=tuple(PostedLine(saturday(n), "fill bed", "South", n, 1) for n in (1, 2)),
    )
    done = event("filled", saturday(1), bed="South", layer=1, share=1.0)

    assert [] == replanned(hung, done)[1]


@pytest.mark.parametrize(
    ("posted", "before", "after", "reason"),
    [
        ({saturday(0): {"tree": 2}}, {saturday(0): 2}, {}, "rain"),
        ({saturday(2): {"tree": 1}}, {saturday(2): 1}, {}, "the work that it is for has changed"),
    ],
)
def test_an_evening_of_blending_alone_is_told_of(
    posted: dict[date, dict[str, int]], before: dict[date, int], after: dict[date, int], reason: str
) -> None:
    """No plant stands on such a day, so the mix is what changes; plants as posted tell nothing."""
    hung = evolve(yard(12), posted=on_wall(("a", 1, 12)))
    schedule = scheduled(plan_from(hung, replay(hung, [])))
    days = {line.day for line in hung.posted}
    stops = [(saturday(0), saturday(1), "rain")]

    told = find_changes(
        evolve(hung, posted=posted_work(schedule.sessions)), schedule, done={}, stops=stops,
        blends={**posted, **{day: {} for day in days}},
    )  # fmt: skip
    apart = [change for change in told if change.name == "tree"]

    assert [Change("blend", "tree", 0, before, after, reason)] == apart


def test_batches_that_go_to_another_day_are_told_of_on_both() -> None:
    """Three were to be blended ahead; now one is, and two on the day that needs them."""
    hung = evolve(yard(24), posted=on_wall(("a", 0, 12), ("a", 1, 12)))
    schedule = scheduled(plan_from(hung, replay(hung, [])))
    first, second = (session.date for session in schedule.sessions)
    sessions = [
        evolve(
            session,
            work=(
                Line(kind="blend", name="tree", count=batches, minutes=10.0, start=time(9)),
                *session.work,
            ),
        )
        for session, batches in zip(schedule.sessions, (1, 2), strict=True)
    ]

    told = find_changes(
        hung, evolve(schedule, sessions=tuple(sessions)), done={},
        blends={first: {"tree": 3}, second: {}},
    )  # fmt: skip
    why = "the work that it is for has changed"
    assert (Change("blend", "tree", 0, {first: 2}, {second: 2}, why),) == told


def test_an_evening_of_blending_alone_is_the_next_session() -> None:
    """It is not passed over because no plant is on it; done, the plants' day is next."""
    hung = evolve(yard(12), posted=on_wall(("a", 1, 12)))
    ahead = {"day": saturday(0).isoformat(), "kind": "blend", "name": "tree", "count": 2}
    sheet = event("planned", FIRST, sessions=[ahead, *as_rows(hung.posted)])
    done = event("session", saturday(0), state="done")

    assert saturday(0) == next_session(hung, [sheet])[0]
    assert saturday(1) == next_session(hung, [sheet, done])[0]


def test_mix_laid_out_alone_counts_once_and_beside_plants_not() -> None:
    """A day of its own is told of by its mix, a day with plants by those."""
    day, other = saturday(0).isoformat(), on_wall(("a", 1, 12))
    rows = [
        {"day": day, "kind": "lay out", "name": "tree", "number": 0, "count": 0},
        {**as_rows(other)[0], "kind": "lay out", "name": "tree"},
        *as_rows(other),
    ]

    told = posted_blends([event("planned", FIRST, sessions=rows)])
    assert {saturday(0): {"tree": 1}, saturday(1): {}} == told
