"""What joins list and sessions: whatever is brought is bought or had."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.season import Season, make_season
from tests.support.seasons import check_brought, season_of

PLANS = sorted((Path(__file__).parents[2] / "plans").glob("*.toml"))

pytestmark = pytest.mark.property


@cache
def shipped(path: Path, sure: float) -> Season:
    """Return the season of a shipped plan at a level of certainty."""
    plan, _ = read_plan(path)
    assert plan is not None
    return make_season(plan, sure_share=sure)


@pytest.mark.parametrize("sure", [0.0, 0.5, 0.9])
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_whatever_is_brought_is_bought_or_had(path: Path, sure: float) -> None:
    """The list covers the sessions at every level of certainty, also one below the median."""
    check_brought(shipped(path, sure))


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_card_and_list_have_one_recipe(path: Path) -> None:
    """What the list blends by and what the card measures are the same shares, to the last."""
    season = shipped(path, 0.9)
    for name, how in season.shopping.made.items():
        if how.blended_l > 0:
            card = season.blending.cards[name]
            listed = {part.of: float(part.share) for part in how.parts}
            assert listed == pytest.approx({part.of: part.share for part in card.parts})
            assert all((2 * scoops).is_integer() for scoops in card.scoops.values())


EXACT = """
format = 1
plants = [ { name = "Fig", count = COUNT, now = "C1", to = "C5", mix = "own" } ]
supplies = [
  { of = "peat", pack = "7 L", price = 3.00 },
  { of = "sand", pack = "7 L", price = 4.00 },
]
[garden]
units = "metric"
[work]
first = 2027-03-06
last = 2027-04-25
hours = 2
store = "0 L"
[factors]
packing = 1.1
spill = "0 %"
ball = 1.0
[mixes.own]
parts = { peat = 2, sand = 1 }
shrink = "10 %"
"""


@pytest.mark.parametrize("count", [7, 23, 41, 58])
def test_units_that_are_rounded_up_are_bought_too(count: int) -> None:
    """With nothing in doubt the sessions bring more than the demand, a unit a day; it is bought."""
    season = season_of(EXACT.replace("COUNT", str(count)))

    assert season.shopping.status == "optimal"
    total = sum(batch.litres for one in season.schedule.sessions for batch in one.batches)
    assert total > season.demand.mixes["own"].median
    check_brought(season)
