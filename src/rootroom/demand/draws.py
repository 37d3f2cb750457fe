"""Draws of what nobody knows exactly: one stream a factor, known by its name alone.

A factor is the same in the whole season, so its draws are made once and shared by everything that
depends on it; that is why sums of lows and highs do not add up.
The seed of a stream is a hash of the factor's name and of nothing else: neither the order of a plan
nor what else stands in it moves a figure.
Draws are triangular by the inverse of the distribution function, from uniform numbers of PCG64,
whose sequence numpy keeps from version to version (its own triangular method it may change).
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from rootroom.demand.estimates import Estimate
from rootroom.formulas import triangular

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread

Draws: TypeAlias = NDArray[np.float64]

LEVELS = (0.1, 0.5, 0.9)
"""The quantiles of every estimate: its low, median and high."""


class Streams:
    """The draws of every factor of a season, made when first asked for.

    `size` is the number of draws, one a season.
    """

    def __init__(self, size: int) -> None:
        if size < 1:
            raise ValueError(f"size must be at least 1, got {size!r}")
        self.size = size
        self._uniform: dict[str, Draws] = {}

    def uniform(self, name: str) -> Draws:
        """Return the uniform numbers between 0 and 1 of the factor called `name`."""
        if name not in self._uniform:
            seed = int.from_bytes(sha256(name.encode("utf-8", "surrogatepass")).digest()[:16])
            generator = np.random.Generator(np.random.PCG64(seed))
            self._uniform[name] = generator.random(self.size)
        return self._uniform[name]

    def draw(self, name: str, spread: Spread) -> Draws:
        """Return the draws of `spread` for the factor called `name`.

        Two figures drawn under one name move together.
        """
        if spread.low == spread.high:
            return np.full(self.size, spread.likely)
        return triangular(self.uniform(name), spread.low, spread.likely, spread.high)


def quantile(ordered: Draws, level: float) -> float:
    """Return the quantile at `level` [0 to 1] of rising draws, linear between neighbours."""
    place = level * (len(ordered) - 1)
    below = min(int(place), len(ordered) - 1)
    above = min(below + 1, len(ordered) - 1)
    first, second = float(ordered[below]), float(ordered[above])
    return first + (place - below) * (second - first)


def tenth_and_ninetieth(draws: Draws) -> tuple[Draws, Draws]:
    """Return the 10th and 90th percentile along the last axis, linear between neighbours."""
    low, high = quantiles(draws, (0.1, 0.9))
    return low, high


def quantiles(draws: Draws, levels: Sequence[float]) -> list[Draws]:
    """Return the quantiles at rising `levels` [0 to 1] along the last axis, linear between."""
    last = draws.shape[-1] - 1
    ends = []
    places = [level * last for level in levels]
    below = [int(place) for place in places]
    wanted = sorted({i for b in below for i in (b, min(b + 1, last))})
    parted = np.partition(draws, wanted, axis=-1)
    for place, b in zip(places, below, strict=True):
        first, second = parted[..., b], parted[..., min(b + 1, last)]
        ends.append(first + (place - b) * (second - first))
    return ends


def median(draws: Draws | float) -> float:
    """Return the median; numpy's own loads its masked arrays, which take 10 ms."""
    return float(quantiles(np.atleast_1d(draws), (0.5,))[0])


def estimate(likely: float, draws: Draws) -> Estimate:
    """Return the 10th and 90th percentile of `draws`, widened to hold `likely`, and the median."""
    low, middle, high = map(float, quantiles(draws, LEVELS))
    return Estimate(min(low, likely), likely, max(high, likely), middle)
