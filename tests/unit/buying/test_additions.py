"""What is put into mixes and pots: counted by demand, bought, told what for, and drawn alike."""

from __future__ import annotations

from fractions import Fraction

import pytest
from attrs import evolve

from rootroom.buying.checker import faults
from rootroom.buying.problem import Good, Offer, Problem
from rootroom.buying.shop import shop
from rootroom.buying.solve import cheapest
from rootroom.catalogue.spread import Spread
from rootroom.demand.find import find_demand
from rootroom.demand.needs import common_level, needs_at
from rootroom.units import Amount, Rate
from tests.support.buying import needs, pack, sack
from tests.support.plans import DOUBTFUL, group, mix, move, nothing, plan, pot

LIME = Rate(0.003, None)


def test_additions_go_into_bagged_mix() -> None:
    """A mix without parts comes out of bags; 3 g/L into 100 L is 300 g, bought and told why."""
    one = plan(
        mixes=[mix("bagged", {}, add={"lime": LIME})],
        supplies=[pack(1, "bagged", 40, 800, of_kind="mix"), sack(2, "lime", 0.25, 300)],
    )
    result = shop(one, needs({"bagged": 100}))

    assert [(1, 3, 100.0), (2, 2, 0.3)] == [
        (line.supply, line.packs, line.need) for line in result.lines
    ]
    assert ("optimal", 3000) == (result.status, result.cost_cents)
    assert [("lime", "mix bagged", 0.3)] == [
        (why.of, why.use, why.amount) for why in result.why if why.of == "lime"
    ]


def test_additions_follow_bagged_mix_into_other_mixes() -> None:
    """Bagged mix that is a part takes its additions along, as much as the bent recipe uses.

    100 L of bagged and sand 1:1, bent by a tenth to 55 L of bagged in one pack: 165 g of lime.
    """
    outer = mix("outer", {"bagged": 1, "sand": 1}, flex=Fraction(1, 10))
    one = plan(
        mixes=[mix("bagged", {}, add={"lime": LIME}), outer],
        supplies=[
            pack(1, "bagged", 55, 800, of_kind="mix"), pack(2, "sand", 45, 500),
            sack(3, "lime", 0.165, 300),
        ],
    )  # fmt: skip
    result = shop(one, needs({"outer": 100}))

    assert {1: 1, 2: 1, 3: 1} == {line.supply: line.packs for line in result.lines}
    assert {"outer": (100.0, 0.0), "bagged": (0.0, 55.0)} == {
        name: (made.blended_l, made.ready_l) for name, made in result.made.items()
    }
    # 3 g/L x 55 L / 100 L, at the prices of a pack: 8.00 / 55 + 3.00 / 0.165 x 0.003 a litre.
    own = (Fraction(800, 55) + Fraction(300, 165) * 3) * Fraction(1, 2) + Fraction(500, 45) / 2
    assert own == next(one for one in result.compare if one.mix == "outer").own_cents_per_l


def test_additions_come_with_a_recipe_that_is_bought_ready() -> None:
    """A mix with a recipe that is wanted ready-made comes with its own additions."""
    one = plan(
        mixes=[mix("m", {"peat": 1}, add={"lime": LIME}, only="ready")],
        supplies=[pack(1, "m", 100, 800, of_kind="mix"), sack(2, "lime", 1.0, 300)],
    )

    assert [1] == [line.supply for line in shop(one, needs({"m": 100})).lines]


@pytest.mark.parametrize("parts", [{}, {"peat": 1}])
@pytest.mark.parametrize("only", [None, "ready"])
def test_demand_and_list_agree_on_additions(parts: dict[str, int], only: str | None) -> None:
    """Blended, bagged or wanted ready-made: the list buys what demand counts, at one percentile."""
    one = plan(
        [group("fig", 100, move(nothing(), pot("#3", Spread(9, 10, 11)), mix="m"))],
        [mix("m", parts, add={"lime": LIME}, only=only)],
        factors=DOUBTFUL,
        supplies=[
            pack(1, "m", 10, 900 if parts and not only else 90, of_kind="mix"),
            pack(2, "peat", 10, 100), sack(3, "lime", 0.001, 5),
        ],
    )  # fmt: skip
    demand = find_demand(one)
    result = shop(one, needs_at(demand, 0.9), demand=demand)
    bought = [line.need for line in result.lines if line.of == "lime"]
    counted = demand.additions.get("lime")

    assert ([] if counted is None else [pytest.approx(counted.amount.high)]) == bought
    if counted is not None:
        lime = next(left for left in result.left if left.of == "lime")
        assert bought[0] - counted.amount.median == pytest.approx(lime.likely, abs=0.001)


