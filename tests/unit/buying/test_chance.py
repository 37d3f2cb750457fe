"""How often the list is enough, against the demand's own share and by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.buying.shop import shop
from rootroom.catalogue.spread import Spread
from rootroom.demand.find import find_demand
from rootroom.demand.needs import common_level, needs_at
from rootroom.plan.model import Plan
from tests.support.buying import pack
from tests.support.plans import DOUBTFUL, bed, group, mix, move, nothing, plan, pot


def a_plan(content: float | Spread) -> Plan:
    """Return a plan whose packs are so small that next to nothing is over."""
    return plan(
        [group("fig", 100, move(nothing(), pot("#3", Spread(9, 10, 11))))],
        [mix("tree", {"peat": 2, "bark": 1}, shrink=Spread(0.05, 0.1, 0.2))],
        [bed("bed", 2.0, 0.2, [("straw", None)])],
        factors=DOUBTFUL,
        supplies=[
            pack(1, "peat", content, 10), pack(2, "bark", 0.01, 10), pack(3, "straw", 0.01, 10),
        ],
    )  # fmt: skip


@pytest.mark.parametrize("sure", [0.5, 0.8, 0.95])
def test_chance_is_counted_over_the_draws(sure: float) -> None:
    """A season is enough if no ingredient runs out in it; never less often than the needs say."""
    one = a_plan(0.01)
    demand = find_demand(one)
    needs = common_level(demand, sure)
    result = shop(one, needs, demand=demand)
    bought = {line.of: line.contents for line in result.lines}
    loose = demand.direct_draws_l["tree"] * demand.loose_draws["tree"]
    enough = (loose * 2 / 3 <= bought["peat"]) & (loose / 3 <= bought["bark"])
    enough &= demand.ingredient_draws_l["straw"] <= bought["straw"]

    assert float(enough.mean()) == result.sure
    assert needs.sure <= result.sure < 1


def test_packs_that_swell_are_drawn_too() -> None:
    """Doubtful bales are counted at the same level, so the list is no less sure than asked."""
    one = a_plan(Spread(0.008, 0.01, 0.012))
    demand = find_demand(one)
    needs = common_level(demand, 0.8)

    assert 0.8 <= shop(one, needs, demand=demand).sure <= 1.0


def test_left_in_the_middle_season() -> None:
    """In the middle season what is left is bought less the median: more than at a high level."""
    one = a_plan(0.01)
    demand = find_demand(one)
    result = shop(one, needs_at(demand, 0.9), demand=demand)
    peat = next(left for left in result.left if left.of == "peat")
    bought = next(line for line in result.lines if line.of == "peat").contents

    assert peat.likely == pytest.approx(bought - demand.ingredients["peat"].median, rel=1e-6)
    assert peat.left < peat.likely


def test_ready_made_is_used_first_in_a_season() -> None:
    """A mix that is bought ready-made alone is enough just when its need is."""
    one = plan(
        [group("fig", 100, move(nothing(), pot("#3", Spread(9, 10, 11))))],
        [mix("tree", {"peat": Fraction(1)}, only="ready")],
        factors=DOUBTFUL,
        supplies=[pack(1, "tree", 0.01, 10, of_kind="mix")],
    )
    demand = find_demand(one)
    needs = needs_at(demand, 0.7)

    assert needs.sure == pytest.approx(shop(one, needs, demand=demand).sure, abs=0.005)
