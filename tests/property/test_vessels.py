"""More room never makes a proved answer worse: a larger vessel takes no more sessions."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from attrs import evolve

from rootroom.plan.reader import read_plan
from rootroom.season import Season, make_season
from tests.support.seasons import check_brought

PLANS = sorted((Path(__file__).parents[2] / "plans").glob("*.toml"))
CUBIC_FOOT_L, CUBIC_YARD_L = 28.316846592, 764.554857984
SMALL_L = 2.5 * CUBIC_FOOT_L
VESSELS_L = (SMALL_L, 7 * CUBIC_FOOT_L, CUBIC_YARD_L, 2 * CUBIC_YARD_L, 20 * CUBIC_YARD_L)

pytestmark = pytest.mark.property


@cache
def season(path: Path, vessel_l: float) -> Season:
    """Return the season of a shipped plan with another vessel."""
    plan, _ = read_plan(path)
    assert plan is not None
    return make_season(evolve(plan, work=evolve(plan.work, vessel_l=vessel_l)))


@pytest.mark.parametrize("step", [1, 2, 3, 4], ids=["7 cu ft", "1 yd3", "2 yd3", "20 yd3"])
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_larger_vessel_is_never_worse(path: Path, step: int) -> None:
    """Lateness and sessions are no more than with the next smaller vessel."""
    small, large = (season(path, vessel_l).schedule for vessel_l in VESSELS_L[step - 1 : step + 1])

    assert (large.late_plant_days, len(large.sessions)) <= (
        small.late_plant_days, len(small.sessions)
    )  # fmt: skip


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_what_is_over_is_less_than_a_unit_of_each_mix(path: Path) -> None:
    """After the last session of a season less than one unit of each mix is left."""
    for vessel_l in (SMALL_L, 20 * CUBIC_YARD_L):
        made = season(path, vessel_l)
        for session in made.schedule.sessions:
            for batch in session.batches:
                card = made.blending.cards[batch.mix]
                assert batch.units == pytest.approx(batch.litres / card.unit_l)
        for mix, litres in made.schedule.sessions[-1].left_l.items():
            assert litres < made.blending.cards[mix].unit_l


@pytest.mark.parametrize("vessel_l", VESSELS_L)
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_what_is_brought_is_bought_or_had_with_any_vessel(path: Path, vessel_l: float) -> None:
    """The list covers the sessions, however large the batches."""
    check_brought(season(path, vessel_l))
