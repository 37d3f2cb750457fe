"""A recipe in whole and half level scoops."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from rootroom.mixing.scoops import largest_copy, most_half_scoops


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
        ((4, 2, 2), 8, (4, 2, 2)),
        ((4, 2, 2), 11, (4, 2, 2)),
        ((4, 2, 2), 12, (6, 3, 3)),
        ((5, 1, 1), 8, (5, 1, 1)),
        (("1/3", "1/3", "1/3"), 10, (3, 3, 3)),
        (("0.5", "0.25", "0.25"), 9, (4, 2, 2)),
        ((1,), 9, (9,)),
    ],
)
def test_the_largest_exact_copy(
    recipe: tuple[int | str, ...], most: int, expected: tuple[int, ...]
) -> None:
    """The recipe is kept exactly wherever a copy of it fits."""
    copy = largest_copy(parts(*recipe), most)
    assert copy is not None
    assert (expected, 0.0) == (copy.halves, copy.error_share)


def nearest_by_trying_all(recipe: list[Fraction], most: int) -> float:
    """Return the least error of any batch over half of `most`, every split tried."""
    shares = [float(part / sum(recipe)) for part in recipe]
    errors = [
        max(abs(n / sum(halves) - s) / s for n, s in zip(halves, shares, strict=True))
        for halves in product(range(1, most + 1), repeat=len(recipe))
        if max(most // 2, len(recipe) - 1) < sum(halves) <= most
    ]
    return min(errors)


@pytest.mark.parametrize("most", range(3, 13))
@pytest.mark.parametrize("recipe", [(37, 21, 42), (7, 3, 2), (50, 49, 1), (11, 13, 17)])
def test_no_other_batch_is_nearer_to_the_recipe(recipe: tuple[int, ...], most: int) -> None:
    """Trying every batch over half of the vessel finds none that is nearer."""
    copy = largest_copy(parts(*recipe), most)
    assert copy is not None
    assert sum(copy.halves) <= most
    assert min(copy.halves) >= 1
    best = nearest_by_trying_all(parts(*recipe), most)
    assert copy.error_share == pytest.approx(best, abs=1e-12)


def test_fewer_half_scoops_than_parts_make_no_batch() -> None:
    """Every part needs its half scoop."""
    assert largest_copy(parts(1, 1, 1), 2) is None


def test_error_parts_that_are_not_positive() -> None:
    """The reader refuses such a recipe; here it is a mistake of the program."""
    with pytest.raises(ValueError, match="parts must be positive, got"):
        largest_copy(parts(1, 0), 4)
    with pytest.raises(ValueError, match="parts must be positive, got"):
        largest_copy([], 4)
