"""Mix that is blended in its bed: laid in, forked through, and no vessel."""

from __future__ import annotations

from functools import cache

import pytest

from rootroom.plan.reader import read_plan_text
from rootroom.record.apply import replay
from rootroom.season import make_season
from rootroom.sessions.session import BedLine
from rootroom.sheets.answers.sessions import sessions_text
from tests.support.recording import event

# An invented bed of 2 m2, 25 cm deep: 500 L, settled 0 %, nothing spilt. Compost and topsoil 1:1,
# of which blending loses 20 %: 625 L of loose parts, 312.5 L of each, and 2 g of lime a litre.
PLAN = """\
supplies = [
  { of = "compost", pack = "40 L", price = 5.00, from = "Shop" },
  { of = "topsoil", pack = "40 L", price = 4.00, from = "Shop" },
  { of = "dolomitic lime", pack = "5 kg", price = 4.00, from = "Shop" },
]
beds = [
  { name = "South bed", shape = "2 m x 1 m", depth = "25 cm", mix = "bed mix", settles = "0 %", blend = "in place", from = 2027-03-06, by = 2027-03-28 },
]
[garden]
units = "metric"
last_frost = 2027-04-12
[work]
first = 2027-03-06
last = 2027-03-28
hours = 8
spare = "0 %"
setup = "20 min"
[factors]
spill = "0 %"
[mixes."bed mix"]
parts = { compost = 1, topsoil = 1 }
shrink = "20 %"
add = { "dolomitic lime" = "2 g/L" }
[suppliers.Shop]
"""  # noqa: E501


@cache
def season_of(text=PLAN):
    """Return the season of a plan."""
    plan, problems = read_plan_text(text, "plan.toml")
    assert plan is not None, [str(one) for one in problems]
    return make_season(plan)


def test_a_bed_by_hand():
    """312.5 L of compost and of topsoil, 1 kg of lime; 500 L take 0.07 + 0.09 min each, and 20."""
    (session,) = season_of().schedule.sessions

    assert {"compost": pytest.approx(312.5), "topsoil": pytest.approx(312.5)} == dict(
        session.bring.ingredients_l
    )
    assert {"dolomitic lime": pytest.approx(1.0)} == dict(session.bring.additions_kg)
    assert () == session.batches
    assert 500 * 0.16 + 20 == pytest.approx(session.minutes, abs=0.5)
    assert "fork" in session.bring.tools
    assert "vessel" not in session.bring.tools


def test_what_is_brought_is_what_a_vessel_would_take():
    """In place or in a vessel the same is needed; in a vessel whole scoops add a little."""
    place, vessel = season_of(), season_of(PLAN.replace('"in place"', '"vessel"'))

    assert place.demand.ingredients == vessel.demand.ingredients
    assert place.demand.mixes == vessel.demand.mixes
    assert place.shopping.cost_cents <= vessel.shopping.cost_cents
    blended = sum(batch.litres for one in vessel.schedule.sessions for batch in one.batches)
    assert blended >= 500.0
    assert sum(one.minutes for one in place.schedule.sessions) < sum(
        one.minutes for one in vessel.schedule.sessions
    )


def test_it_is_told_what_to_lay_in():
    """The session says what goes in and that it is forked through."""
    season = season_of()
    text = " ".join(sessions_text(season.plan, season.schedule).split())

    assert (
        "South bed: lay in 313 L compost, 313 L topsoil, 1 kg dolomitic lime and fork through"
        in text
    )


def test_dust_and_lime_are_warned_of():
    """Whoever turns lime and compost under handles them as in a vessel."""
    (session,) = season_of().schedule.sessions
    vessel = season_of(PLAN.replace('"in place"', '"vessel"')).schedule.sessions[0]

    assert {one.key for one in vessel.cautions} == {one.key for one in session.cautions}


def test_the_record_takes_the_parts():
    """Half of the bed filled has used half of the parts and of the lime, and no mix."""
    plan = season_of().plan
    goods = replay(plan, [event("filled", bed="South bed", layer=1, share=0.5, of="bed mix")]).goods

    assert {"compost": pytest.approx(156.25), "topsoil": pytest.approx(156.25)} == {
        name: litres for name, litres in goods.used_l.items() if litres
    }
    assert {"dolomitic lime": pytest.approx(0.5)} == dict(goods.used_kg)
    assert {} == goods.mixes


def test_a_mix_out_of_bags_is_spread_as_it_is():
    """Where the mix comes ready-made there is nothing to blend, in the bed or elsewhere."""
    bags = '  { of = "bed mix", pack = "50 L", price = 0.10, from = "Shop" },\n]\nbeds'
    season = season_of(PLAN.replace("]\nbeds", bags))
    (session,) = season.schedule.sessions

    assert {"bed mix"} == set(session.bring.ready_l)
    assert {} == session.bring.ingredients_l
    assert not any(isinstance(line, BedLine) and line.laid_l for line in session.work)
