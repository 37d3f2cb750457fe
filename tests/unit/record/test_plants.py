"""Plants after what was done, counted by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from rootroom.plan.model import Plan
from rootroom.record.apply import replay
from rootroom.record.events import Event
from rootroom.record.plants import Group
from tests.support.plans import group, move, plan, pot, tray
from tests.support.recording import DAY, event, moved

ONE, THREE, SEVEN = pot("#1", 2.0), pot("#3", 9.0), pot("#7", 20.0)
LATER = DAY + timedelta(days=14)
FIGS = plan(
    [group("Fig", 18, move(ONE, THREE), move(THREE, SEVEN, number=2, count=6, wait_days=56))]
)


def standing(of: Plan, *events: Event, name: str = "Fig") -> tuple[int, ...]:
    """Return how many plants stand at each stage."""
    groups = replay(of, events).groups[name]
    return tuple(
        sum(each.standing(stage) for each in groups) for stage in range(len(groups[0].lots))
    )


def test_moved_plants_come_to_the_next_stage() -> None:
    """Of 18 figs 10 were moved, then 8: 8 + 10 + 0, then 0 + 18 + 0."""
    assert (8, 10, 0) == standing(FIGS, moved("Fig", 1, 10))
    assert (0, 18, 0) == standing(FIGS, moved("Fig", 1, 10), moved("Fig", 1, 8, LATER))


def test_lost_plants_are_those_that_were_not_moved_yet() -> None:
    """18 figs, 16 moved and 2 lost on one day: the 2 were waiting for the move."""
    events = [event("lost", plant="Fig", move=1, count=2), moved("Fig", 1, 16)]

    assert (0, 16, 0) == standing(FIGS, *events)
    assert (0, 16, 0) == standing(FIGS, *reversed(events))


def test_plants_lost_beyond_those_that_waited_were_moved_before() -> None:
    """18 moved and 3 lost on one day: the 3 had been moved."""
    events = [event("lost", plant="Fig", move=1, count=3), moved("Fig", 1, 18)]

    assert (0, 15, 0) == standing(FIGS, *events)


def test_a_count_is_the_end_of_its_day() -> None:
    """10 of 18 moved, then 7 counted that wait: one was missing; 9 counted: one was found."""
    seven = event("counted", plant="Fig", move=1, count=7)
    nine = event("counted", plant="Fig", move=1, count=9)

    assert (7, 10, 0) == standing(FIGS, seven, moved("Fig", 1, 10))
    assert (9, 10, 0) == standing(FIGS, nine, moved("Fig", 1, 10))


def test_a_record_is_believed() -> None:
    """Where 20 of 18 were moved, 2 more were there, and it is said."""
    state = replay(FIGS, [moved("Fig", 1, 20)])

    assert (0, 20, 0) == standing(FIGS, moved("Fig", 1, 20))
    assert ("2027-03-20: 2 more of `Fig` made move 1 than were there",) == state.odd


def test_a_move_that_nobody_noted_was_made() -> None:
    """Six that made move 2 have made move 1 before, and it is said."""
    state = replay(FIGS, [moved("Fig", 2, 6)])

    assert (12, 0, 6) == standing(FIGS, moved("Fig", 2, 6))
    assert ("2027-03-20: move 1 of `Fig` was not noted, yet move 2 was",) == state.odd


def test_divided_plants_become_more() -> None:
    """Four chives divided into three: 12; 7 moved use up 3 of the 4."""
    chives = plan([group("Chives", 4, move(ONE, pot("6 in pot", 2.0), into=3))])

    assert (0, 12) == standing(chives, moved("Chives", 1, 12), name="Chives")
    assert (1, 7) == standing(chives, moved("Chives", 1, 7), name="Chives")


def test_plants_of_one_name_are_taken_in_the_order_of_the_file() -> None:
    """Two rows of 5 and 7: of 8 moved plants 5 are of the first row."""
    rows = plan([group("Fig", count, move(ONE, THREE)) for count in (5, 7)])
    groups = replay(rows, [moved("Fig", 1, 8)]).groups["Fig"]

    assert [5, 3] == [each.into[1] for each in groups]


@pytest.mark.parametrize(
    ("told", "odd"),
    [
        (moved("Figg", 1, 1), "the plan has no plants called `Figg`"),
        (moved("Fig", 3, 1), "2027-03-20: the plan has no move 3 of `Fig`"),
        (
            event("lost", plant="Fig", move=4, count=1),
            "2027-03-20: the plan has no move 4 of `Fig`",
        ),
        (
            event("lost", plant="Fig", move=1, count=20),
            "2027-03-20: 2 more of `Fig` were lost than were there",
        ),
    ],
)
def test_error_what_does_not_fit_the_plan_is_told(told: Event, odd: str) -> None:
    """It is said in words, and the rest of the record is used."""
    assert (odd,) == replay(FIGS, [told]).odd


# Containers


def boxes(of: Plan, *events: Event) -> dict[str, int]:
    """Return the empty containers that are there."""
    return {text: box.on_hand for text, box in replay(of, events).boxes.items()}


def test_moves_empty_and_fill_containers() -> None:
    """30 #3 in stock; 10 figs go from #1 into #3: 20 #3 and 10 #1 are left."""
    stocked = plan([group("Fig", 18, move(ONE, THREE))], stock={"#3": 30})

    assert {"#3": 20, "#1": 10} == boxes(stocked, moved("Fig", 1, 10))


