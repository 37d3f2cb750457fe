"""Which whole packs are bought, and which of lists that cost alike."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.buying.shop import shop
from rootroom.catalogue.spread import Spread
from tests.support.buying import heap, needs, pack, packs, peat, pieces, selling
from tests.support.plans import mix, plan

CU_FT = 28.316846592


def test_whole_packs_are_bought() -> None:
    """Ten litres and a bit take two packs of ten."""
    result = shop(selling(pack(1, "peat", 10, 500)), peat(10.1))

    assert ("optimal", {1: 2}, 1000, 1000) == (
        result.status, packs(result), result.cost_cents, result.bound_cents,
    )  # fmt: skip
    assert {"peat": pytest.approx(9.9)} == result.left_l


def test_exact_need_takes_no_pack_more() -> None:
    """Twenty-seven bags of a cubic foot are a cubic yard, though neither is whole millilitres."""
    result = shop(selling(pack(1, "peat", CU_FT, 500)), peat(27 * CU_FT))

    assert {1: 27} == packs(result)
    assert {"peat": 0.0} == result.left_l


def test_what_is_there_is_used_first() -> None:
    """Half a pack and an own heap count before anything is bought."""
    result = shop(
        selling(pack(1, "peat", 10, 500, on_hand=Fraction(1, 2)), heap(2, "peat", 3)), peat(18)
    )

    assert {1: 1} == packs(result)
    assert [(1, Fraction(1, 2), 5.0), (2, None, 3.0)] == [
        (use.supply, use.packs, use.used) for use in result.stock
    ]
    assert 10.0 == result.lines[0].need


def test_nothing_is_bought_when_enough_is_there() -> None:
    """An own heap that is enough leaves nothing to buy."""
    result = shop(selling(heap(1, "peat", 30), pack(2, "peat", 10, 500)), peat(18))

    assert ("optimal", 0, (), {"peat": 12.0}) == (
        result.status, result.cost_cents, result.lines, result.left_l,
    )  # fmt: skip


def test_price_step_counts_for_all_packs() -> None:
    """Three at 4.00 are cheaper than two at 6.50: the step's price holds for all packs."""
    result = shop(selling(pack(1, "peat", 10, 650, more=[(3, 400)])), peat(20))

    assert {1: 3} == packs(result)
    assert (400, 1200) == (result.lines[0].each_cents, result.cost_cents)


def test_equal_cost_leaves_least_over() -> None:
    """Of two packs at one price the one that leaves less is taken, though it comes later."""
    result = shop(selling(pack(1, "peat", 30, 500), pack(2, "peat", 20, 500)), peat(18))

    assert {2: 1} == packs(result)


def test_less_left_over_comes_before_fewer_packs() -> None:
    """Two packs of ten leave 2 L, one of thirty 12 L, at one cost: the two are taken."""
    result = shop(selling(pack(1, "peat", 30, 500), pack(2, "peat", 10, 250)), peat(18))

    assert {2: 2} == packs(result)


def test_fewer_packs_come_before_the_order_of_the_file() -> None:
    """One pack of twenty and two of ten cost and leave alike: the one is taken."""
    result = shop(selling(pack(1, "peat", 10, 250), pack(2, "peat", 20, 500)), peat(18))

    assert {2: 1} == packs(result)


def test_equal_in_all_takes_the_earlier_supply() -> None:
    """Of two supplies alike the one that stands earlier in the file is taken."""
    result = shop(selling(pack(1, "peat", 20, 500), pack(2, "peat", 20, 500)), peat(18))

    assert {1: 1} == packs(result)


def test_containers_are_bought_by_whole_packs() -> None:
    """Fourteen pots are two packs of ten; six are over."""
    result = shop(selling(pieces(1, "#7", 10, 4500)), needs(), containers={"#7": 14})

    assert {1: 2} == packs(result)
    assert [("#7", 6.0)] == [(left.of, left.left) for left in result.left]


def test_swelling_is_counted_at_the_level_from_the_other_end() -> None:
    """At level 0.5 a bale comes to its median; surer, to less, so that it is surely enough."""
    bale = selling(pack(1, "peat", Spread(100, 150, 200), 500))
    middle = shop(bale, needs(ingredients_l={"peat": 10}, level=0.5)).lines[0].contents
    # 1 - level = 0.02 of a triangle from 100 to 200 with its mode at 150: 100 + sqrt(.02*100*50).
    surer = shop(bale, needs(ingredients_l={"peat": 10}, level=0.98)).lines[0].contents

    assert 150.0 == middle
    assert pytest.approx(110.0) == surer


def test_unpriced_is_listed_and_not_counted() -> None:
    """What no supply names has an amount and no price, and stays at its share of the recipe."""
    one = mix("m", {"peat": 1, "bark": 1}, flex=Fraction(1, 2))
    result = shop(selling(pack(1, "peat", 10, 500), mixes=[one]), needs({"m": 100}))

    assert {1: 5} == packs(result)
    assert [("bark", "l", 50.0)] == [(x.of, x.unit, x.left) for x in result.unpriced]
    assert ("optimal", 2500) == (result.status, result.cost_cents)


def test_plan_without_supplies_is_a_list_of_amounts() -> None:
    """A plan that names no supply at all is still answered."""
    result = shop(plan(mixes=[mix("m", {"peat": 1})]), needs({"m": 100}), containers={"#3": 4})

    assert "optimal" == result.status
    assert [("peat", 100.0), ("#3", 4.0)] == [(x.of, x.left) for x in result.unpriced]


def test_same_input_same_answer() -> None:
    """The whole answer repeats, figure by figure."""
    one = mix("m", {"peat": 4, "bark": 2, "sand": 1}, flex=Fraction(1, 10))
    supplies = [
        pack(1, "peat", 107, 1520), pack(2, "bark", 57, 640), pack(3, "bark", 28, 340),
        pack(4, "sand", 14, 210), pack(5, "m", 57, 1230, of_kind="mix"),
    ]  # fmt: skip
    first, second = (shop(selling(*supplies, mixes=[one]), needs({"m": 777})) for _ in range(2))

    assert first == second
