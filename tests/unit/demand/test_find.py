"""What the demand answers beside its figures: order, names, laziness, streams."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from attrs import evolve

from rootroom.catalogue.spread import Spread
from rootroom.demand.draws import Streams, quantile, tenth_and_ninetieth
from rootroom.demand.estimates import Estimate
from rootroom.demand.find import Demand, find_demand
from rootroom.demand.quick import likely_mix_l
from rootroom.formulas import triangular
from rootroom.plan.entries import CareStep, Pack, Supply
from rootroom.plan.model import Plan
from rootroom.units import Amount, Rate
from tests.support.plans import DOUBTFUL, HERE, bed, group, mix, move, nothing, plan, pot, tray

P9 = pot("P9", Spread(0.45, 0.5, 0.6))
C5 = pot("C5", Spread(4.5, 5.0, 5.2))


@pytest.fixture
def whole() -> Plan:
    """Return a plan with most kinds of moves, a bed and a nested mix."""
    plugs = tray(50, 0.04)
    groups = [
        group("Kale", 110, move(nothing("seed"), plugs, mix="fine"), move(plugs, P9, number=2)),
        group("Stays", 4, move(C5, refresh=0.25)),
        group("Thyme", 10, move(P9, C5, per_pot=3), move(C5, place="South", number=2, shared=3)),
        group("Mint", 3, move(C5, P9, into=4, keep_share=0.5), move(P9, place="sold", number=2)),
        group("Thyme", 7, move(P9, C5, per_pot=3), move(C5, place="South", number=2, shared=3)),
    ]
    mixes = [
        mix("tree", {"bark": 3, "fine": 1}, shrink=Spread(0.1, 0.15, 0.2)),
        mix("fine", {"peat": 1, "perlite": 1}, add={"lime": Rate(0.003, None)}),
        mix("spare", {"peat": 1}),
    ]
    south = bed("South", 3.0, 0.2, [("logs", 0.05), ("tree", None)], settles=Spread(0.05, 0.1, 0.2))
    return plan(groups, mixes, [south], factors=DOUBTFUL)


def test_moves_are_told_in_the_order_of_the_file(whole: Plan) -> None:
    """Every move of every row stands where its plant stands, one table or a hundred thousand."""
    moves = find_demand(whole).moves
    assert [
        ("Kale", 1, 110, "seed", "50-cell tray"),
        ("Kale", 2, 110, "50-cell tray", "P9"),
        ("Stays", 1, 4, "C5", "C5"),
        ("Thyme", 1, 10, "P9", "C5"),
        ("Thyme", 2, 10, "C5", "South"),
        ("Mint", 1, 12, "C5", "P9"),
        ("Mint", 2, 12, "P9", "sold"),
        ("Thyme", 1, 7, "P9", "C5"),
        ("Thyme", 2, 7, "C5", "South"),
    ] == [(row.plant, row.move, row.count, row.old, row.new) for row in moves]


def test_moves_can_be_asked_for_by_index(whole: Plan) -> None:
    """The lazy table is a sequence like any other."""
    moves = find_demand(whole).moves
    told = list(moves)
    assert len(moves) == len(told) == 9
    assert told == [moves[i] for i in range(9)]
    assert told[-2:] == [moves[-2], moves[-1]] == moves[-2:]
    with pytest.raises(IndexError, match="index must be below 9, got 9"):
        moves[9]


def test_a_plan_without_plants_has_no_moves() -> None:
    """Beds alone make a demand; so does nothing at all."""
    empty = find_demand(plan())
    assert len(empty.moves) == 0
    assert list(empty.moves) == []
    assert (empty.mixes, empty.ingredients, empty.additions) == ({}, {}, {})


def test_a_place_without_mix_takes_none(whole: Plan) -> None:
    """Planting out brings the ball along and takes nothing from the heap."""
    planted = find_demand(whole).moves[4]
    assert planted.mix is None
    nothing_l = Estimate(0.0, 0.0, 0.0, 0.0)
    assert (nothing_l, nothing_l) == (planted.fill_l, planted.mix_l)
    # A third of a shared 5 L pot, at 0.92 of its fill.
    assert planted.ball_l.likely == pytest.approx(5 / 3 * 0.92)


def test_likely_figures_add_up(whole: Plan) -> None:
    """Moves and beds of a mix, and what other mixes take of it, come to its total."""
    found = find_demand(whole)
    tree = sum(row.mix_l.likely for row in found.moves if row.mix == "tree")
    tree += sum(row.litres.likely for row in found.beds if row.of == "tree")
    assert found.mixes["tree"].likely == pytest.approx(tree)
    fine = sum(row.mix_l.likely for row in found.moves if row.mix == "fine")
    assert found.mixes["fine"].likely == pytest.approx(fine + tree / 0.85 / 4)


def test_a_mix_that_nothing_takes_is_left_out(whole: Plan) -> None:
    """Mixes and ingredients stand in the order of the file, unused ones not at all."""
    found = find_demand(whole)
    assert ["tree", "fine"] == list(found.mixes)
    assert ["bark", "peat", "perlite", "logs"] == list(found.ingredients)


def test_a_mix_wanted_ready_made_takes_no_ingredients() -> None:
    """`only = "ready"` sets the recipe aside: the mix is counted, its parts and lime are not."""
    ready = mix("tree", {"bark": 2, "peat": 1}, shrink=0.2, add={"lime": Rate(0.002, None)})
    found = find_demand(plan([group("Fig", 2, move(nothing(), C5))], [evolve(ready, only="ready")]))
    assert ["tree"] == list(found.mixes)
    assert (found.ingredients, found.additions) == ({}, {})
    assert found.loose_draws["tree"].tolist() == [1.0] * found.draws


def test_every_range_holds_its_likely_value(whole: Plan) -> None:
    """Low and high are widened where the likely value lies outside the two percentiles."""
    for one in _estimates(find_demand(whole)):
        assert one.low <= one.likely <= one.high


def test_low_and_high_are_the_tenth_and_ninetieth_percentile(whole: Plan) -> None:
    """A group's percentiles are numpy's own, of draws made here from the factors alone."""
    found = find_demand(whole, draws=500)
    streams = Streams(500)
    old = streams.draw("fill of P9", P9.fill_l)
    new = streams.draw("fill of C5", C5.fill_l)
    ball = streams.draw("ball", DOUBTFUL.ball)
    firmed = streams.draw("packing", DOUBTFUL.packing) * (1 + streams.draw("spill", DOUBTFUL.spill))
    # 10 plants in threes: three full pots and one with a single ball.
    drawn = (3 * (new - 3 * old * ball) + (new - old * ball)) * firmed
    low, high = np.percentile(drawn, [10, 90])
    assert found.moves[3].mix_l.low == pytest.approx(low, rel=1e-12)
    assert found.moves[3].mix_l.high == pytest.approx(high, rel=1e-12)


def test_a_ball_bigger_than_the_pot_counts_as_no_place_in_a_draw() -> None:
    """A draw without place adds nothing, and takes nothing from other pots."""
    squeezed = move(pot("old", Spread(1, 5, 9)), pot("new", 6.0))
    tight = plan([group("Bay", 1, squeezed)], [mix("tree", {"a": 1})])
    found = find_demand(tight)
    assert found.moves[0].mix_l.low == 0.0
    assert float(found.direct_draws_l["tree"].min()) == 0.0


def test_sessions_count_the_same_mix_as_the_demand(whole: Plan) -> None:
    """The mix of some plants of a move is that of a group of so many."""
    rows = iter(find_demand(whole).moves)
    for plants in whole.plants:
        for step, count in zip(plants.kind.moves, plants.counts, strict=True):
            expected = next(rows).mix_l.likely
            assert likely_mix_l(step, count, whole.factors) == pytest.approx(expected, abs=1e-12)
    assert likely_mix_l(whole.plants[0].kind.moves[0], 0, whole.factors) == 0.0


def test_an_addition_given_both_ways_counts_by_mass() -> None:
    """Spoons for the pots and kilograms for the mix become kilograms by the plan's own density."""
    feed = Supply(
        1, "feed", "addition", HERE, Pack("5 kg", kilograms=Fraction(5)),
        loose_l=Spread.exactly(4.0), mass_kg=5.0,
    )  # fmt: skip
    fed = move(nothing(), C5, add={"feed": Amount(None, 0.04)})
    rich = mix("tree", {"bark": 1}, add={"feed": Rate(0.001, None)})
    found = find_demand(plan([group("Chard", 2, fed)], [rich], supplies=[feed])).additions["feed"]
    # 2 x 0.04 L x 1.25 kg/L = 0.1 kg; 2 x 5 L x 1.173 x 0.001 = 0.01173 kg
    assert ("kg", pytest.approx(0.11173)) == (found.unit, found.amount.likely)
    # Pots are counted, so the drawn seasons lie as near as the 0.01173 kg of the mix lets them.
    assert found.amount.low == pytest.approx(found.amount.high, abs=0.003)


