"""Seasons played out from the first session to the last; many more are in tests/bench."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.support.patience import unhurried
from tests.support.played_seasons import drawn_plan, play

pytestmark = pytest.mark.property

PLANS = sorted((Path(__file__).parents[2] / "plans").glob("*.toml"))


@pytest.mark.parametrize("seed", [2, 4, 2020])
def test_a_season_keeps_its_rules_to_the_end(seed: int, tmp_path: Path) -> None:
    """Done, cut short, rained off and lost: plants and money balance, and no change is silent."""
    chance = Random(seed)
    with unhurried(0.3):
        happened = play(drawn_plan(chance), chance, tmp_path)

    assert happened["held"]


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.stem)
def test_a_shipped_plan_keeps_its_rules_to_the_end(plan: Path, tmp_path: Path) -> None:
    """So do the plans that people start from, beds, ready-made mix and a second person in them."""
    with unhurried(0.3):
        happened = play(plan.read_text("utf-8"), Random(0), tmp_path)

    assert happened["held"]
