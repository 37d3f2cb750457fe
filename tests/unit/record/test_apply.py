"""What is left of a plan after its record."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from rootroom.plan.entries import PostedLine
from rootroom.plan.model import Plan, WorkDay
from rootroom.record.apply import apply_record
from rootroom.record.events import Event
from tests.support.plans import bed, group, mix, move, plan, pot, work
from tests.support.recording import DAY, as_rows, event, moved

ONE, THREE, SEVEN = pot("#1", 2.0), pot("#3", 9.0), pot("#7", 20.0)
DAYS = tuple(WorkDay(date(2027, 3, 6) + timedelta(weeks=n), 240.0, 1) for n in range(12))
FIGS = group("Fig", 18, move(ONE, THREE), move(THREE, SEVEN, number=2, count=6, wait_days=56))
PLAN = plan([FIGS], [mix("tree", {"bark": 1})], work=work(days=DAYS))


def rows(left: Plan) -> list[tuple[int, list[tuple[int, int | None, date]]]]:
    """Return each group's count, and number, count and opening day of its moves."""
    return [
        (one.count, [(m.number, m.count, m.opens) for m in one.kind.moves]) for one in left.plants
    ]


def test_nothing_done_changes_nothing() -> None:
    """A record of a note leaves the plants as they are."""
    assert PLAN.plants is apply_record(PLAN, [event("note", text="dry")]).plants


def test_moved_plants_wait_from_the_real_day() -> None:
    """10 of 18 were moved on 20 March: 56 days later 6 of them may go on; 8 are still to move.

    The plan sends 6 on in all, and the foremost are those.
    """
    assert [
        (10, [(2, 6, date(2027, 5, 15))]),
        (8, [(1, None, date(2027, 3, 6))]),
    ] == rows(apply_record(PLAN, [moved("Fig", 1, 10)]))


def test_a_quota_is_shared_by_those_behind() -> None:
    """4 of 18 were moved: all 4 may go on, and of the 14 behind 2."""
    assert [
        (4, [(2, None, date(2027, 5, 15))]),
        (14, [(1, None, date(2027, 3, 6)), (2, 2, date(2027, 3, 6))]),
    ] == rows(apply_record(PLAN, [moved("Fig", 1, 4)]))


def test_those_that_went_on_need_not_go_again() -> None:
    """All 18 were moved, and 6 of them again: nothing is left to do."""
    done = [moved("Fig", 1, 18), moved("Fig", 2, 6, date(2027, 5, 20))]

    assert [] == rows(apply_record(PLAN, done))


def test_plants_moved_on_two_days_wait_apart() -> None:
    """9 on 20 March and 9 on 27 March may go on 56 days after their own day."""
    again = move(THREE, SEVEN, number=2, wait_days=56)
    all_go_on = plan([group("Fig", 18, move(ONE, THREE), again)])
    done = [moved("Fig", 1, 9), moved("Fig", 1, 9, DAY + timedelta(7))]

    assert [
        (9, [(2, None, date(2027, 5, 15))]),
        (9, [(2, None, date(2027, 5, 22))]),
    ] == rows(apply_record(all_go_on, done))


def test_plants_that_were_not_ready_are_left_alone() -> None:
    """5 of 18 are put back until 3 April, 5 more for a week."""
    told = [
        event("not yet", plant="Fig", move=1, count=5, until="2027-04-03"),
        event("not yet", plant="Fig", move=1, count=5),
    ]
    opens = [(count, moves[0][2]) for count, moves in rows(apply_record(PLAN, told))]

    assert [(8, date(2027, 3, 6)), (5, date(2027, 3, 27)), (5, date(2027, 4, 3))] == opens


def test_lost_plants_are_planned_no_more() -> None:
    """2 of 18 lost: 16 are left to move, and 6 to go on."""
    left = apply_record(PLAN, [event("lost", plant="Fig", move=1, count=2)])

    assert [(16, [(1, None, date(2027, 3, 6)), (2, 6, date(2027, 3, 6))])] == rows(left)


def test_planning_starts_with_the_last_day_or_today() -> None:
    """A day on which work was done is spent; a day on which something was bought is not."""
    worked = apply_record(PLAN, [moved("Fig", 1, 1)])
    bought = apply_record(PLAN, [event("bought", of="bark", packs=1, paid_cents=None)])
    later = apply_record(PLAN, [moved("Fig", 1, 1)], today=date(2027, 4, 4))

    assert [date(2027, 3, 27), DAY, date(2027, 4, 10)] == [
        left.work.days[0].date for left in (worked, bought, later)
    ]
    assert [DAY, date(2027, 4, 4)] == [left.work.first for left in (worked, later)]
    early = apply_record(PLAN, [], today=date(2027, 2, 1))
    assert PLAN.work.first == early.work.first


