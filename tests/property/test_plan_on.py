"""What paper and screen call "plan on" is the middle of the drawn seasons."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.demand.find import find_demand
from rootroom.mixing.blend import blend
from rootroom.plan.reader import read_plan
from rootroom.sessions.formulation import build_work
from tests.support.small_plans import small_plan

PLANS = sorted((Path(__file__).parents[2] / "plans").glob("*.toml"))

pytestmark = pytest.mark.property


TEXTS = [path.read_text("utf-8") for path in PLANS] + [small_plan(seed) for seed in range(24)]


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_plan_on_is_enough_in_one_season_of_two(text: str, tmp_path: Path) -> None:
    """Of every mix and ingredient, what is planned on is enough in 45 to 55 of 100 draws."""
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    plan, _ = read_plan(path)
    assert plan is not None
    demand = find_demand(plan)
    recipes, drawn = demand.recipes, demand.direct_draws_l
    totals = recipes.mixes_l(drawn, demand.loose_draws)
    loose = recipes.ingredients_l(totals, demand.loose_draws, demand.ingredient_draws_l)
    pairs = [(demand.mixes[n].median, totals[n]) for n in totals]
    pairs += [(demand.ingredients[n].median, loose[n]) for n in loose]

    assert pairs
    for median, draws in pairs:
        # A figure that nothing makes doubtful is enough in every season.
        assert draws.min() == draws.max() or 0.45 <= float((draws <= median).mean()) <= 0.55


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_sessions_take_the_median_of_each_mix(path: Path) -> None:
    """The mix of all moves and layers adds up to the median of what plants and beds use."""
    plan, _ = read_plan(path)
    assert plan is not None
    demand = find_demand(plan)
    work = build_work(plan, demand, blend(plan))
    used = dict.fromkeys(work.mixes, 0.0)
    for task in work.problem.tasks:
        if task.mix is not None:
            used[work.mixes[task.mix]] += task.count * task.mix_ml / 1000

    for name, draws in demand.direct_draws_l.items():
        # Each plant's millilitres are rounded up.
        assert float(sorted(draws)[len(draws) // 2]) == pytest.approx(used[name], rel=2e-3)
