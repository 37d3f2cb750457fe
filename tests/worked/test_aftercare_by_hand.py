"""Aftercare by hand: its days count from the session of the move, its feed is bought."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from rootroom.plan.model import Plan
from rootroom.record.apply import apply_record, replay
from rootroom.record.events import Event, decode, encode, event_from, new_event
from rootroom.record.planned_and_real import review
from rootroom.season import Season, make_season
from rootroom.sheets.answers.record_text import record_list
from rootroom.sheets.answers.review import review_csv, review_text
from rootroom.units import read_volume_l
from tests.support.written_plans import REST, written_plan

FEED = (
    '{ do = "feed", after = "3 weeks", every = "2 weeks", times = 4, '
    'of = "tomato feed", amount = "1 tbsp" }'
)
PINCH = '{ do = "pinch", after = "10 days" }'
FIG = (
    '{ name = "Fig", count = 4, now = "#1", to = "#3", mix = "tree", '
    f"then = [ {FEED}, {PINCH} ] }}"
)
SUPPLY = """
[[supplies]]
of = "tomato feed"
pack = "1 cup"
price = 4.00
"""
TBSP_L = read_volume_l("1 tbsp")


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    """Return a plan of 4 figs that are fed 4 times and pinched once."""
    return written_plan(tmp_path, FIG, rest=REST + SUPPLY)


def due(season: Season) -> list[tuple[date, str, int]]:
    """Return day, deed and number of plants of all aftercare."""
    return [(one.date, one.step.do, one.count) for one in season.schedule.aftercare]


def test_days_count_from_the_session(plan: Plan) -> None:
    """From Saturday 20 March: pinched on the 30th, fed on 10 and 24 April, 8 and 22 May."""
    assert [
        (date(2027, 3, 30), "pinch", 4),
        (date(2027, 4, 10), "feed", 4),
        (date(2027, 4, 24), "feed", 4),
        (date(2027, 5, 8), "feed", 4),
        (date(2027, 5, 22), "feed", 4),
    ] == due(make_season(plan))


def test_feed_is_bought(plan: Plan) -> None:
    """4 plants, 4 times, a tablespoon: 16 tablespoons are a cup, so one pack does."""
    season = make_season(plan)

    amount = season.demand.additions["tomato feed"].amount
    assert 16 * TBSP_L == pytest.approx(amount.likely, rel=1e-12)
    assert 16 * TBSP_L == pytest.approx(amount.high, rel=1e-12)
    assert [("tomato feed", 1)] == [
        (line.of, line.packs) for line in season.shopping.lines if line.of == "tomato feed"
    ]


def test_what_is_due_adds_up_to_what_is_bought(tmp_path: Path) -> None:
    """The spoons of all days are those of the demand, with groups torn over days too."""
    many = FIG.replace("count = 4", "count = 13")
    lily = (
        '{ name = "Lily", count = 3, now = "#3", to = "#2", mix = "tree", into = 2, '
        f"then = [ {FEED} ] }}"
    )
    rest = REST.replace("hours = 1", "hours = 1.5")
    season = make_season(written_plan(tmp_path, many, lily, rest=rest))

    assert 2 == len(season.schedule.sessions)
    spoons = sum(one.count for one in season.schedule.aftercare if one.step.do == "feed")
    assert (13 + 6) * 4 == spoons
    likely = season.demand.additions["tomato feed"].amount.likely
    assert spoons * TBSP_L == pytest.approx(likely, rel=1e-12)


def test_move_that_was_made_keeps_its_aftercare(plan: Plan) -> None:
    """3 of 4 moved a day late: theirs counts from that day, what lies behind was done."""
    day = date(2027, 3, 21)
    moved = new_event("moved", day, {"plant": "Fig", "move": 1, "count": 3})
    left = apply_record(plan, [moved], today=date(2027, 4, 12))
    assert [(date(2027, 3, 21), 3)] == [(one.day, one.count) for one in left.made]

    fed = [day + timedelta(weeks=weeks) for weeks in (5, 7, 9)]
    season = make_season(left)
    assert [(one, "feed") for one in fed] == [
        (one.date, one.step.do) for one in season.schedule.aftercare if one.count == 3
    ]
    # 3 plants get 3 more feeds, and the one that is yet to move its 4: 13 tablespoons.
    amount = season.demand.additions["tomato feed"].amount
    assert 13 * TBSP_L == pytest.approx(amount.likely, rel=1e-12)


def test_feed_that_was_due_is_used_up(plan: Plan) -> None:
    """Of a cup bought, 4 tablespoons went into the pots before the season's last note."""
    moved = new_event("moved", date(2027, 3, 20), {"plant": "Fig", "move": 1, "count": 4})
    data = {"of": "tomato feed", "packs": 1, "paid_cents": 400}
    bought = new_event("bought", date(2027, 3, 20), data)
    later = new_event("note", date(2027, 4, 11), {"text": "dry"})

    supply = apply_record(plan, [moved, bought, later]).supplies[0]
    assert 0.75 == pytest.approx(float(supply.on_hand), abs=1e-6)


def test_aftercare_on_the_plant_is_that_of_its_last_move(tmp_path: Path) -> None:
    """A list's rows without `now` are further moves, so only the last of them has it."""
    rows = "name,count,now,to,mix\nFig,2,#1,#2,tree\nFig,,,#3,tree\n"
    listed = written_plan(tmp_path, f'{{ rows = "plants.csv", then = [ {PINCH} ] }}', plants=rows)
    written = written_plan(
        tmp_path,
        '{ name = "Fig", count = 2, now = "#1", mix = "tree", '
        f'moves = [ {{ to = "#2" }}, {{ to = "#3" }} ], then = [ {PINCH} ] }}',
    )

    for plan in (listed, written):
        first, last = plan.plants[0].kind.moves
        assert () == first.care
        assert [("pinch", 10)] == [(step.do, step.after_days) for step in last.care]


def test_aftercare_that_was_given_is_in_the_review(plan: Plan) -> None:
    """Two phones tick one day's feed: it is told once, by the first; a tick taken back is none."""

    def cared(number: int, day: int, due_day: str, **more: Any) -> Event:
        data = {"due": due_day, "do": "feed", "of": "tomato feed", "plants": ["Fig"], "count": 4}
        raw = {"v": 1, "id": f"e{number}", "by": "k1", "date": f"2027-04-{day:02}", "kind": "cared"}
        return event_from({**raw, "session": None, **data, **more})

    events = [
        cared(1, 12, "2027-04-10"), cared(2, 11, "2027-04-10"),
        cared(3, 24, "2027-04-24"), cared(4, 24, "2027-04-24", count=0, replaces="e3"),
    ]  # fmt: skip
    assert all(decode(encode(one)[:-1]) == one for one in events)
    found = review(plan, events, replay(plan, events))
    (given,) = found.cared

    assert (date(2027, 4, 10), date(2027, 4, 11), ("Fig",), 4) == (
        given.due, given.day, given.plants, given.count,
    )  # fmt: skip
    text = review_text(plan, found)
    assert "Aftercare that was given" in text
    assert "feed tomato feed" in text
    assert "aftercare,Fig,feed tomato feed,,2027-04-10,2027-04-11" in review_csv(found)
    assert "feed Fig (4 plants), due 2027-04-10" in record_list(plan, events)