def test_a_tray_is_empty_when_its_last_plant_has_gone() -> None:
    """24 plants in one tray of 50: 23 moved leave the tray in use, 24 empty it."""
    tomatoes = plan([group("Tomato", 24, move(tray(50, 0.05), pot("4 in", 0.6)))])
    text = tray(50, 0.05).text

    assert 0 == boxes(tomatoes, moved("Tomato", 1, 23))[text]
    assert 1 == boxes(tomatoes, moved("Tomato", 1, 24))[text]


def test_pots_that_nobody_noted_as_bought_are_taken_to_have_been_there() -> None:
    """10 #3 filled with 4 in stock: 6 are unknown, none is left."""
    short = plan([group("Fig", 18, move(ONE, THREE))], stock={"#3": 4})
    box = replay(short, [moved("Fig", 1, 10)]).boxes["#3"]

    assert (6, 0) == (box.unknown, box.on_hand)


def test_broken_and_freed_containers_count() -> None:
    """30 in stock, 2 broken, 5 emptied by hand: 33."""
    stocked = plan([group("Fig", 18, move(ONE, THREE))], stock={"#3": 30})
    events = [
        event("broken", container="#3", count=2),
        event("freed", container="#3", count=5),
    ]

    assert 33 == boxes(stocked, *events)["#3"]


def test_moves_that_nobody_noted_are_made_up_for_through_a_division() -> None:
    """Six stand in #7 that came of two: each was moved to #3, then divided into three."""
    divided = plan(
        [
            group(
                "Hosta", 10, move(ONE, THREE), move(THREE, THREE, number=2, into=3),
                move(THREE, SEVEN, number=3),
            )
        ]
    )  # fmt: skip

    assert (8, 0, 0, 6) == standing(divided, moved("Hosta", 3, 6), name="Hosta")
    assert (7, 0, 2, 7) == standing(divided, moved("Hosta", 3, 7), name="Hosta")


def test_empty_containers_that_were_counted_hold_from_then_on() -> None:
    """Counted 12 after 10 of 18 were moved (by the books 20): 8 filled later leave 4.

    A second counting of that day that found more, and one of another kind, do not spoil it; and
    10 freed on the day itself are in the count, 3 freed later are not.
    """
    stocked = plan([group("Fig", 18, move(ONE, THREE))], stock={"#3": 20})
    events = [
        moved("Fig", 1, 10),
        event("freed", container="#3", count=10),
        event("empty", container="#3", count=12),
        event("empty", container="#3", count=9),
        event("empty", container="#1", count=0),
    ]
    later = [moved("Fig", 1, 8, LATER), event("freed", LATER, container="#3", count=3)]

    assert (12, 0) == (boxes(stocked, *events)["#3"], boxes(stocked, *events)["#1"])
    assert (7, 8) == (boxes(stocked, *events, *later)["#3"], boxes(stocked, *events, *later)["#1"])
    again = event("empty", LATER, container="#3", count=30)
    assert 30 == boxes(stocked, *events, *later, again)["#3"]


def test_sold_plants_take_their_pots_along_and_lost_ones_leave_them() -> None:
    """Of 10 in #1, 6 are sold and 4 lost: 4 pots are empty."""
    sold = plan([group("Basil", 10, move(ONE, None, place="sold"))])
    events = [moved("Basil", 1, 6), event("lost", plant="Basil", move=1, count=4)]

    assert 4 == boxes(sold, *events)["#1"]


def test_a_group_balances() -> None:
    """What came to a stage and was found is what stands there, went on or was lost."""
    events = [
        moved("Fig", 1, 12),
        event("lost", plant="Fig", move=1, count=2),
        event("counted", LATER, plant="Fig", move=2, count=11),
        moved("Fig", 2, 5, LATER),
    ]
    [figs] = replay(FIGS, events).groups["Fig"]

    assert (4, 11, 5) == standing(FIGS, *events)
    assert balanced(figs)


def balanced(of: Group) -> bool:
    """Whether each stage of a group adds up."""
    return all(
        of.into[s] + of.found[s] - of.lost[s] - of.out[s] == of.standing(s)
        for s in range(len(of.lots))
    )


def test_days_are_days() -> None:
    """A later move of the file that happened first counts first."""
    second = moved("Fig", 2, 6, date(2027, 5, 20))

    assert (0, 12, 6) == standing(FIGS, second, moved("Fig", 1, 18))
    assert () == replay(FIGS, [second, moved("Fig", 1, 18)]).odd


def test_of_two_counts_of_a_day_the_larger_holds() -> None:
    """Two helpers counted 7 and 9 of the same plants, in either order: 9."""
    counts = [event("counted", plant="Fig", move=1, count=count) for count in (9, 7)]

    assert (9, 0, 0) == standing(FIGS, *counts) == standing(FIGS, *reversed(counts))


def test_the_order_of_putting_back_does_not_matter() -> None:
    """5 put back for a week and 10 until May: 3, 5 and 10 whichever was noted first."""
    told = [
        event("not yet", plant="Fig", move=1, count=10, until="2027-05-01"),
        event("not yet", plant="Fig", move=1, count=5),
    ]
    untils = [
        sorted((lot.count, lot.until) for lot in replay(FIGS, order).groups["Fig"][0].lots[0]
               if lot.until)
        for order in (told, told[::-1])
    ]  # fmt: skip

    assert [(5, DAY + timedelta(7)), (10, date(2027, 5, 1))] == untils[0] == untils[1]


def test_what_was_taken_back_leaves_no_trace() -> None:
    """Neither a day's work nor the record's last day comes from it."""
    state = replay(FIGS, [moved("Fig", 1, 3, name="a"), event("taken back", LATER, replaces="a")])

    assert ({}, frozenset(), None) == (state.done, state.worked, state.last)
