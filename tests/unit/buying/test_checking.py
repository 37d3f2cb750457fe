"""The independent check sees every rule that a basket breaks."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from rootroom.buying.checker import faults
from rootroom.buying.problem import Basket, Good, Offer, Part, Problem, Recipe, Seller
from rootroom.buying.solve import cheapest

HALF = Fraction(1, 2)
PROBLEM = Problem(
    goods=(
        Good("mix", "mix", "ml", 60_000),
        Good("peat", "ingredient", "ml", 0),
        Good("sand", "ingredient", "ml", 0, stock=40_000),
    ),
    offers=(
        Offer(1, 1, 25_000, ((1, 500),), 0, at_most=2, room_ml=25_000, loose_ml=25_000),
        Offer(2, 0, 20_000, ((1, 900),), 1, room_ml=20_000, loose_ml=20_000),
    ),
    sellers=(
        Seller("Mill", trip_cents=600, carries_ml=30_000),
        Seller("Yard", delivery_cents=900, least_ml=20_000),
    ),
    recipes=(
        Recipe(
            0,
            Fraction(1),
            (Part(1, HALF), Part(2, HALF)),
            ((HALF, HALF), (Fraction(2, 5), Fraction(3, 5))),
        ),
    ),
)
GOOD = Basket(
    packs=(1, 1),
    trips=(1, 0),
    delivered=(False, True),
    blended=(Fraction(50_000),),
    ready=(Fraction(10_000),),
    parts=((Fraction(25_000), Fraction(25_000)),),
)


def test_a_basket_that_keeps_all_rules() -> None:
    """A basket worked out by hand has no faults, and so has the one that the solver finds."""
    best = cheapest(PROBLEM, seconds=10).basket

    assert [] == faults(PROBLEM, GOOD)
    assert best is not None
    assert [] == faults(PROBLEM, best)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"packs": (3, 1), "trips": (3, 0)}, "supply 1: 3 packs, at most 2"),
        ({"packs": (-1, 1)}, "supply 1: -1 packs"),
        ({"packs": (1, 0)}, "mix: 10000 wanted, 0 there"),
        ({"packs": (0, 1)}, "peat: 25000 wanted, 0 there"),
        ({"trips": (0, 0)}, "Mill: nothing fetches the goods"),
        ({"packs": (2, 1)}, "Mill: 50000 ml does not fit 1 trips"),
        ({"delivered": (False, False)}, "Yard: nothing fetches the goods"),
        ({"delivered": (True, True)}, "Mill: does not deliver"),
        ({"ready": (Fraction(9_999),)}, "mix: blended and ready-made are not the 60000 needed"),
        ({"parts": ((Fraction(25_000), Fraction(24_999)),)}, "mix: parts do not sum to 50000"),
        (
            {"parts": ((Fraction(19_999), Fraction(30_001)),)},
            "mix: (Fraction(19999, 1), Fraction(30001, 1)) is none of its recipes",
        ),
    ],
)
def test_every_broken_rule_is_named(change: dict[str, Any], expected: str) -> None:
    """One change at a time, each found."""
    assert expected in faults(PROBLEM, evolve(GOOD, **change))


def test_a_least_delivery_that_is_not_reached() -> None:
    """A delivery below its least is a fault."""
    sellers = (PROBLEM.sellers[0], evolve(PROBLEM.sellers[1], least_ml=20_001))

    assert ["Yard: 20000 ml is below the least delivery"] == faults(
        evolve(PROBLEM, sellers=sellers), GOOD
    )


def test_a_need_that_one_pack_misses_by_a_hair() -> None:
    """What is short by a millionth of a millilitre is short."""
    goods = list(PROBLEM.goods)
    goods[2] = evolve(goods[2], stock=25_000 - Fraction(1, 10**6))

    assert 1 == len(faults(evolve(PROBLEM, goods=tuple(goods)), GOOD))
