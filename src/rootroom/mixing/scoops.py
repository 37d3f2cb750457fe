"""A recipe in whole and half level scoops: the largest copy that a vessel takes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import floor, gcd, lcm

from attrs import frozen

__all__ = ["Scoops", "largest_copy", "most_half_scoops"]

# What is lost in the last digits must not cost a half scoop.
SLACK = 1e-9

WIDEST_SEARCH = 2000
"""How many batch sizes are tried for a recipe whose exact copy does not fit."""


@frozen
class Scoops:
    """A copy of a recipe: half scoops of each part in the order of the recipe.

    `error_share` is how far the farthest part's share of the loose volume is off the recipe's,
    relative to that share; 0 for an exact copy.
    """

    halves: tuple[int, ...]
    error_share: float


def most_half_scoops(vessel_l: float, scoop_l: float, loose_per_l: float) -> int:
    """Return how many half scoops of loose parts come to no more than the vessel when finished.

    `loose_per_l` is the loose volume over the finished volume.
    """
    return floor(vessel_l * loose_per_l / (scoop_l / 2) + SLACK)


def largest_copy(parts: Sequence[Fraction], most: int) -> Scoops | None:
    """Return the largest copy of a recipe in at most `most` half scoops.

    Where an exact copy fits, it is the largest one that does.
    Otherwise it is the batch, of those over half of `most`, that is nearest to the recipe (the
    largest of equals): a smaller one could be doubled.
    None when there are fewer half scoops than parts.
    """
    if not parts or min(parts) <= 0:
        raise ValueError(f"parts must be positive, got {list(parts)!r}")
    if most < len(parts):
        return None
    whole = lcm(*(part.denominator for part in parts))
    ratio = [int(part * whole) for part in parts]
    ratio = [part // gcd(*ratio) for part in ratio]
    if sum(ratio) <= most:
        copies = most // sum(ratio)
        return Scoops(tuple(part * copies for part in ratio), 0.0)
    shares = [float(part / sum(parts)) for part in parts]
    best: Scoops | None = None
    for size in range(most, max(most // 2, most - WIDEST_SEARCH, len(parts) - 1), -1):
        halves = _apportion(shares, size)
        error = max(abs(n / size - s) / s for n, s in zip(halves, shares, strict=True))
        if best is None or error < best.error_share - SLACK:
            best = Scoops(halves, error)
    return best


def _apportion(shares: Sequence[float], size: int) -> tuple[int, ...]:
    """Return `size` half scoops shared out by largest remainder, at least one for each part."""
    halves = [max(1, floor(share * size + SLACK)) for share in shares]
    while sum(halves) < size:
        lacking = [share * size - n for share, n in zip(shares, halves, strict=True)]
        halves[lacking.index(max(lacking))] += 1
    while sum(halves) > size:
        # A part at its one half scoop keeps it.
        over = [n - s * size if n > 1 else -1.0 for s, n in zip(shares, halves, strict=True)]
        halves[over.index(max(over))] -= 1
    return tuple(halves)
