"""A recipe in whole and half level scoops."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import gcd

import pytest

from rootroom.mixing.scoops import bent_copies, most_half_scoops, smallest_copy


def parts(*numbers: int | str) -> list[Fraction]:
    """Return the parts of a recipe."""
    return [Fraction(number) for number in numbers]


def test_the_vessel_takes_so_much_once_blended() -> None:
    """A vessel of 70 L and a scoop of 5 L: 28 half scoops, 32 when 12.5 % are lost."""
    assert most_half_scoops(70.0, 5.0, 1.0) == 28
    assert most_half_scoops(70.0, 5.0, 1 / 0.875) == 32


def test_rounding_of_floats_costs_no_half_scoop() -> None:
    """0.7 / 0.1 is a little less than 7 in floats, and 7 scoops still fit."""
    assert most_half_scoops(0.7, 0.2, 1.0) == 7


@pytest.mark.parametrize(
    ("recipe", "most", "expected"),
    [
        ((4, 2, 2), 8, (2, 1, 1)),
        ((5, 1, 1), 8, (5, 1, 1)),
        (("1/3", "1/3", "1/3"), 10, (1, 1, 1)),
        (("0.5", "0.25", "0.25"), 900, (2, 1, 1)),
        ((4, 3, 2), 9, (4, 3, 2)),
        ((1,), 9, (1,)),
    ],
)
def test_the_smallest_exact_copy(
    recipe: tuple[int | str, ...], most: int, expected: tuple[int, ...]
) -> None:
    """A short recipe is kept exactly, in the smallest whole numbers, however big the vessel is."""
    copy = smallest_copy(parts(*recipe), most)
    assert copy is not None
    assert (expected, 0.0) == (copy.halves, copy.error_share)


def error_of(halves: tuple[int, ...], recipe: list[Fraction]) -> float:
    """Return how far the farthest share of some half scoops is off the recipe's."""
    shares = [float(part / sum(recipe)) for part in recipe]
    return max(abs(n / sum(halves) - s) / s for n, s in zip(halves, shares, strict=True))


@pytest.mark.parametrize("most", range(3, 13))
@pytest.mark.parametrize("recipe", [(37, 21, 42), (70, 30, 21), (50, 49, 1), (11, 13, 17)])
def test_no_smaller_copy_is_near_enough(recipe: tuple[int, ...], most: int) -> None:
    """Trying every split: none smaller is within 2 %, and where none is, none is nearer."""
    copy = smallest_copy(parts(*recipe), most)
    assert copy is not None
    assert sum(copy.halves) <= most
    assert copy.error_share == pytest.approx(error_of(copy.halves, parts(*recipe)), abs=1e-12)
    near = copy.error_share <= 0.02
    for halves in product(range(1, most + 1), repeat=len(recipe)):
        if sum(halves) < sum(copy.halves) or (not near and sum(halves) <= most):
            error = error_of(halves, parts(*recipe))
            assert error > 0.02
            assert near or error >= copy.error_share - 1e-9


def test_a_recipe_bends_to_every_small_one_inside_its_bounds() -> None:
    """Every recipe of three parts in 12 half scoops or fewer that is inside the bounds is found."""
    bounds = [(0.45, 0.55), (0.2, 0.3), (0.2, 0.3)]
    every = {
        halves
        for halves in product(range(1, 11), repeat=3)
        if sum(halves) <= 12
        and gcd(*halves) == 1
        and all(
            low - 1e-9 <= n / sum(halves) <= high + 1e-9
            for n, (low, high) in zip(halves, bounds, strict=True)
        )
    }
    found = bent_copies(bounds, 12, limit=1000)

    assert every == set(found)
    assert len(found) == len(every)
    assert found[:1] == bent_copies(bounds, 12, limit=1)


def test_fewer_half_scoops_than_parts_make_no_batch() -> None:
    """Every part needs its half scoop."""
    assert smallest_copy(parts(1, 1, 1), 2) is None


def test_error_parts_that_are_not_positive() -> None:
    """The reader refuses such a recipe; here it is a mistake of the program."""
    with pytest.raises(ValueError, match="parts must be positive, got"):
        smallest_copy(parts(1, 0), 4)
    with pytest.raises(ValueError, match="parts must be positive, got"):
        smallest_copy([], 4)


@pytest.mark.parametrize(("recipe", "expected"), [((11, 13), (11, 13)), ((12, 13), (8, 9))])
def test_a_copy_of_more_than_24_half_scoops_is_rounded(
    recipe: tuple[int, ...], expected: tuple[int, ...]
) -> None:
    """11 + 13 = 24 is still measured out; of 12 + 13, 8 + 9 is off by 1.96 %, the first below 2."""
    copy = smallest_copy(parts(*recipe), 900)
    assert copy is not None
    assert expected == copy.halves


def test_parts_at_their_one_half_scoop_are_made_up_for_by_those_most_above_their_share() -> None:
    """Of 10 half scoops of 1:1:1:37:60, whole parts 1, 1, 1, 3, 6 are two too many.

    6 is not above its 6.0 and 3 is below its 3.7, so one goes off the 60; then 5 is 1.0 below and 3
    is 0.7 below, so the next goes off the 37.
    """
    copy = smallest_copy(parts(1, 1, 1, 37, 60), 10)
    assert copy is not None
    assert (1, 1, 1, 2, 5) == copy.halves


def test_of_two_equal_claims_to_a_half_scoop_the_earlier_part_gets_it() -> None:
    """3:3:1 in 4 half scoops is 1.7, 1.7, 0.6: one each, and the one that is over to the first."""
    copy = smallest_copy(parts(3, 3, 1), 4)
    assert copy is not None
    assert copy.halves == (2, 1, 1)
