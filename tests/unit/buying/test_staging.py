"""Goods in stages: what comes for which session where there is not room for all at once."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.buying.shopping import Stage
from rootroom.cli.app import app
from rootroom.plan.editing import set_value
from rootroom.plan.reader import read_plan_text
from rootroom.record.events import Event
from rootroom.record.posted import bought_as_listed
from rootroom.replanning.posting import fetched, posted_data
from rootroom.season import make_season

FIRST, LAST = date(2027, 3, 6), date(2027, 3, 27)

# Invented. 8 pots of 10 L on 6 March, 12 on the 27th: 80 and 120 L. Five bags of 50 L take 250 L of
# room, of which two serve the first day.
PLAN = """\
plants = [
  { name = "Fig", count = 8, now = "bare root", to = "10 L", mix = "tree", from = 2027-03-06, by = 2027-03-07 },
  { name = "Bay", count = 12, now = "bare root", to = "10 L", mix = "tree", from = 2027-03-27, by = 2027-03-28 },
]
supplies = [
  { of = "tree", pack = "50 L", price = 5.00, from = "Shop" },
  { of = "10 L", pack = 1, price = 1.00, from = "Shop" },
]
[garden]
units = "metric"
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-03-28
[factors]
packing = 1
spill = "0 %"
[mixes.tree]
[suppliers.Shop]
trip = 3.00
"""  # noqa: E501
FREE = PLAN.replace("trip = 3.00", 'tax = "0 %"')


@cache
def season_of(room, text=PLAN):
    """Return the season of a plan with so much room; none given, all comes at once."""
    if room is not None:
        text = set_value(text, "work.room", room)
    plan, problems = read_plan_text(text, "plan.toml")
    assert plan is not None, problems
    return make_season(plan)


ALL_AT_ONCE = (Stage(1, FIRST, 5), Stage(2, FIRST, 20))
IN_TWO = (Stage(1, FIRST, 2), Stage(1, LAST, 3), Stage(2, FIRST, 8), Stage(2, LAST, 12))


@pytest.mark.parametrize(
    ("room", "stages", "cents", "over"),
    [
        (None, (), 4800, 0.0),
        ("250 L", ALL_AT_ONCE, 4800, 0.0),
        ("249 L", IN_TWO, 5100, 0.0),
        ("150 L", IN_TWO, 5100, 0.0),
        ("90 L", IN_TWO, 5100, 60.0),
    ],
)
def test_stages_by_hand(room, stages, cents, over):
    """250 L come at once where they have room, else 100 L and 150 L with a trip of 3.00 more.

    Five bags at 5.00 and twenty pots at 1.00 are 45.00, with one trip 48.00, with two 51.00; in
    two trips the most that lies there is the 150 L of the second one.
    """
    shopping = season_of(room).shopping

    assert (stages, cents, over) == (
        shopping.stages, shopping.cost_cents, pytest.approx(shopping.over_room_l),
    )  # fmt: skip
    assert shopping.further_cents == cents - 4800
    paid = sum(line.cost_cents for line in shopping.lines)
    assert cents == paid + sum(fee.cents for fee in shopping.fees)


def test_a_trip_begins_with_the_first_good_that_is_needed():
    """Pots of 15 L, which the second day needs, come then; bags of the first day come first."""
    text = PLAN.replace(
        '  { of = "10 L", pack = 1',
        '  { of = "15 L", pack = 1, price = 2.00, from = "Shop" },\n  { of = "10 L", pack = 1',
    ).replace(
        'count = 12, now = "bare root", to = "10 L"', 'count = 8, now = "bare root", to = "15 L"'
    )
    stages = season_of("150 L", text).shopping.stages

    assert {(1, FIRST), (3, FIRST), (1, LAST), (2, LAST)} == {(s.supply, s.day) for s in stages}


def test_two_packs_of_one_good_come_in_the_order_of_the_file():
    """Of 4 bags at 4.00, which is all there are, and one at 5.00, two of the first serve 80 L."""
    text = PLAN.replace(
        "supplies = [",
        'supplies = [\n  { of = "tree", pack = "50 L", price = 4.00, at_most = 4, from = "Shop" },',
    )
    stages = season_of("150 L", text).shopping.stages

    assert [(1, FIRST, 2), (1, LAST, 2), (2, LAST, 1)] == [
        (one.supply, one.day, one.packs) for one in stages if one.supply < 3
    ]


def test_what_costs_no_trip_comes_when_it_is_needed():
    """Where going there costs nothing it comes in two parts, be there room enough for all."""
    shopping = season_of("900 L", FREE).shopping

    assert (IN_TWO, 4500, 0) == (shopping.stages, shopping.cost_cents, shopping.further_cents)


@pytest.mark.parametrize("room", ["250 L", "200 L", "150 L", "60 L"])
@pytest.mark.parametrize("text", [PLAN, FREE], ids=["trip", "free"])
def test_stages_come_to_the_list_and_are_there_in_time(room, text):
    """Of every line all packages come, and by each session those that it and all before it need."""
    season = season_of(room, text)
    shopping = season.shopping
    for line in shopping.lines:
        parts = [stage for stage in shopping.stages if stage.supply == line.supply]
        assert line.packs == sum(stage.packs for stage in parts)
        used = there = 0.0
        for session in season.schedule.sessions:
            used += {**session.bring.ready_l, **session.bring.bought}.get(line.of, 0.0)
            there += sum(
                stage.packs * line.contents / line.packs
                for stage in parts
                if stage.day == session.date
            )
            assert there >= used - 1e-6


def test_more_room_never_costs_more():
    """From no room at all to plenty, cost and what lies over never grow."""
    found = [season_of(f"{room} L").shopping for room in (10, 90, 150, 249, 250, 900)]

    assert sorted((one.cost_cents for one in found), reverse=True) == [
        one.cost_cents for one in found
    ]
    assert [140.0, 60.0, 0.0] == [pytest.approx(one.over_room_l) for one in found[:3]]


def test_the_posted_list_and_the_record_go_by_stages():
    """Two rows a supply, the trip on both days; what is done as listed buys each day's own part."""
    season = season_of("150 L")
    posted = posted_data(season)
    rows = [(row["day"], row["of"], row["packs"], row["cents"], row.get("fee_cents", 0))
            for row in posted["goods"]]  # fmt: skip

    assert [
        ("2027-03-06", "tree", 2, 1000, 0),
        ("2027-03-27", "tree", 3, 1500, 0),
        ("2027-03-06", "10 L", 8, 800, 300),
        ("2027-03-27", "10 L", 12, 1200, 300),
    ] == rows
    assert 51.0 == sum(cents + fee for _, _, _, cents, fee in rows) / 100
    events = [Event("p", FIRST, "planned", posted)]
    for day, packs in ((FIRST, [2, 8]), (LAST, [3, 12])):
        notes = bought_as_listed(events, day, ())
        assert packs == [data["packs"] for _, data in notes]
        events += [
            Event(f"{day}{number}", day, kind, data) for number, (kind, data) in enumerate(notes)
        ]


