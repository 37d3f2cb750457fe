"""What the plan adds to a mix without a recipe goes into its bags in the session that uses them."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.sheets.answers.sessions import sessions_text
from rootroom.sheets.views.session import session_views
from rootroom.sheets.writing import Writer
from tests.support.seasons import season_of

PLAN = """plants = [
  { name = "Fig", count = 12, now = "#1", to = "#3", mix = "bagged", from = 2027-04-03, by = 2027-04-18 },
]
supplies = [
  { of = "bagged", pack = "2 cu ft", price = 12.00, from = "Shop" },
  { of = "dolomitic lime", pack = "5 lb", price = 4.00, from = "Shop" },
  { of = "#3", pack = 10, price = 18.00, from = "Shop" },
]
[garden]
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat"]
vessel = "2.5 cu ft"
first = 2027-04-03
last = 2027-05-02
[minutes]
blend = 15
[mixes.bagged]
add = { "dolomitic lime" = "5 lb/yd3" }
"""  # noqa: E501


@pytest.fixture(scope="module")
def season():
    """Return the season of a plan with a mix out of bags that lime is put into."""
    return season_of(PLAN)


def test_it_is_brought_and_mixed_in_before_the_pots_are_filled(season):
    """The one session brings the lime for its bags, and says when it goes in."""
    (session,) = season.schedule.sessions
    litres = session.bring.ready_l["bagged"]
    kinds = [line.kind for line in session.work]

    # 5 lb/yd3 is 5 x 0.45359237 kg in 764.554857984 L.
    assert 5 * 0.45359237 / 764.554857984 * litres == pytest.approx(
        session.bring.additions_kg["dolomitic lime"]
    )
    assert ["set up", "mix in", "move", "water in", "clean up"] == kinds
    assert "mix in: bagged" in sessions_text(season.plan, season.schedule)
    assert "11 oz dolomitic lime" in sessions_text(season.plan, season.schedule)


def test_it_takes_the_time_of_as_many_batches(season):
    """More than one vesselful takes two turns of 15 minutes beside the mix's 5 of set-up."""
    (session,) = season.schedule.sessions
    minutes = {line.kind: line.minutes for line in session.work}

    assert 1 < session.bring.ready_l["bagged"] / 70.792116480 < 2  # 2.5 cu ft
    assert 5 + 2 * 15 == minutes["mix in"]


def test_whole_batches_take_their_bags_and_what_goes_into_them():
    """Of a mix with a bagged part the card says how much is opened, and the lime goes by that."""
    house = "[mixes.house]\nparts = { bagged = 3, perlite = 1 }\n"
    (session,) = season_of(
        PLAN.replace('mix = "bagged"', 'mix = "house"') + house
    ).schedule.sessions
    (blended,) = session.batches
    litres = session.bring.ready_l["bagged"]

    # Level scoops of 5 US gallons, so many as the card says for all batches.
    assert 3 * 5 * 3.785411784 * blended.batches == pytest.approx(litres, abs=0.01)
    assert 5 * 0.45359237 / 764.554857984 * litres == pytest.approx(
        session.bring.additions_kg["dolomitic lime"]
    )
    assert ["mix in", "blend"] == [line.kind for line in session.work][1:3]


def test_it_is_due_with_the_bags_and_warned_of(season):
    """It is to be there for the same day as the bags, and its dust is cautioned against."""
    due = {good.name: good.first for good in season.schedule.goods_due}
    (session,) = season.schedule.sessions

    assert date(2027, 4, 3) == due["dolomitic lime"] == due["bagged"]
    assert "dust" in {caution.key for caution in session.cautions}


def test_a_rate_above_the_published_one_is_marked_where_it_goes_in():
    """A mix without parts has no main part, so 16 lb/yd3 is above the 15 of arkansas_rates."""
    marked = season_of(PLAN.replace("5 lb/yd3", "16 lb/yd3"))
    text = " ".join(sessions_text(marked.plan, marked.schedule).split())
    (view,) = session_views(marked, Writer.of(marked.plan.garden))
    told = "dolomitic lime: more than the 15 lb/yd3 that is published: see its label first"

    assert told in text
    assert [told] in [row.adds for row in view.work]


def test_a_usual_rate_is_not_marked(season):
    """5 lb/yd3 is a published rate."""
    assert "published" not in sessions_text(season.plan, season.schedule)
