"""What cannot be had is named, with the smallest change that would do."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from rootroom.buying.shop import shop
from rootroom.buying.shopping import Change, Shopping
from tests.support.buying import heap, needs, pack, packs, peat, pieces, selling, supplier
from tests.support.plans import mix


@pytest.mark.parametrize(
    ("supplies", "without", "missing", "change"),
    [
        ([pack(1, "peat", 10, 500, at_most=2)], frozenset(), 15.0, Change("at_most", 1, 2, 4)),
        ([heap(1, "peat", 20)], frozenset(), 15.0, Change("have", 1, amount=15.0)),
        ([pack(1, "peat", 10, None, on_hand=Fraction(2))], frozenset(), 15.0,
         Change("price", 1, amount=15.0)),
        ([pack(1, "peat", 10, 500, supplier="Mill")], frozenset({"Mill"}), 35.0,
         Change("without", 1, source="Mill")),
    ],
)  # fmt: skip
def test_error_what_cannot_be_had_is_named(
    supplies: list[Any], without: frozenset[str], missing: float, change: Change
) -> None:
    """Which good, how much, what for, by when, and the smallest change that would do."""
    result = shop(
        selling(*supplies, suppliers=[supplier("Mill")]),
        peat(35),
        without=without,
        due={"peat": date(2027, 4, 3)},
    )

    assert "infeasible" == result.status
    short = result.short[0]
    assert ("peat", "l", 35.0, missing, date(2027, 4, 3)) == (
        short.of, short.unit, short.need, short.missing, short.by,
    )  # fmt: skip
    assert change == short.change


def test_error_change_does_and_a_smaller_one_does_not() -> None:
    """With the change named the list is whole; with a pack less it is not."""

    def with_limit(most: int) -> Shopping:
        return shop(selling(pack(1, "peat", 10, 500, at_most=most)), peat(35))

    then = with_limit(2).short[0].change.then

    assert "optimal" == with_limit(then).status
    assert "infeasible" == with_limit(then - 1).status


def test_error_least_order_that_its_limits_never_reach() -> None:
    """A delivery whose only supply is limited below the least order cannot be had."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(100))
    bulk = pack(1, "peat", 10, 100, supplier="Yard", at_most=5)
    result = shop(selling(bulk, suppliers=[yard]), peat(30))

    assert "infeasible" == result.status
    assert ("peat", 30.0) == (result.short[0].of, result.short[0].missing)
    assert Change("at_most", 1, 5, 10) == result.short[0].change


def test_error_least_order_that_pots_never_make() -> None:
    """A least order goes by litres, and pots have none: nothing but a larger order would do."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(100))
    pots = pieces(1, "#3", 1, 100, supplier="Yard")
    result = shop(selling(pots, suppliers=[yard]), needs(), containers={"#3": 4})

    assert Change("least", 1, amount=100.0, source="Yard") == result.short[0].change


def test_the_rest_is_bought_when_something_is_missing() -> None:
    """What can be had is bought, so that a season goes on."""
    one = selling(pack(1, "peat", 10, 500, at_most=2), pack(2, "sand", 10, 300))
    result = shop(one, needs(ingredients_l={"peat": 35, "sand": 10}))

    assert {1: 2, 2: 1} == packs(result)
    assert 1300 == result.cost_cents


def test_what_is_missing_is_told_exactly() -> None:
    """3.001 L of 2:1 are 2000 2/3 and 1000 1/3 ml; 2 L and 1 L are sold, and nothing is left.

    Missing in whole millilitres would seem to leave the rest of each over.
    """
    one = mix("m", {"peat": 2, "sand": 1})
    supplies = [pack(1, "peat", 1, 500, at_most=2), pack(2, "sand", 1, 300, at_most=1)]
    result = shop(selling(*supplies, mixes=[one]), needs({"m": 3.001}))

    assert {"peat": 0.0, "sand": 0.0} == result.left_l
    assert {"peat": pytest.approx(2e-3 / 3), "sand": pytest.approx(1e-3 / 3)} == {
        short.of: short.missing for short in result.short
    }
    assert ("infeasible", 1300) == (result.status, result.cost_cents)


def test_recipe_is_not_bent_for_what_cannot_be_had_either_way() -> None:
    """Both parts come out of own heaps that lack 40 L together: half of it each, as planned."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 10))
    result = shop(selling(heap(1, "peat", 30), heap(2, "sand", 30), mixes=[one]), needs({"m": 100}))

    assert {"peat": 20.0, "sand": 20.0} == {short.of: short.missing for short in result.short}
    assert not result.made["m"].bent


def test_recipe_is_bent_where_less_is_missing_for_it() -> None:
    """Peat runs out and sand does not: the least share of peat leaves least of it missing."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 10))
    result = shop(
        selling(heap(1, "peat", 30), pack(2, "sand", 60, 500), mixes=[one]), needs({"m": 100})
    )

    assert {"peat": 15.0} == {short.of: short.missing for short in result.short}
    assert {2: 1} == packs(result)
