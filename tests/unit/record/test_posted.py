"""The posted plan as rows of a record, and what its lines become once they are done."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

from attrs import evolve

from rootroom.plan.entries import PostedLine
from rootroom.record.events import Event
from rootroom.record.posted import (
    as_posted,
    bought_as_listed,
    choices_of,
    event_of_row,
    posted_lines,
    same_work,
    session_rows,
    used_as_planned,
)
from tests.support.plans import mix, plan
from tests.support.recording import as_rows

DAY, LATER = date(2027, 3, 20), date(2027, 3, 27)
FIG = {"kind": "move", "name": "Fig", "number": 1, "count": 10, "mix": "tree", "l": 80.0}
BED = {"kind": "fill bed", "name": "Bed", "number": 2, "count": 1, "mix": "tree", "l": 100.0}
BLEND = {"kind": "blend", "name": "tree", "number": 0, "count": 3, "l": 150.0}


def sheet(name: str, day: date, *rows: dict[str, Any]) -> Event:
    """Return a sheet whose rows are all of one day."""
    told = [{"day": day.isoformat(), "share": 1.0, **row} for row in rows]
    return Event(name, DAY, "planned", {"sessions": told})


def test_the_newest_posted_plan_counts() -> None:
    """Of two sheets the later line holds, and of its rows those of plants and beds."""
    events = [sheet("a", DAY, FIG), sheet("b", LATER, FIG, BED, BLEND)]

    assert (
        PostedLine(LATER, "move", "Fig", 1, 10),
        PostedLine(LATER, "fill bed", "Bed", 2, 1),
    ) == posted_lines(events)
    assert () == posted_lines([])


def test_lines_come_back_from_their_rows() -> None:
    """Lines of a wall written as rows are read as the same lines."""
    lines = (PostedLine(DAY, "move", "Fig", 1, 10), PostedLine(DAY, "fill bed", "Bed", 2, 1, 0.25))

    assert lines == posted_lines([Event("a", DAY, "planned", {"sessions": as_rows(lines)})])


def test_a_day_is_found_on_the_newest_sheet_that_has_it() -> None:
    """A day that was worked is missing on later sheets, and found on the one before."""
    events = [sheet("a", DAY, FIG, BLEND), sheet("b", LATER, BED)]

    assert ["move", "blend"] == [row["kind"] for row in session_rows(events, DAY)]
    assert ["fill bed"] == [row["kind"] for row in session_rows(events, LATER)]
    assert [] == session_rows(events, date(2027, 4, 3))


def test_what_the_newest_sheet_of_a_day_fetches_was_bought() -> None:
    """A sheet that lists a bag no more for its day has taken it off the list."""
    bag = {"of": "bark", "packs": 1, "cents": 640, "day": LATER.isoformat(), "supply": 2}
    first, second = sheet("a", LATER, FIG), sheet("b", LATER, FIG)
    listed = evolve(first, data={**first.data, "goods": [bag]})

    assert [("bought", {"of": "bark", "packs": 1, "paid_cents": 640, "supply": 2})] == (
        bought_as_listed([listed], LATER, ())
    )
    assert [] == bought_as_listed([listed, second], LATER, ())


def test_packs_that_were_fetched_ahead_are_not_fetched_again() -> None:
    """Three packs of bark for one day and two for the next, four bought: one is still to fetch.

    Peat of the same list, and bark of another supply, are goods of their own.
    """
    goods = [
        {"of": "bark", "packs": 3, "cents": 1500, "day": DAY.isoformat(), "supply": 1},
        {"of": "peat", "packs": 5, "cents": 5000, "day": DAY.isoformat(), "supply": 2},
        {"of": "bark", "packs": 7, "cents": 4900, "day": DAY.isoformat(), "supply": 3},
        {"of": "bark", "packs": 2, "cents": 1000, "day": LATER.isoformat(), "supply": 1},
    ]
    listed = sheet("a", LATER, FIG)
    listed = evolve(listed, data={**listed.data, "goods": goods})
    bought = Event("b", DAY, "bought", {"of": "bark", "supply": 1, "packs": 4})

    assert [("bought", {"of": "bark", "packs": 1, "paid_cents": 500, "supply": 1})] == (
        bought_as_listed([listed, bought], LATER, ())
    )


def test_what_was_posted_of_a_mix_that_is_another_now_is_no_choice() -> None:
    """One mix is gone from the plan, one is bought now and not blended, one was set by hand."""
    day = DAY.isoformat()
    mixes = [
        {"mix": "gone", "ready": 0.5, "parts": {"bark": "1"}, "bags": {day: 40.0}},
        {"mix": "bag", "ready": 0.0, "parts": {"bark": "1"}},
        {"mix": "own", "ready": 0.5, "parts": {"bark": "1"}, "bags": {day: 40.0}},
        {"mix": "both", "ready": 0.5, "parts": {"bark": "1"}, "bags": {day: 40.0}},
    ]
    told = Event("a", DAY, "planned", {"sessions": [], "mixes": mixes})
    now = plan(
        (),
        [mix("bag", {}), mix("own", {"bark": 1}, only="own"), mix("both", {"bark": Fraction(1)})],
    )
    kept = as_posted(now, choices_of([told]), ())

    assert {"both": 40.0} == kept.posted_bags_l
    assert {"bag": None, "own": "own", "both": None} == {
        name: one.only for name, one in kept.mixes.items()
    }


def test_rows_become_notes() -> None:
    """Plants, beds and blending become events; what only takes time does not."""
    assert ("moved", {"plant": "Fig", "move": 1, "count": 10}) == event_of_row(FIG)
    assert ("filled", {"bed": "Bed", "layer": 2, "share": 0.5, "of": "tree"}) == event_of_row(
        {**BED, "share": 0.5, "of": "tree"}
    )
    assert ("blended", {"mix": "tree", "l": 150.0}) == event_of_row(BLEND)
    assert event_of_row({"kind": "water in", "name": "plants", "number": 0}) is None


def test_the_same_work_whatever_its_amount() -> None:
    """Two notes tell of the same work by kind and name, not by their counts."""
    six, ten = {"plant": "Fig", "move": 1, "count": 6}, {"plant": "Fig", "move": 1, "count": 10}

    assert same_work(("moved", six), ("moved", ten))
    assert not same_work(("moved", six), ("moved", {**ten, "move": 2}))
    assert not same_work(("moved", six), ("lost", six))


def test_mix_goes_with_what_was_done() -> None:
    """What the sheet gives is taken in proportion, unless use or rest of the mix was told."""
    rows = [{"share": 1.0, **row} for row in (FIG, BED, BLEND)]
    told = [
        ("moved", {"plant": "Fig", "move": 1, "count": 5}),
        ("filled", {"bed": "Bed", "layer": 2, "share": 0.5}),
    ]

    # 5 of 10 plants of 80 L, half of a layer of 100 L.
    assert [("used", {"mix": "tree", "l": 90.0, "planned": True})] == used_as_planned(rows, told)
    assert [] == used_as_planned(rows, [*told, ("left", {"mix": "tree", "l": 9.0})])
    assert [] == used_as_planned(rows, [])