def test_list_is_no_surer_than_its_additions() -> None:
    """With mix to spare in every season the lime alone decides how often the list is enough."""
    one = plan(
        [group("fig", 100, move(nothing(), pot("#3", Spread(9, 10, 11)), mix="bagged"))],
        [mix("bagged", {}, add={"lime": LIME})],
        factors=DOUBTFUL,
        supplies=[pack(1, "bagged", 9000, 90, of_kind="mix"), sack(2, "lime", 1e-6, 1)],
    )
    demand = find_demand(one)
    wanted = common_level(demand, 0.8)
    result = shop(one, wanted, demand=demand)
    lime = next(line.contents for line in result.lines if line.of == "lime")
    enough = demand.direct_draws_l["bagged"] * 0.003 <= lime

    assert float(enough.mean()) == result.sure
    assert 0.8 <= result.sure < 0.81


def test_pots_are_given_what_is_a_part_too() -> None:
    """What a mix holds and pots are given as well is one good, and both uses are drawn.

    100 pots of 10 L, known exactly, x packing 1.15 x spill 1.02 = 1173 L, half of it castings
    (586.5 L), and 1 L in each pot: 686.5 L, of which 690 L are bought and 3.5 L left.
    """
    to = move(nothing(), pot("#3", 10), mix="m", add={"castings": Amount(None, 1.0)})
    one = plan(
        [group("fig", 100, to)],
        [mix("m", {"castings": 1, "bark": 1})],
        supplies=[pack(1, "castings", 10, 500), pack(2, "bark", 10, 300)],
    )
    demand = find_demand(one)
    result = shop(one, needs_at(demand, 0.9), demand=demand)
    castings = next(left for left in result.left if left.of == "castings")

    assert 69 == result.lines[0].packs
    assert (pytest.approx(3.5), pytest.approx(3.5)) == (castings.left, castings.likely)


def test_additions_go_by_the_finished_mix() -> None:
    """3 g/L of 100 L finished mix is 300 g; the 125 L of its parts do not count."""
    one = plan(
        mixes=[mix("m", {"peat": 1}, add={"lime": LIME})],
        supplies=[pack(1, "peat", 125, 700), sack(2, "lime", 1.0, 300)],
    )
    result = shop(one, needs({"m": 100}, loose_per_l={"m": 1.25}))

    assert {1: 1, 2: 1} == {line.supply: line.packs for line in result.lines}
    assert pytest.approx(0.3) == result.lines[1].need
    assert "lime" not in result.left_l


def test_addition_by_spoon_from_a_sack_by_mass() -> None:
    """Two litres by the spoon weigh what the sack's own figures say: 1.6 kg, two sacks of one."""
    feed = sack(1, "feed", 1.0, 300, loose_l=Spread.exactly(1.25))
    result = shop(plan(supplies=[feed]), needs(additions_l={"feed": 2.0}))

    assert {1: 2} == {line.supply: line.packs for line in result.lines}
    assert pytest.approx(1.6) == result.lines[0].need


def test_check_sees_what_was_not_put_in() -> None:
    """A basket without the additions of bagged mix breaks a rule that is told by name."""
    problem = Problem(
        goods=(
            Good("bagged", "mix", "ml", 60_000, adds=((1, Fraction(3)),)),
            Good("lime", "addition", "mg", 0),
        ),
        offers=(Offer(1, 0, 60_000, ((1, 900),)), Offer(2, 1, 200_000, ((1, 300),))),
    )
    basket = cheapest(problem, seconds=10).basket
    assert basket is not None

    assert (1, 1) == basket.packs
    assert [] == faults(problem, basket)
    assert ["lime: 180000 wanted, 0 there"] == faults(problem, evolve(basket, packs=(1, 0)))
