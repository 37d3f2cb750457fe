"""What must be had at a level, and the least common level."""

from __future__ import annotations

import numpy as np
import pytest

from rootroom.catalogue.spread import Spread
from rootroom.demand.estimates import Needs
from rootroom.demand.find import Demand, find_demand
from rootroom.demand.needs import common_level, needs_at
from rootroom.plan.model import Plan
from rootroom.units import Amount, Rate
from tests.support.plans import DOUBTFUL, WORKED, bed, group, mix, move, nothing, plan, pot

A = pot("a", Spread(4.0, 5.0, 7.0))
B = pot("b", Spread(9.0, 10.0, 12.0))


def two_mixes(**more: object) -> Plan:
    """Return two mixes whose only doubts are the volumes of two kinds of pot."""
    groups = [
        group("One", 10, move(nothing(), A, mix="fine")),
        group("Two", 10, move(nothing(), B, mix="coarse", add={"feed": Amount(None, 0.01)})),
    ]
    mixes = [
        mix("fine", {"peat": 1}),
        mix("coarse", {"bark": 2, "peat": 1}, add={"lime": Rate(0.002, None)}),
    ]
    return plan(groups, mixes, factors=WORKED, **more)


def enough_in(demand: Demand, needs: Needs) -> float:
    """Return in which share of the draws the needs are enough, without the code under test."""
    fine, coarse = demand.direct_draws_l["fine"], demand.direct_draws_l["coarse"]
    had_fine, had_coarse = needs.mixes_l["fine"], needs.mixes_l["coarse"]
    peat_had = had_fine + had_coarse / 3
    both = (fine <= had_fine) & (coarse <= had_coarse) & (fine + coarse / 3 <= peat_had)
    return float(both.mean())


def test_needs_are_read_at_their_own_percentile() -> None:
    """Each mix stands at the percentile of its own draws."""
    demand = find_demand(two_mixes())
    needs = needs_at(demand, 0.8)
    for name, litres in needs.mixes_l.items():
        assert litres == pytest.approx(np.percentile(demand.direct_draws_l[name], 80))
    assert needs.sure == pytest.approx(enough_in(demand, needs))


def test_two_independent_mixes_are_both_enough_in_64_percent() -> None:
    """The design's example: each at its own 80th percentile, together 0.8 x 0.8."""
    # One standard error of a share of 4,000 draws is 0.0076.
    assert needs_at(find_demand(two_mixes()), 0.8).sure == pytest.approx(0.64, abs=0.023)


def test_the_common_level_is_the_least_that_is_sure_enough() -> None:
    """One draw less and the share falls below what was asked."""
    demand = find_demand(two_mixes())
    assert demand.draws == 4000
    for sure in (0.5, 0.8, 0.9, 0.99):
        needs = common_level(demand, sure)
        assert needs.sure >= sure
        assert needs.sure == pytest.approx(enough_in(demand, needs))
        assert needs_at(demand, needs.level - 1 / 3999).sure < sure
        assert 3999 * needs.level == pytest.approx(round(3999 * needs.level), abs=1e-6)
        # Two independent needs: the level is near the root of the share.
        assert needs.level == pytest.approx(sure**0.5, abs=0.02)


def test_all_draws_are_covered_by_the_greatest() -> None:
    """To be sure in every draw is to take the greatest of each."""
    demand = find_demand(two_mixes())
    needs = common_level(demand, 1.0)
    assert needs.sure == 1.0
    assert needs.mixes_l["fine"] == pytest.approx(demand.direct_draws_l["fine"].max())


def test_needs_that_nobody_doubts_are_the_likely_ones() -> None:
    """Without a spread every level is the same, and sure."""
    filled = bed("Box", 1.0, 0.2, [("logs", 0.1), ("fine", None)], settles=0.0)
    demand = find_demand(plan([], [mix("fine", {"peat": 1, "sand": 1}, shrink=0.2)], [filled]))
    needs = common_level(demand, 0.9)
    assert (0.9, 1.0) == (needs.level, needs.sure)
    assert {"fine": pytest.approx(102.0)} == needs.mixes_l
    assert {"fine": pytest.approx(1.25)} == needs.loose_per_l
    assert {"logs": pytest.approx(100.0)} == needs.ingredients_l


def test_shrink_is_read_together_with_the_demand() -> None:
    """Loose parts stand at their own percentile, not at that of demand times that of shrink."""
    doubtful = mix("tree", {"bark": 1, "peat": 1}, shrink=Spread(0.1, 0.15, 0.2))
    demand = find_demand(plan([group("One", 5, move(nothing(), A))], [doubtful], factors=DOUBTFUL))
    needs = needs_at(demand, 0.9)
    loose = demand.direct_draws_l["tree"] * demand.loose_draws["tree"]
    had = needs.mixes_l["tree"] * needs.loose_per_l["tree"]
    assert had == pytest.approx(np.percentile(loose, 90))
    shrink_alone = np.percentile(demand.loose_draws["tree"], 90)
    assert needs.loose_per_l["tree"] < shrink_alone


def test_inner_mixes_are_enough_too() -> None:
    """What other mixes take of a mix counts when it is asked whether it is enough."""
    outer = mix("open", {"inner": 1, "perlite": 1}, shrink=Spread(0.05, 0.1, 0.3))
    inner = mix("inner", {"peat": 1, "sand": 2}, shrink=Spread(0.0, 0.1, 0.2))
    groups = [
        group("One", 9, move(nothing(), A, mix="open")),
        group("Two", 4, move(nothing(), B, mix="inner")),
    ]
    demand = find_demand(plan(groups, [outer, inner], factors=DOUBTFUL))
    needs = common_level(demand, 0.9)
    open_l, inner_l = demand.direct_draws_l["open"], demand.direct_draws_l["inner"]
    open_loose = open_l * demand.loose_draws["open"]
    inner_whole = inner_l + open_loose / 2
    had_loose = needs.mixes_l["open"] * needs.loose_per_l["open"]
    had_inner = needs.mixes_l["inner"] + had_loose / 2
    had_inner_loose = had_inner * needs.loose_per_l["inner"]
    enough = (
        (open_l <= needs.mixes_l["open"])
        & (open_loose <= had_loose)
        & (inner_whole <= had_inner)
        & (inner_whole * demand.loose_draws["inner"] <= had_inner_loose)
    )
    assert needs.sure == pytest.approx(enough.mean(), abs=1e-3)
    assert enough.mean() >= 0.9


def test_pots_get_their_additions_whatever_the_level() -> None:
    """Pots are counted, so what they get is not in doubt; rates of mixes are left to buying."""
    needs = needs_at(find_demand(two_mixes()), 0.3)
    assert ({}, {"feed": pytest.approx(0.1)}) == (needs.additions_kg, needs.additions_l)


@pytest.mark.parametrize("level", [-0.01, 1.01, float("nan")])
def test_error_level_outside_0_to_1(level: float) -> None:
    """A level and a share of the draws lie between 0 and 1."""
    demand = find_demand(two_mixes(), draws=10)
    with pytest.raises(ValueError, match="level must lie between 0 and 1, got"):
        needs_at(demand, level)
    with pytest.raises(ValueError, match="sure must lie between 0 and 1, got"):
        common_level(demand, level)


def test_nothing_at_all_may_be_asked_for() -> None:
    """To be sure in no draw is the least of all levels, and no mistake."""
    assert common_level(find_demand(two_mixes()), 0.0).level == 0.0
