"""The buying problem once more, for another solver library, written from its rules alone.

CP-SAT (OR-Tools, Apache-2.0) works in integers throughout, so volumes are whole millilitres here
and a part may be off by one of them.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm
from typing import Any

import pytest

from rootroom.buying.problem import Problem

MOST_PACKS = 200
MOST_ML = 20_000_000


def least_cents(problem: Problem, *, seconds: float = 60.0) -> tuple[int, bool]:
    """Return the least cost [cents] and whether it was proved."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    model = cp_model.CpModel()
    packs = [
        model.new_int_var(0, MOST_PACKS if o.at_most is None else o.at_most, f"packs {i}")
        for i, o in enumerate(problem.offers)
    ]
    _volumes(problem, model, packs)
    costs = [_goods_cents(model, packs[i], o.prices) for i, o in enumerate(problem.offers)]
    total = sum(costs)
    for number in range(len(problem.sellers)):
        total += _seller_cents(problem, model, number, packs, costs)
    model.minimize(total)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    return round(solver.objective_value), status == cp_model.OPTIMAL


def _by_choice(model: Any, blended: Any, count: int) -> list[Any]:
    """Return what is blended by each recipe, of which only one may."""
    amounts = [model.new_int_var(0, MOST_ML, "by") for _ in range(count)]
    chosen = [model.new_bool_var("chosen") for _ in range(count)]
    for amount, one in zip(amounts, chosen, strict=True):
        model.add(amount == 0).only_enforce_if(~one)
    model.add_at_most_one(chosen)
    model.add(blended == sum(amounts))
    return amounts


def _volumes(problem: Problem, model: Any, packs: list[Any]) -> None:
    used: list[Any] = [int(good.need) for good in problem.goods]
    ready = {}
    for number, recipe in enumerate(problem.recipes):
        blended = model.new_int_var(0, MOST_ML, f"blended {number}")
        by_choice = _by_choice(model, blended, len(recipe.choices))
        ready[recipe.mix] = model.new_int_var(0, MOST_ML, f"ready {number}")
        volumes = []
        for place, part in enumerate(recipe.parts):
            volume = model.new_int_var(0, MOST_ML, f"part {number} {place}")
            volumes.append(volume)
            used[part.good] += volume
            rates = [shares[place] * recipe.loose for shares in recipe.choices]
            under = lcm(*(rate.denominator for rate in rates))
            taken = sum(one * int(rate * under) for one, rate in zip(by_choice, rates, strict=True))
            model.add(volume * under >= taken - under)
        model.add(sum(volumes) * recipe.loose.denominator >= blended * recipe.loose.numerator)
        for good, rate in recipe.adds:
            assert rate.denominator == 1
            used[good] += blended * rate.numerator
        ready[recipe.mix, "blended"] = blended
    for index, bagged in enumerate(problem.goods):
        for good, rate in bagged.adds:
            assert rate.denominator == 1
            used[good] += used[index] * rate.numerator
    for index, good in enumerate(problem.goods):
        there = int(good.stock) + sum(
            packs[i] * int(o.content) for i, o in enumerate(problem.offers) if o.good == index
        )
        if index in ready:
            model.add(ready[index, "blended"] + ready[index] == used[index])
            model.add(there >= ready[index])
        else:
            model.add(there >= used[index])


def _goods_cents(model: Any, count: Any, prices: tuple[tuple[int, int], ...]) -> Any:
    """Return what some packs of an offer cost: the price of the step reached, for all of them."""
    cost = model.new_int_var(0, 10**8, "cost")
    starts = [least for least, _ in prices]
    for step, (least, cents) in enumerate(prices):
        reached = model.new_bool_var("reached")
        last = starts[step + 1] if step + 1 < len(starts) else None
        inside = [model.new_bool_var("above"), model.new_bool_var("below")]
        start = 0 if step == 0 else least
        model.add(count >= start).only_enforce_if(inside[0])
        model.add(count < start).only_enforce_if(~inside[0])
        if last is None:
            model.add(inside[1] == 1)
        else:
            model.add(count < last).only_enforce_if(inside[1])
            model.add(count >= last).only_enforce_if(~inside[1])
        model.add_bool_and(inside).only_enforce_if(reached)
        model.add_bool_or([~one for one in inside]).only_enforce_if(~reached)
        model.add(cost == count * cents).only_enforce_if(reached)
    return cost


def _seller_cents(
    problem: Problem, model: Any, number: int, packs: list[Any], costs: list[Any]
) -> Any:
    seller = problem.sellers[number]
    mine = [i for i, offer in enumerate(problem.offers) if offer.seller == number]
    goods = sum(costs[i] for i in mine)
    tax = model.new_int_var(0, 10**8, "tax")
    share = Fraction(seller.tax)
    under = lcm(2, share.denominator)
    # Half up: the least whole number that is more than the tax less a half.
    model.add(under * tax > goods * (share.numerator * under // share.denominator) - under // 2)
    used = model.new_bool_var("used")
    count = sum(packs[i] for i in mine)
    model.add(count == 0).only_enforce_if(~used)
    loose = sum(packs[i] * int(problem.offers[i].loose_ml) for i in mine)
    room = sum(packs[i] * int(problem.offers[i].room_ml) for i in mine)
    mass = sum(packs[i] * int(problem.offers[i].mass_mg) for i in mine)
    delivered = model.new_bool_var("delivered")
    trips = model.new_int_var(0, 1000, "trips")
    if seller.delivery_cents is None:
        model.add(delivered == 0)
        if seller.least_ml:
            model.add(loose >= int(seller.least_ml)).only_enforce_if(used)
    elif seller.least_ml:
        model.add(loose >= int(seller.least_ml)).only_enforce_if(delivered)
    if seller.trip_cents is None:
        model.add(trips == 0)
        if seller.delivery_cents is not None:
            model.add(delivered == 1).only_enforce_if(used)
        return tax + delivered * (seller.delivery_cents or 0)
    model.add(trips + delivered >= 1).only_enforce_if(used)
    if seller.carries_ml is not None:
        model.add(room <= trips * int(seller.carries_ml)).only_enforce_if(~delivered)
    if seller.carries_mg is not None:
        model.add(mass <= trips * int(seller.carries_mg)).only_enforce_if(~delivered)
    return tax + trips * seller.trip_cents + delivered * (seller.delivery_cents or 0)
