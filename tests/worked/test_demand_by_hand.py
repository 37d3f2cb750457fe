"""Demand redone by hand: the arithmetic stands in the comments, in the units of the example."""

from __future__ import annotations

import pytest

from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Cone, HalfBarrel
from rootroom.demand.estimates import Estimate
from rootroom.demand.find import Demand, find_demand
from rootroom.demand.quick import bed_question, fill_question, likely_mix_l
from rootroom.demand.why import why
from rootroom.units import Amount, Rate
from tests.support.plans import (
    DOUBTFUL,
    WORKED,
    bed,
    group,
    mix,
    move,
    nothing,
    plan,
    pot,
    tray,
)

pytestmark = pytest.mark.worked

IN = 0.0254
FT = 0.3048
LB_PER_YD3 = 0.45359237 / 764.554857984  # kg per L

# Old round pot 10 in top, 8 in bottom, 9 in high, 1 in headspace: the section 8 in up is
# 8 + 2 x 8/9 = 9.77778 in; pi x 8 / 12 x (8^2 + 8 x 9.77778 + 9.77778^2) = 498.099 in3 = 8.16246 L.
OLD = pot("old pot", Cone(10 * IN, 8 * IN, 9 * IN).volume_l(8 * IN))
# New pot 14 in top, 11 in bottom, 13 in high, 1.5 in headspace: 13.65385 in wide at 11.5 in;
# pi x 11.5 / 12 x (11^2 + 11 x 13.65385 + 13.65385^2) = 1377.746 in3 = 22.57732 L.
NEW = pot("new pot", Cone(14 * IN, 11 * IN, 13 * IN).volume_l(11.5 * IN))
# Half barrel, 24 in rim, 20.5 in bottom, 17 in high, 2 in headspace.
BARREL = pot("half barrel", HalfBarrel(24 * IN, 20.5 * IN, 17 * IN).volume_l(15 * IN))


def likely(found: Demand) -> dict[str, float]:
    """Return the likely litres of every mix and ingredient."""
    return {name: one.likely for name, one in {**found.mixes, **found.ingredients}.items()}


def test_moving_eighteen_plants() -> None:
    """Place, packing and spill, then shrink, parts and lime, as the design's first example."""
    lime = {"lime": Rate(5 * LB_PER_YD3, None)}
    recipe = mix("tree", {"bark": 4, "peat": 3, "perlite": 2}, shrink=0.12, add=lime)
    found = find_demand(plan([group("Fig", 18, move(OLD, NEW))], [recipe]))
    row = found.moves[0]
    assert row.fill_l.likely == pytest.approx(22.57732, abs=5e-6)
    assert row.ball_l.likely == pytest.approx(8.16246, abs=5e-6)
    # 22.57732 - 8.16246 = 14.41486; x 1.15 x 1.02 = 16.90863; x 18 = 304.35536
    assert row.mix_l.likely == pytest.approx(304.35536, abs=5e-6)
    assert likely(found) == pytest.approx(
        # 304.35536 / 0.88 = 345.85836 of loose parts, in ninths
        {"tree": 304.35536, "bark": 153.71483, "peat": 115.28612, "perlite": 76.85741}, abs=5e-6
    )  # fmt: skip
    # 304.35536 L = 0.398082 yd3 of finished mix, x 5 lb = 1.99041 lb = 0.90283 kg
    assert found.additions["lime"].unit == "kg"
    assert found.additions["lime"].amount.likely == pytest.approx(0.90283, abs=5e-6)


def test_refreshing_a_half_barrel() -> None:
    """A third renewed: the ball is two thirds of the fill, whatever the lifted-ball factor."""
    for factors in (WORKED, DOUBTFUL):
        refresh = group("Old fig", 1, move(BARREL, refresh=1 / 3))
        row = find_demand(plan([refresh], [mix("tree", {"bark": 1})], factors=factors)).moves[0]
        assert row.fill_l.likely == pytest.approx(99.85932, abs=5e-6)
        assert row.ball_l.likely == pytest.approx(66.57288, abs=5e-6)
        # 33.28644 x 1.15 x 1.02
        assert row.mix_l.likely == pytest.approx(39.04499, abs=5e-6)
        assert (row.old, row.new) == ("half barrel", "half barrel")


