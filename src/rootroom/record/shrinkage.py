"""How far measurements move a published range: shrinkage in closed form.

A figure starts at its published triangular range (low, likely, high) with mean m0 and variance v0.
Measurements with the weighted mean x, of n weights in all, have the variance s2 / n of their mean,
where s2 pools the usual scatter of one measurement s0 (as if `USUAL` had been seen) with what was
seen of it. Then

    w = v0 / (v0 + s2 / n),  mean = m0 + w (x - m0),  variance = v0 (1 - w),

the normal-normal estimate, whose posterior mean and variance these are (A. Gelman et al., Bayesian
Data Analysis, 3rd ed., 2013, section 2.5, from memory). One measurement as uncertain as the
published range moves the figure half way; a season of them moves it far.
The new range is the published triangle moved to the new mean and narrowed by the same share as the
standard deviation, cut off at what is physical. The interval that is stated is the 10th to 90th
percentile of the normal distribution of that mean and variance, cut off likewise, and widened since
the scatter is not known exactly: by the first term of Student's t in powers of 1 / degrees of
freedom (R. A. Fisher and E. A. Cornish, Technometrics 2(2), 1960, from memory), which here are
those of s2 over w squared, as the variance goes with s2 to the power of w.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, sqrt

from attrs import field, frozen

from rootroom.catalogue.spread import Spread
from rootroom.formulas import triangular

USUAL = 8.0
"""How many measurements the usual scatter counts for beside what was seen of it: our guess."""

Z_90 = 1.2815515655446004
"""The 90th percentile of the standard normal distribution."""


@frozen
class Measurement:
    """One value, counted `weight` times: above 1 for a mean of several, below for a rough one."""

    value: float
    weight: float = field(default=1.0)

    def __attrs_post_init__(self) -> None:
        """Refuse what no measurement can be."""
        if not (isfinite(self.value) and isfinite(self.weight) and self.weight > 0):
            raise ValueError(f"value must be finite and weight above 0, got {self!r}")


@frozen
class Learned:
    """What a figure comes to: its new range, and the interval that holds 8 times out of 10.

    `weight` is how far the measurements count beside the published range [0 to 1], `measured` their
    mean (None: there are none) and `count` their number, means of several counted once.
    """

    prior: Spread
    result: Spread
    low: float
    high: float
    weight: float = 0.0
    measured: float | None = None
    count: int = 0


def moments(spread: Spread) -> tuple[float, float]:
    """Return mean and variance of a triangular distribution."""
    a, c, b = spread.low, spread.likely, spread.high
    # As sums of squares, so that rounding never makes the variance of a known figure negative.
    return (a + b + c) / 3, ((b - a) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 36


def learn(
    prior: Spread,
    measurements: Sequence[Measurement],
    *,
    scatter: float,
    least: float = 0.0,
    most: float = float("inf"),
) -> Learned:
    """Return what a figure comes to after measurements.

    `prior` is the published range, `scatter` the usual standard deviation of one measurement in the
    figure's unit, `least` and `most` what is physical.
    Raises ValueError for a scatter that is not positive or limits that leave nothing.
    """
    if not scatter > 0 or not least < most:
        raise ValueError(f"need scatter > 0 and least < most, got {scatter!r}, {least!r}, {most!r}")

    def cut(value: float) -> float:
        return min(max(value, least), most)

    mean, variance = moments(prior)
    if not measurements:
        low, high = (triangular(p, prior.low, prior.likely, prior.high) for p in (0.1, 0.9))
        return Learned(prior, Spread(*map(cut, _ends(prior))), cut(low), cut(high))
    weights = sum(one.weight for one in measurements)
    seen = sum(one.weight * one.value for one in measurements) / weights
    squares = sum(one.weight * (one.value - seen) ** 2 for one in measurements)
    freedom = USUAL + len(measurements) - 1
    pooled = (USUAL * scatter**2 + squares) / freedom
    weight = variance / (variance + pooled / weights)
    moved, deviation = mean + weight * (seen - mean), sqrt(variance * (1 - weight))
    narrowed = sqrt(1 - weight)
    half = Z_90 * deviation * (1 + (Z_90**2 + 1) * weight**2 / (4 * freedom))
    ends = (cut(moved + narrowed * (end - mean)) for end in _ends(prior))
    return Learned(
        prior,
        Spread(*ends),
        cut(moved - half),
        cut(moved + half),
        weight,
        seen,
        len(measurements),
    )


def _ends(spread: Spread) -> tuple[float, float, float]:
    return spread.low, spread.likely, spread.high
