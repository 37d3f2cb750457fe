"""The shopping list against full enumeration, a second solver, and the law of balance."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.buying.checker import faults
from rootroom.buying.problem import Problem
from rootroom.buying.solve import cheapest
from tests.support.buying_cases import best, goods_only, least_missing, nursery, one_mix
from tests.support.second_solver import least_cents

pytestmark = pytest.mark.property


def answer(problem: Problem) -> tuple[int, int, int, int] | None:
    """Return cost, left over, packs and places, after checking what the answer says of itself."""
    bought = cheapest(problem, seconds=60)
    if bought.status == "infeasible":
        return None
    assert bought.status == "optimal"
    assert bought.basket is not None
    assert [] == faults(bought.problem, bought.basket)
    cost = bought.basket.cost_cents(problem)
    assert cost == bought.cost_cents == bought.bound_cents
    packs = bought.basket.packs
    places = sum(n * (place + 1) for place, n in enumerate(packs))
    return cost, bought.basket.left_ml(problem), sum(packs), places


@pytest.mark.parametrize("start", range(0, 250, 50))
def test_goods_as_enumeration(start: int) -> None:
    """Packs, trips, steps and tax: cost, leftover, packs and places as by enumeration."""
    for seed in range(start, start + 50):
        problem = goods_only(seed)

        assert best(problem) == answer(problem), seed


@pytest.mark.parametrize("start", range(0, 250, 50))
def test_mix_as_enumeration(start: int) -> None:
    """Blended, ready-made or both, bent or not: the same as enumeration."""
    for seed in range(start, start + 50):
        problem = one_mix(seed)
        expected, found = best(problem), answer(problem)

        assert (expected and expected[:3]) == (found and found[:3]), seed


def test_what_is_missing_as_enumeration() -> None:
    """Where not all can be had: the least that is missing, and the cheapest list for the rest."""
    tried = 0
    for seed in range(400):
        problem = goods_only(seed)
        if best(problem) is not None:
            continue
        bought = cheapest(problem, seconds=60)
        missing = sum(int(-(-good.missing // 1)) for good in bought.problem.goods)
        tried += 1

        assert least_missing(problem) == (missing, bought.cost_cents), seed
        assert bought.basket is not None
        assert [] == faults(bought.problem, bought.basket)
        assert ("infeasible", bought.cost_cents) == (bought.status, bought.bound_cents)
    assert tried > 50


def test_cases_are_worth_solving() -> None:
    """Enough random problems have an answer, and enough of these bend, mix and fetch."""
    answers = [best(problem) for problem in map(one_mix, range(60))]

    assert 25 < sum(found is not None for found in answers) < 60


def test_bought_and_on_hand_is_used_and_left() -> None:
    """Bought and on hand is used and left, good by good, exactly."""
    for seed in range(250, 300):
        problem = one_mix(seed)
        bought = cheapest(problem, seconds=60)
        if bought.basket is None:
            continue
        used, left = bought.basket.used(problem), bought.basket.left(bought.problem)
        for index, good in enumerate(bought.problem.goods):
            there = good.stock + bought.basket.bought(problem, index) + good.missing

            assert there == used[index] + left[index]
            assert isinstance(left[index], Fraction)


@pytest.mark.parametrize("seed", range(8))
def test_cost_as_a_second_solver(seed: int) -> None:
    """Problems too large to enumerate cost the same by a solver of another kind."""
    problem = nursery(seed, packs=14, ingredients=5, sellers=3, mixes=3)
    cents, proved = least_cents(problem)
    found = answer(problem)

    assert found is not None
    assert proved
    assert cents == found[0]


def test_time_that_runs_out_leaves_a_bound() -> None:
    """An answer that the time limit ended keeps every rule, and says how far off it may be."""
    problem = nursery(3)
    bought = cheapest(problem, seconds=0.02)

    assert "feasible" == bought.status
    assert bought.basket is not None
    assert [] == faults(problem, bought.basket)
    assert bought.bound_cents < bought.cost_cents == bought.basket.cost_cents(problem)