def test_filling_a_bed() -> None:
    """Mix settles and spills, logs do not, and beds are not packed."""
    south = bed(
        "South", 8 * 4 * FT**2, 11 * IN, [("logs", 3 * IN), ("allround", None)],
        already_m=3 * IN, settles=0.10,
    )  # fmt: skip
    found = find_demand(plan([], [mix("allround", {"peat": 1, "sand": 1})], [south]))
    # 32 ft2 = 2.97290 m2; 3 in of it 226.53477 L; 5 in 377.55795 L / 0.9 x 1.02 = 427.89902 L
    assert [(row.of, row.litres.likely) for row in found.beds] == [
        ("logs", pytest.approx(226.53477, abs=5e-6)),
        ("allround", pytest.approx(427.89902, abs=5e-6)),
    ]
    assert likely(found) == pytest.approx(
        {"allround": 427.89902, "peat": 213.94951, "sand": 213.94951, "logs": 226.53477}, abs=5e-6
    )


def test_a_layer_of_mix_with_a_depth_settles_like_any_other() -> None:
    """3 in of one mix under 5 in of another: each is its settled volume / 0.9 x 1.02."""
    south = bed(
        "South", 8 * 4 * FT**2, 8 * IN, [("old", 3 * IN), ("allround", None)], settles=0.10
    )  # fmt: skip
    mixes = [mix("allround", {"peat": 1}), mix("old", {"sand": 1})]
    found = find_demand(plan([], mixes, [south]))
    # 226.53477 / 0.9 x 1.02 = 256.73940; 377.55795 / 0.9 x 1.02 = 427.89902
    assert [(row.of, row.litres.likely) for row in found.beds] == [
        ("old", pytest.approx(256.73940, abs=1e-4)),
        ("allround", pytest.approx(427.89902, abs=5e-6)),
    ]
    passages = why(plan([], mixes, [south]), found, "South").passages
    assert sum("/ (1 - settles)" in repr(one) for one in passages) == 2


def test_a_bed_asked_by_itself() -> None:
    """The quick question for 5 in on 8 x 4 ft agrees with the bed of the plan."""
    answer = bed_question(8 * 4 * FT**2, 5 * IN, WORKED)
    assert answer.fill_l.likely == pytest.approx(377.55795, abs=5e-6)
    assert answer.mix_l.likely == pytest.approx(427.89902, abs=5e-6)
    assert answer.ball_l == Estimate(0.0, 0.0, 0.0, 0.0)


def test_what_a_bed_takes_by_itself_adds_to_what_a_mix_takes_of_it() -> None:
    """100 L of sand under 90 L of half sand: 100 + 90 x 1.02 / 2 = 145.9 L; nothing settles."""
    box = bed("Box", 1.0, 0.19, [("sand", 0.1), ("tree", None)], settles=0.0)
    found = find_demand(plan([], [mix("tree", {"bark": 1, "sand": 1})], [box]))
    assert found.ingredients["sand"].likely == pytest.approx(145.9)


def test_a_container_asked_by_itself() -> None:
    """The quick question for 18 pots agrees with the plan's move."""
    answer = fill_question(NEW, OLD, 18, WORKED)
    assert answer.mix_l.likely == pytest.approx(304.35536, abs=5e-6)
    # Without a ball the whole pot is filled: 22.57732 x 1.173 = 26.48320
    assert fill_question(NEW, None, 1, WORKED).mix_l.likely == pytest.approx(26.48320, abs=5e-6)


def test_plants_that_share_pots() -> None:
    """Pots are rounded up and balls add up: 10 plants in threes are 4 pots and 10 balls."""
    shared = move(pot("P9", 0.5), pot("box", 20.0), per_pot=3)
    # 4 x 20 - 10 x 0.5 = 75; x 1.173 = 87.975
    row = find_demand(plan([group("Thyme", 10, shared)], [mix("tree", {"bark": 1})])).moves[0]
    assert row.mix_l.likely == pytest.approx(87.975)
    assert likely_mix_l(shared, 10, WORKED) == pytest.approx(87.975)


def test_plants_that_leave_a_shared_pot() -> None:
    """Three plants of one pot share its ball: each brings a third of it."""
    apart = move(pot("box", 6.0), pot("C5", 5.0), shared=3)
    # 4 x (5 - 6/3) = 12; x 1.173 = 14.076
    assert likely_mix_l(apart, 4, WORKED) == pytest.approx(14.076)


def test_divided_and_shaved_balls() -> None:
    """A ball of 6 L in three parts, 80 % kept, is 1.6 L a plant."""
    divided = move(pot("C7.5", 6.0), pot("C5", 5.0), into=3, keep_share=0.8)
    row = find_demand(plan([group("Hosta", 4, divided)], [mix("tree", {"bark": 1})])).moves[0]
    # 4 plants become 12; 12 x (5 - 1.6) = 40.8; x 1.173 = 47.8584
    assert (12, pytest.approx(1.6)) == (row.count, row.ball_l.likely)
    assert row.mix_l.likely == pytest.approx(47.8584)


