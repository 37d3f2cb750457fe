"""Why work is late or does not fit, in the words of the plan, and what would cure it."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.plan.entries import Pack, Supply
from rootroom.plan.model import WorkDay
from rootroom.sessions.timeline import Schedule
from tests.support.plans import HERE, group, mix, move, plan, pot, work
from tests.support.scheduling import SATURDAY, days, minutes, scheduled

ONE, THREE, SEVEN = pot("#1", 2.5), pot("#3", 9.0), pot("#7", 22.0)
TREE = mix("tree", {"bark": 2, "peat": 1})
OWN = minutes(pot_3=6.0, pot_7=6.0, blend=10.0)


def made(*groups: object, work_days: int = 2, **more: object) -> Schedule:
    """Return the schedule of such plants on so many Saturdays."""
    one = plan(groups, [TREE], work=work(days=days(work_days)), minutes=OWN, **more)  # type: ignore[arg-type]
    return scheduled(one, effort_s=4.0)


def test_work_in_time_needs_no_reason() -> None:
    """A schedule without lateness says nothing."""
    assert made(group("Fig", 4, move(ONE, THREE))).why is None


def test_too_little_time() -> None:
    """The stretch that is short is told with its minutes, and what would do."""
    schedule = made(group("Fig", 60, move(ONE, THREE)))

    # 60 x 6 = 360 min, a mix 20, 457.47 L in 61 units of 7.5 L at 1.0833 min 66: 446. Two days of
    # 204 min less 20 of set-up each: 368.
    assert "infeasible" == schedule.status
    assert schedule.why is not None
    assert (
        "from 6 March 2027 to 13 March 2027 work that has no other days takes 446 min, and the "
        "days offer 368 min: 78 min short (`Fig` (move 1))"
    ) == schedule.why.reasons[0]
    # 60 min more on both days are 51 less the spare share: 255 less 40 of set-ups are 215, and 30
    # pots take 180 and 31 units 33.6. On one day 117 min are 99, or 303 less 40: 37 pots take 222
    # and 37 units 40, and the other day does 23. Even of all 240 min two days hold too few.
    assert (
        "1 h 57 min more on one of 6, 13 March 2027",
        "1 h more on every work day",
        "one more person on one of 6, 13 March 2027",
        "one more work day, on 7 March 2027",
        "work dates that run until 20 March 2027",
    ) == schedule.why.cures


def test_late_work_gets_the_date_that_would_be_right() -> None:
    """Late plants are told by when they will be done, as a date to write."""
    schedule = made(group("Fig", 25, move(ONE, THREE, due=date(2027, 3, 6))))

    assert schedule.why is not None
    assert "14 min short" in schedule.why.reasons[0]
    # 14 min are 16.5 of the clock. Of 240 min 9 % unplanned leave 218, 198 and a set-up of 20.
    assert (
        "17 min more on 6 March 2027",
        "`spare` 9 % in place of 15 %",
        "30 min more on every work day",
        "one more person on 6 March 2027",
    ) == schedule.why.cures[:-1]
    assert "`Fig` (move 1): `by` no earlier than 13 March 2027" == schedule.why.cures[-1]


def test_more_hours_are_those_of_the_clock() -> None:
    """With half of each session left unplanned an hour more is half an hour of work."""
    figs = group("Fig", 20, move(ONE, THREE, due=date(2027, 3, 13)))
    own = minutes(pot_3=6.0, blend=0.0)

    def on_days_of(clock_min: float) -> Schedule:
        garden = work(days=days(4, clock_min=clock_min), spare_share=0.5, mix_setup_min=0.0)
        return scheduled(plan([figs], [TREE], work=garden, minutes=own))

    # 20 x 6 = 120 min of work; two days of 60 less 20 of set-up hold 80. Half an hour more on each
    # would be 15 min, in all 110, so it takes the hour: 140.
    made = on_days_of(120.0)
    assert made.late
    assert made.why is not None
    assert "1 h more on every work day" in made.why.cures
    assert on_days_of(150.0).late
    assert not on_days_of(180.0).late


def test_one_more_day_is_inside_the_work_dates_and_not_off() -> None:
    """The 7th to the 9th are off, and a date before the 6th would be an error of the plan."""
    off = frozenset(date(2027, 3, day) for day in (7, 8, 9))
    unlike = (WorkDay(SATURDAY, 240.0, 1), WorkDay(date(2027, 3, 13), 300.0, 1))
    figs = group("Fig", 60, move(ONE, THREE, due=date(2027, 3, 13)))
    made = scheduled(plan([figs], [TREE], work=work(days=unlike, off=off), minutes=OWN))

    assert made.why is not None
    assert "one more work day like 13 March 2027, on 10 March 2027" in made.why.cures


def test_dates_of_several_late_groups_are_needed_together() -> None:
    """A later date for one of two late groups alone is no cure, so one line names both."""
    due = date(2027, 3, 6)
    groups = [group(name, 40, move(ONE, THREE, due=due)) for name in ("Fig", "Bay")]
    garden = work(days=days(4), mix_setup_min=0.0)
    own = minutes(pot_3=6.0, blend=0.0)
    made = scheduled(plan(groups, [TREE], work=garden, minutes=own))

    # A day holds (204 - 20) / 6 = 30 of the 80 plants: all are done on the third Saturday.
    assert made.why is not None
    assert (
        "`by` no earlier than these, together: `Fig` (move 1) 13 March 2027, `Bay` (move 1) "
        "20 March 2027"
    ) == made.why.cures[-1]


@pytest.mark.parametrize(
    ("moves", "reason"),
    [
        (
            (move(ONE, THREE), move(THREE, SEVEN, number=2, wait_days=60)),
            "`Fig` (move 2) must wait for the work before it, so its first day is after the last "
            "one, and the last work day is 13 March 2027",
        ),
        (
            (move(ONE, THREE, people=2),),
            "`Fig` (move 1) takes 2 people at once, and no work day between 6 March 2027 and "
            "6 June 2027 has as many",
        ),
        (
            (move(ONE, THREE, opens=date(2027, 4, 1)),),
            "`Fig` (move 1) has no work day between 1 April 2027 and 6 June 2027",
        ),
    ],
)
def test_no_day_at_all(moves: tuple[object, ...], reason: str) -> None:
    """A move that has no day names the rule that leaves it none."""
    schedule = made(group("Fig", 4, *moves))  # type: ignore[arg-type]

    assert "infeasible" == schedule.status
    assert schedule.why is not None
    assert reason == schedule.why.reasons[0]


def test_date_that_is_over() -> None:
    """A date before the first day left is told as that, not as a span that runs backwards."""
    schedule = made(group("Fig", 4, move(ONE, THREE, due=date(2027, 3, 1))))

    assert schedule.why is not None
    assert (
        "`Fig` (move 1): its date, 1 March 2027, lies before the first day left, 6 March 2027"
    ) in schedule.why.reasons


def test_containers_that_cannot_be_had() -> None:
    """Fourteen pots are filled and ten can be bought: four are missing."""
    supply = Supply(1, "#3", "container", HERE, pack=Pack("10", pieces=10), at_most=1)
    schedule = made(group("Fig", 14, move(ONE, THREE)), supplies=[supply])

    assert "infeasible" == schedule.status
    assert schedule.why is not None
    assert (
        "4 #3 are missing for `Fig` (move 1): stock, freed ones and what may be bought do not "
        "cover them"
    ) == schedule.why.reasons[0]
    assert ("4 more #3 in stock or from a shop",) == schedule.why.cures


def test_two_faults_take_two_changes() -> None:
    """Two people are missing for one move, and another is due after the last day."""
    pair = group("Fig", 4, move(ONE, THREE, people=2))
    late = group("Bay", 4, move(ONE, THREE), move(THREE, SEVEN, number=2, wait_days=20))
    schedule = made(pair, late)

    assert schedule.why is not None
    assert (
        "one more person on every work day and work dates that run until 27 March 2027",
    ) == schedule.why.cures


def test_faults_that_nothing_tried_would_mend() -> None:
    """Where two people are missing and another move waits for longer than any change allows."""
    pair = group("Fig", 4, move(ONE, THREE, people=2))
    late = group("Bay", 4, move(ONE, THREE), move(THREE, SEVEN, number=2, wait_days=90))
    schedule = made(pair, late)

    assert schedule.why is not None
    assert 2 == len(schedule.why.reasons)
    assert (
        "nothing that was tried is enough: longer days, one more person, one more work day and "
        "later work dates, one by one and together",
    ) == schedule.why.cures
