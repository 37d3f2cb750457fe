"""Sessions and shopping list agree: what is bought ready-made is not blended."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.season import Season, make_season
from tests.support.seasons import season_of as drawn_season
from tests.support.small_plans import small_plan

PLAN = """\
format = 1
plants = [ {{ name = "Fig", count = 40, now = "#1", to = "#5", mix = "own", from = 2027-03-06, by = 2027-03-28 }} ]
supplies = [
  {{ of = "peat", pack = "3 cu ft", swells = 1, price = {peat}, from = "Shop" }},
  {{ of = "perlite", pack = "4 cu ft", swells = 1, price = 30.00, from = "Shop" }},
  {{ of = "own", pack = "2 cu ft", price = {ready}, from = "Shop", at_most = {most} }},
  {{ of = "#5", pack = 1, price = 1.00, from = "Shop" }},
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-03-28
hours = 3
[mixes.own]
parts = {{ peat = 3, perlite = 1 }}
"""  # noqa: E501


def season_of(tmp_path: Path, **prices: object) -> Season:
    """Return the season of an invented plan with these prices."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN.format(**prices))
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return make_season(plan)


def blended_l(season: Season) -> float:
    """Return the litres blended in all sessions."""
    return sum(batch.litres for one in season.schedule.sessions for batch in one.batches)


def bagged_l(season: Season) -> float:
    """Return the litres out of bags in all sessions."""
    return sum(litres for one in season.schedule.sessions for litres in one.bring.ready_l.values())


def test_dear_ready_made_mix_is_blended(tmp_path: Path) -> None:
    """Where blending is cheaper no session opens a bag of ready-made mix."""
    season = season_of(tmp_path, peat="15.00", ready="60.00", most=50)

    assert 0.0 == bagged_l(season)
    assert blended_l(season) >= season.demand.mixes["own"].median


def test_cheap_ready_made_mix_is_not_blended(tmp_path: Path) -> None:
    """Where ready-made mix is cheaper nothing is blended, and its bags are the whole demand."""
    season = season_of(tmp_path, peat="55.00", ready="6.00", most=50)

    assert 0.0 == blended_l(season)
    assert season.demand.mixes["own"].median == pytest.approx(bagged_l(season), rel=1e-3)


def test_some_of_each_shares_the_need(tmp_path: Path) -> None:
    """Where only a few bags can be had the rest is blended."""
    season = season_of(tmp_path, peat="55.00", ready="6.00", most=4)
    how = season.shopping.made["own"]
    share = how.ready_l / (how.ready_l + how.blended_l)
    median = season.demand.mixes["own"].median

    assert 0.0 < share < 1.0
    assert share * median == pytest.approx(bagged_l(season), rel=1e-2)
    assert blended_l(season) + bagged_l(season) >= median - 1e-3
    assert season.schedule.sessions[0].batches


def test_what_is_fetched_is_enough_for_all_sessions(tmp_path: Path) -> None:
    """The first evening that fetches a good fetches what every session of the season uses of it."""
    season = season_of(tmp_path, peat="15.00", ready="60.00", most=50)
    fetched: dict[str, float] = {}
    for session in season.schedule.sessions:
        for step in session.before:
            if step.kind == "fetch":
                assert step.name not in fetched
                fetched[step.name] = step.amount

    assert len(season.schedule.sessions) > 1
    assert 40 == fetched["#5"]
    for part in ("peat", "perlite"):
        used = sum(one.bring.ingredients_l.get(part, 0.0) for one in season.schedule.sessions)
        assert used == pytest.approx(fetched[part])


def test_a_recipe_that_stands_fixed_is_told_as_bent(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where list and days go round in a circle the recipe is fixed, and still not the plan's."""
    monkeypatch.setattr("rootroom.season._with_own_recipes", lambda _, agreed: agreed)
    made = drawn_season(small_plan(300, "vessel")).shopping.made["plain"]
    assert made.bent
    assert [part.planned_share * 5 for part in made.parts] == [1, 1, 3]