def test_whole_trays_are_filled() -> None:
    """60 seeds in trays of 50 cells of 0.04 L fill two trays: 100 x 0.04 x 1.173 = 4.692 L."""
    sown = move(nothing("seed"), tray(50, 0.04))
    row = find_demand(plan([group("Leek", 60, sown)], [mix("tree", {"peat": 1})])).moves[0]
    assert row.mix_l.likely == pytest.approx(4.692)
    assert row.ball_l.likely == 0.0


def test_spare_cells_take_no_ball() -> None:
    """7 plugs of 0.01 L in trays of 6 cells of 0.1 L: 12 x 0.1 - 7 x 0.01 = 1.13; x 1.173."""
    pricked = move(pot("plug", 0.01), tray(6, 0.1))
    row = find_demand(plan([group("Leek", 7, pricked)], [mix("tree", {"peat": 1})])).moves[0]
    assert row.mix_l.likely == pytest.approx(1.32549)


@pytest.mark.parametrize("none", ["bare root", "cutting", "seed"])
def test_nothing_brings_no_ball(none: str) -> None:
    """Bare roots, cuttings and seeds bring no ball, so the whole pot is filled."""
    row = find_demand(
        plan([group("Rose", 2, move(nothing(none), pot("C4", 4.0)))], [mix("tree", {"bark": 1})])
    ).moves[0]
    # 2 x 4 x 1.173
    assert (0.0, pytest.approx(9.384)) == (row.ball_l.likely, row.mix_l.likely)


def test_mixes_inside_mixes() -> None:
    """Each mix loses its own volume: 90 L of the outer take 100 L loose, half of it the inner."""
    outer = mix("open", {"allround": 1, "perlite": 1}, shrink=0.10)
    inner = mix("allround", {"peat": 3, "compost": 1}, shrink=0.20)
    filled = bed("Box", 0.9, 0.1, [("open", None)], settles=0.0)
    known = plan([], [outer, inner], [filled], factors=WORKED)
    found = likely(find_demand(known))
    # 90 x 1.02 = 91.8 finished; / 0.9 = 102 loose: 51 perlite, 51 inner; / 0.8 = 63.75 loose
    expected = {
        "open": 91.8, "allround": 51.0, "perlite": 51.0, "peat": 47.8125, "compost": 15.9375,
    }  # fmt: skip
    assert found == pytest.approx(expected)


def test_one_ingredient_alone_shrinks_nothing() -> None:
    """A mix of one part takes as many litres of it as it gives, whatever its shrink."""
    leaf = mix("leaf", {"leaf mold": 1}, shrink=0.3)
    found = find_demand(plan([], [leaf], [bed("Box", 1.0, 0.1, [("leaf", None)])]))
    assert found.ingredients["leaf mold"].likely == pytest.approx(found.mixes["leaf"].likely)


def test_additions_by_the_pot() -> None:
    """Two pots of three plants get 30 mL each, and the mix 2 g a litre of finished mix."""
    fed = move(pot("P9", 0.5), pot("box", 10.0), per_pot=3, add={"feed": Amount(None, 0.030)})
    feeding = mix("tree", {"bark": 1}, add={"lime": Rate(0.002, None)})
    found = find_demand(plan([group("Chard", 6, fed)], [feeding]))
    assert ("l", pytest.approx(0.060)) == (
        found.additions["feed"].unit, found.additions["feed"].amount.likely,
    )  # fmt: skip
    # (2 x 10 - 6 x 0.5) x 1.173 = 19.941 L, x 0.002
    assert found.additions["lime"].amount.likely == pytest.approx(0.039882)


def test_tenth_and_ninetieth_percentile_of_a_known_distribution() -> None:
    """A pot of 10 to 20 L, likely 10: the distribution function is 1 - ((20 - x) / 10)^2."""
    # At 10 %: 20 - 10 sqrt(0.9) = 10.51317; at 90 %: 20 - 10 sqrt(0.1) = 16.83772.
    # The likely value 10 lies below the 10th percentile, so the low end is widened to it.
    answer = fill_question(pot("odd", Spread(10, 10, 20)), None, 1, WORKED)
    assert answer.fill_l.low == 10.0
    # 4,000 draws: one standard error of the 90th percentile is 0.05 L here.
    assert answer.fill_l.high == pytest.approx(16.83772, abs=0.15)
