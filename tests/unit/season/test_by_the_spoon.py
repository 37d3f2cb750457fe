"""What the plan gives by the spoon is told in spoons everywhere, with its weight beside it."""

from __future__ import annotations

import pytest

from rootroom.demand.recipes import given_by_spoon
from rootroom.sheets.answers.buying import buying_text
from rootroom.sheets.answers.demand import demand_text
from rootroom.sheets.answers.sessions import sessions_text
from rootroom.sheets.views.demand import additions_view
from rootroom.sheets.views.session import session_views
from rootroom.sheets.views.shopping import shopping_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import season_of

PLAN = """plants = [
  { name = "Fig", count = 6, now = "bare root", to = "10 L", mix = "tree", from = 2027-04-03, by = 2027-04-18, add = { "tomato feed" = "2 tbsp" } },
]
supplies = [
  { of = "peat", pack = "2 yd3", price = 12.00, from = "Shop" },
  { of = "dolomitic lime", pack = "5 lb", weighs = "12 oz/cup", price = 4.00, from = "Shop" },
]
[garden]
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-04-03
last = 2027-05-02
[suppliers.Shop]
minutes = 40
[mixes.tree]
parts = { peat = 1 }
add = { "dolomitic lime" = "2 tbsp/gal", gypsum = "1 lb/yd3" }
"""  # noqa: E501


@pytest.fixture(scope="module")
def season():
    """Return the season of a plan with lime at a rate by the spoon and feed by the pot."""
    return season_of(PLAN)


@pytest.mark.worked
def test_spoons_stand_everywhere_with_their_weight(season):
    """12 oz a cup is 0.75 oz a spoon, by the plan; 2 tbsp of feed are 1 oz at 8 oz a cup.

    Rutgers R-4 (2015), the shipped source of 8 oz a cup for granular feed.
    """
    plan = season.plan
    spoons = given_by_spoon(plan)
    assert ["dolomitic lime", "tomato feed"] == sorted(spoons)
    texts = (
        demand_text(plan, season.demand),
        buying_text(season.shopping),
        sessions_text(plan, season.schedule, shopping=season.shopping),
    )
    for text in texts:
        line = next(one for one in text.splitlines() if "dolomitic lime" in one and "cups" in one)
        assert " lb" in line
    assert "2 tbsp, 1 oz tomato feed a pot" in texts[2]
    assert "cups" not in next(one for one in texts[0].splitlines() if "gypsum" in one)


def test_the_sheets_say_the_same(season):
    """Card, step, bring and line of the sheets name spoons; the rate above the published one."""
    writer = Writer.of(season.plan.garden, given_by_spoon(season.plan))
    (view,) = session_views(season, writer)
    (batch,) = view.batches
    lime = next(one for one in batch.adds if "lime" in one)

    assert "cup" in lime
    # 2 tbsp/gal at 12 oz a cup is 18.9 lb/yd3; arkansas_rates end at 15 lb/yd3.
    assert lime.endswith("more than the 15 lb/yd3 that is published: see its label first")
    assert not [one for one in batch.adds if "gypsum" in one and "published" in one]
    assert "lime" in batch.order
    assert any("2 tbsp, 1 oz tomato feed a pot" in row.adds for row in view.work)
    brought = {row.what: row.amount for row in view.materials}
    assert "cup" in brought["dolomitic lime"]
    rows = {row.what: row.plan_on for row in additions_view(season.demand.additions, writer)}
    assert "cups, " in rows["dolomitic lime"]


def test_fetching_says_how_long_it_takes(season):
    """The plan says 40 minutes for a trip: they stand at the list, and on the evening before."""
    assert "40 min to fetch it" in " ".join(buying_text(season.shopping).split())
    text = sessions_text(season.plan, season.schedule, shopping=season.shopping)
    assert "fetch   Shop, 40 min: " in text
    (session,) = season.schedule.sessions
    assert session.minutes == pytest.approx(sum(line.minutes for line in session.work))


def test_paper_and_phone_have_the_load(season):
    """The phone names each bulky good, paper the load of all in fewer words."""
    (shop,) = shopping_view(season.shopping, Writer.of(season.plan.garden)).suppliers
    # 2 yd3 are 54 cu ft; 5 lb of lime count as 2.3 L more, and whole cubic feet are rounded up.
    assert shop.load.startswith("load 55 cu ft, about ")
    assert shop.load.endswith(", 40 min to fetch it")
    assert "(peat)" in shop.by
    assert "(" not in shop.load