def test_aftercare_that_names_no_amount_takes_nothing() -> None:
    """A feed without an amount is told when it is due, and adds nothing to buy."""
    fed = move(nothing(), C5, care=(CareStep("feed", 7, of="feed"),))
    assert find_demand(plan([group("Chard", 2, fed)], [mix("tree", {"bark": 1})])).additions == {}


def test_error_an_addition_given_both_ways_without_a_density() -> None:
    """The reader refuses such a plan, so reaching this is a mistake of the program."""
    fed = move(nothing(), C5, add={"feed": Amount(None, 0.04)})
    rich = mix("tree", {"bark": 1}, add={"feed": Rate(0.001, None)})
    with pytest.raises(ValueError, match="'feed' is given by mass and by volume"):
        find_demand(plan([group("Chard", 2, fed)], [rich]))


def test_streams_depend_on_the_name_alone() -> None:
    """A factor has the same draws whatever was drawn before it."""
    first, second = Streams(8), Streams(8)
    first.uniform("packing")
    assert first.uniform("ball").tolist() == second.uniform("ball").tolist()
    assert first.uniform("ball").tolist() != second.uniform("packing").tolist()


def test_triangular_quantiles_are_those_of_a_reference_library() -> None:
    """The inverse of the distribution function agrees with scipy's."""
    from scipy.stats import triang

    uniform = np.linspace(0, 1, 101)
    for low, likely, high in [(0.8, 0.92, 1.0), (0.0, 0.0, 0.05), (1.0, 2.0, 2.0)]:
        width = high - low
        expected = triang.ppf(uniform, (likely - low) / width, loc=low, scale=width)
        found = triangular(uniform, low, likely, high)
        assert found == pytest.approx(expected, abs=1e-12)


def test_percentiles_are_those_of_a_reference_library() -> None:
    """Linear between neighbours, along the last axis, as numpy's percentile."""
    draws = Streams(37).uniform("anything").reshape(1, 37)
    low, high = tenth_and_ninetieth(draws)
    assert [low[0], high[0]] == pytest.approx(np.percentile(draws[0], [10, 90]))
    assert quantile(np.sort(draws[0]), 0.63) == pytest.approx(np.percentile(draws[0], 63))
    assert [0.5, 0.5] == [float(x) for x in tenth_and_ninetieth(np.array([0.5]))]


def _estimates(found: Demand) -> list[Estimate]:
    moves = [one for row in found.moves for one in (row.fill_l, row.ball_l, row.mix_l)]
    beds = [row.litres for row in found.beds]
    additions = [one.amount for one in found.additions.values()]
    return [*moves, *beds, *additions, *found.mixes.values(), *found.ingredients.values()]