def test_planning_starts_after_the_last_of_several_days() -> None:
    """Work on 20 March, bark bought on 28 March and noted first: the next day is 3 April."""
    bought = event("bought", date(2027, 3, 28), of="bark", packs=1, paid_cents=None)
    left = apply_record(PLAN, [bought, moved("Fig", 1, 1)])

    assert date(2027, 4, 3) == left.work.days[0].date


def test_days_called_off_are_no_work_days() -> None:
    """Rain on 27 March, and nothing for two weeks from 10 April on."""
    left = apply_record(
        PLAN,
        [
            event("day off", day="2027-03-27", reason="rain"),
            event("postponed", date(2027, 4, 10), until="2027-04-24", reason="away"),
        ],
        today=DAY,
    )

    assert [date(2027, 3, 20), date(2027, 4, 3), date(2027, 4, 24)] == [
        day.date for day in left.work.days[:3]
    ]


def test_mix_that_is_there_is_stored() -> None:
    """100 L blended, 60 used: 40 L of 20 March."""
    stored = apply_record(
        PLAN, [event("blended", mix="tree", l=100.0), event("used", mix="tree", l=60.0)]
    ).stored

    assert {"tree": (40.0, DAY)} == {name: (one.litres, one.made) for name, one in stored.items()}


def test_no_mix_is_stored_that_is_used_up_or_unknown() -> None:
    """What was blended went into pots; of a mix that the plan has no more, nothing is planned."""
    told = [
        event("blended", mix="tree", l=60.0),
        event("used", mix="tree", l=60.0),
        event("blended", mix="herbs", l=30.0),
    ]

    assert {} == apply_record(PLAN, told).stored


def test_a_bed_keeps_what_is_missing() -> None:
    """A bed of 30 cm, 10 of them logs: logs in, half of the rest in. 10 cm of tree are missing.

    The layer keeps its number, and its share of the plan's.
    """
    south = bed("South", 1.0, 0.30, [("logs", 0.10), ("tree", None)])
    with_bed = plan((), [mix("tree", {"bark": 1})], [south])
    told = [
        event("filled", bed="South", layer=1, share=1.0),
        event("filled", bed="South", layer=2, share=0.25),
        event("filled", bed="South", layer=2, share=0.25),
    ]
    [left] = apply_record(with_bed, told).beds

    assert pytest.approx(0.20) == left.already_m
    assert [("tree", None, 2, 0.5)] == [
        (layer.of, layer.depth_m, layer.number, layer.left_share) for layer in left.layers
    ]
    full = [*told, event("filled", bed="South", layer=2, share=0.5)]
    assert () == apply_record(with_bed, full).beds


def test_a_layer_of_its_own_depth_keeps_the_part_that_is_missing() -> None:
    """A fifth of 10 cm of logs is in: 8 cm are missing, and all of the mix above them."""
    south = bed("South", 1.0, 0.30, [("logs", 0.10), ("tree", None)])
    with_bed = plan((), [mix("tree", {"bark": 1})], [south])
    [left] = apply_record(with_bed, [event("filled", bed="South", layer=1, share=0.2)]).beds

    assert pytest.approx(0.02) == left.already_m
    assert [("logs", pytest.approx(0.08)), ("tree", None)] == [
        (layer.of, layer.depth_m) for layer in left.layers
    ]


def test_the_last_posted_plan_counts() -> None:
    """Of two sheets the later line holds, and what is neither plant nor bed is left out."""
    old = PostedLine(DAY, "move", "Fig", 1, 18)
    new = PostedLine(DAY + timedelta(7), "move", "Fig", 1, 18)
    more = {"day": "2027-03-27", "kind": "blend", "name": "tree", "number": 0, "count": 2}
    told = [
        event("planned", sessions=as_rows([old])),
        event("planned", sessions=[*as_rows([new]), more, {"day": "soon"}]),
    ]

    assert (new,) == apply_record(PLAN, told).posted


def test_the_same_record_gives_the_same_plan() -> None:
    """Replaying changes nothing of what it is given."""
    told: list[Event] = [moved("Fig", 1, 10), event("lost", plant="Fig", move=1, count=1)]

    assert rows(apply_record(PLAN, told)) == rows(apply_record(PLAN, told))
    assert 18 == PLAN.plants[0].count