def test_lines_of_a_session_are_its_packages():
    """Parts of a line add up to its packages, cents, contents and room."""
    season = season_of("150 L")
    parts = fetched(season.schedule, season.shopping)
    for line in season.shopping.lines:
        own = [one for one, _ in parts if one.supply == line.supply]
        assert (line.packs, line.cost_cents) == (
            sum(one.packs for one in own), sum(one.cost_cents for one in own),
        )  # fmt: skip
        assert line.contents == pytest.approx(sum(one.contents for one in own))
        assert line.room_l == pytest.approx(sum(one.room_l for one in own))


def test_the_list_tells_of_stages_and_further_trips(tmp_path):
    """The head says what further trips cost and why, a block what comes when."""
    path = tmp_path / "plan.toml"
    path.write_text(set_value(PLAN, "work.room", "90 L"))
    text = CliRunner().invoke(app, ["buy", str(path)]).stdout

    assert (
        "Shopping: 51.00 EUR, the cheapest, proved. 3.00 of it is for further trips, since there "
        "is room for 90 L. At most 60 L more than 90 L lie there on one day."
    ) in " ".join(text.split())
    assert (
        "In stages, each for the session of the day\n"
        "  6 Mar: 2 × 50 L tree, 8 × 10 L\n"
        "  27 Mar: 3 × 50 L tree, 12 × 10 L\n"
    ) in text
