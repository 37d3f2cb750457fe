"""The demand and the season as the terminal shows them."""

from __future__ import annotations

import pytest

from rootroom.demand.find import find_demand
from rootroom.sheets.answers.demand import demand_text
from rootroom.sheets.answers.season import season_text
from rootroom.sheets.layout import fitted_table
from rootroom.sheets.views.demand import check_line
from tests.support import plans
from tests.support.seasons import PLANS, hostile_season, shipped_season


@pytest.mark.parametrize("stem", PLANS)
def test_the_demand_fits_80_columns(stem: str) -> None:
    """No line of any shipped plan's demand is longer than the terminal."""
    season = shipped_season(stem)
    longest = max(demand_text(season.plan, season.demand).splitlines(), key=len)

    assert 80 >= len(longest), longest


@pytest.mark.parametrize("stem", PLANS)
def test_the_season_tells_demand_shopping_and_sessions_in_order(stem: str) -> None:
    """The whole answer is one screen: mixes, shopping, days and doubts, in this order."""
    text = season_text(shipped_season(stem))
    heads = ("blended or bought", "Shopping: ", "plants and beds", "Where the doubt comes from")
    places = [text.index(head) for head in heads]

    assert sorted(places) == places
    assert 80 >= max(map(len, text.splitlines()))
    assert 40 >= len(text.splitlines())


def test_a_table_wraps_names_and_leaves_out_empty_columns() -> None:
    """Words are moved to the next line, none is lost, and a column without a cell goes."""
    rows = [["Fig in the half barrel by the gate", "", "2"]]
    text = fitted_table(("plant", "nothing", "count"), rows, "llr", width=24)

    assert 24 >= max(map(len, text.splitlines()))
    words = text.replace("2", "").split()
    assert ["Fig", "in", "the", "half", "barrel", "by", "the", "gate"] == words[2:]
    assert "nothing" not in text


def test_hostile_names_stay_on_their_lines() -> None:
    """Names of 500 characters are cut, and no line grows beyond the terminal."""
    season = hostile_season()
    text = demand_text(season.plan, season.demand)

    assert "<script>alert(1)" in text
    assert 80 >= max(map(len, text.splitlines()))


@pytest.mark.worked
def test_the_line_to_check_against_memory() -> None:
    """A 50 L bag pots on as many as 50 L over the mix of one pot."""
    # Place 10 - 2 = 8 L, packing 1.15, spill 2 %: 9.384 L a pot; 50 / 9.384 = 5.33 -> about 5.
    small, large = plans.pot("P", 2.0), plans.pot("Q", 10.0)
    plan = plans.plan(
        [plans.group("Bay", 4, plans.move(small, large))], [plans.mix("tree", {"peat": 1})]
    )

    line = check_line(plan, find_demand(plan))

    assert "one 50 L bag of tree pots on about 5 of these: Bay, P to Q" == line


@pytest.mark.worked
def test_a_pot_that_takes_more_than_a_bag_is_told_in_bags() -> None:
    """Where one pot takes more than a bag, the line says how many bags one pot takes."""
    # Place 100 - 2 = 98 L, packing 1.15, spill 2 %: 114.954 L; over 50 L: 2.3 -> 2½ bags.
    small, large = plans.pot("P", 2.0), plans.pot("Q", 100.0)
    plan = plans.plan(
        [plans.group("Palm", 1, plans.move(small, large))], [plans.mix("tree", {"peat": 1})]
    )

    line = check_line(plan, find_demand(plan))

    assert "one of these takes about 2½ 50 L bags of tree: Palm, P to Q" == line


@pytest.mark.worked
def test_a_long_list_stays_short_and_adds_alike_rows() -> None:
    """Thousands of rows become one row for each way from container to container."""
    small, large = plans.pot("P", 2.0), plans.pot("Q", 10.0)
    groups = [
        plans.group(f"Row {n}", 2, plans.move(small, large, opens=plans.FIRST)) for n in range(3000)
    ]
    plan = plans.plan(groups, [plans.mix("tree", {"peat": 1})])

    text = demand_text(plan, find_demand(plan))

    # 3000 rows of 2 plants, 9.384 L each: 56304 L, printed as 56.3 m³.
    row = next(line.split() for line in text.splitlines() if line.strip().startswith("P to Q"))
    assert ["P", "to", "Q", "6000", "tree", "56.3", "m³", "56.3", "m³"] == row
    assert 40 > len(text.splitlines())


def test_nothing_to_fill_is_said() -> None:
    """A plan that moves nothing into a container says so."""
    plan = plans.plan([plans.group("Kale", 2, plans.move(plans.pot("P", 2.0), place="ground"))])

    assert "No mix is needed" in demand_text(plan, find_demand(plan))
