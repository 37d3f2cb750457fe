"""A recipe in whole and half level scoops: its smallest copy, and the recipes that it may bend to.

The smallest copy is the mix's *unit*: a session blends as many as it needs, so what is over is less
than one of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, floor, gcd, lcm

from attrs import frozen

from rootroom.tolerances import ROUNDING

MOST_EXACT = 24
"""Half scoops of an exact copy that nobody minds measuring; a longer recipe is rounded."""

ERROR_SHARE = 0.02
"""How far a part may be off its share, relative to it: what a level scoop is level to."""

MOST_TRIED = 2000
"""Half scoops up to which copies are tried."""


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
    return floor(vessel_l * loose_per_l / (scoop_l / 2) + ROUNDING)


def smallest_copy(parts: Sequence[Fraction], most: int) -> Scoops | None:
    """Return the smallest copy of a recipe in at most `most` half scoops, the nearest if none does.

    A short exact copy comes first, then the smallest that is off by no more than `ERROR_SHARE`,
    then the one that is off least: whoever calls may look at its error and take a smaller measure.
    None when there are fewer half scoops than parts.
    """
    if not parts or min(parts) <= 0:
        raise ValueError(f"parts must be positive, got {list(parts)!r}")
    ratio = _whole(parts)
    if sum(ratio) <= min(most, MOST_EXACT):
        return Scoops(ratio, 0.0)
    shares = [float(part / sum(parts)) for part in parts]
    best: Scoops | None = None
    for size in range(len(parts), min(most, MOST_TRIED) + 1):
        halves = _apportion(shares, size)
        error = max(abs(n / size - s) / s for n, s in zip(halves, shares, strict=True))
        if best is None or error < best.error_share - ROUNDING:
            best = Scoops(halves, error)
        if error <= ERROR_SHARE + ROUNDING:
            break
    return best


def bent_copies(
    bounds: Sequence[tuple[float, float]], most: int, *, limit: int
) -> list[tuple[int, ...]]:
    """Return different recipes in at most `most` half scoops with every share inside its bounds.

    `bounds` are the least and the most share of each part [0 to 1]. Small recipes come first and a
    multiple of one that is there is left out; no more than `limit` are looked for.
    """
    found: dict[tuple[int, ...], None] = {}
    for size in range(len(bounds), most + 1):
        for halves in _splits(size, size, bounds):
            if gcd(*halves) == 1:
                found.setdefault(halves)
                if len(found) == limit:
                    return list(found)
    return list(found)


def _splits(
    size: int, rest: int, bounds: Sequence[tuple[float, float]]
) -> Iterator[tuple[int, ...]]:
    """Yield every way to share `rest` of `size` half scoops out inside the bounds."""
    least = max(1, ceil(bounds[0][0] * size - ROUNDING))
    most = floor(bounds[0][1] * size + ROUNDING)
    if len(bounds) == 1:
        if least <= rest <= most:
            yield (rest,)
        return
    for halves in range(least, min(most, rest - len(bounds) + 1) + 1):
        for others in _splits(size, rest - halves, bounds[1:]):
            yield (halves, *others)


def _whole(parts: Sequence[Fraction]) -> tuple[int, ...]:
    """Return the recipe in the smallest whole numbers."""
    whole = lcm(*(part.denominator for part in parts))
    ratio = [int(part * whole) for part in parts]
    return tuple(part // gcd(*ratio) for part in ratio)


def _apportion(shares: Sequence[float], size: int) -> tuple[int, ...]:
    """Return `size` half scoops shared out by largest remainder, at least one for each part."""
    halves = [max(1, floor(share * size + ROUNDING)) for share in shares]
    while sum(halves) < size:
        lacking = [share * size - n for share, n in zip(shares, halves, strict=True)]
        halves[lacking.index(max(lacking))] += 1
    while sum(halves) > size:
        # A part at its one half scoop keeps it.
        over = [n - s * size if n > 1 else -1.0 for s, n in zip(shares, halves, strict=True)]
        halves[over.index(max(over))] -= 1
    return tuple(halves)
