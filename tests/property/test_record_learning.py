"""The estimator against a general statistics library, over many simulated seasons."""

from __future__ import annotations

from math import sqrt

import pytest
from scipy import integrate, stats

from rootroom.catalogue.ingredients import factor
from rootroom.catalogue.minutes import minutes
from rootroom.catalogue.spread import Spread
from rootroom.record.evidence import USUAL, Measurement, learn, moments

pytestmark = pytest.mark.property

SEASONS = 2_048  # a power of two, as the drawing asks for
CLAIMED = 0.80
POINTS = 0.02

# A figure's published range and the usual scatter of one measurement, as learned.py uses them.
FIGURES = {
    "packing": (factor("packing"), 0.10),
    "ball": (factor("ball"), 0.06),
    "spill": (factor("spill"), 0.015),
    "shrink": (factor("shrink_unlike"), 0.03),
    "swells": (factor("swells"), 0.12),
    "fill": (Spread(18.6, 20.9, 24.9), 1.045),
    "minutes": (minutes("up-pot", 9.2), 0.25 * minutes("up-pot", 9.2).likely),
}


def triangular(spread: Spread) -> stats.rv_continuous:
    """Return the published range as the library's distribution."""
    width = spread.high - spread.low
    return stats.triang((spread.likely - spread.low) / width, spread.low, width)


@pytest.mark.parametrize("name", FIGURES)
def test_moments_are_the_librarys(name: str) -> None:
    """Mean and variance of a published range are those of the library's triangle."""
    spread, _ = FIGURES[name]
    mean, variance = moments(spread)

    assert pytest.approx(triangular(spread).mean(), rel=1e-9) == mean
    assert pytest.approx(triangular(spread).var(), rel=1e-9) == variance


@pytest.mark.parametrize("count", [1, 2, 5, 12])
def test_the_estimate_is_the_librarys_posterior(count: int) -> None:
    """The interval is that of the product of two normal densities, integrated by the library."""
    spread, scatter = FIGURES["packing"]
    mean, variance = moments(spread)
    values = [1.3] * count
    found = learn(spread, [Measurement(value) for value in values], scatter=scatter)
    pooled = USUAL * scatter**2 / (USUAL + count - 1)
    before, seen = stats.norm(mean, sqrt(variance)), stats.norm(1.3, sqrt(pooled / count))

    def density(x: float) -> float:
        return float(before.pdf(x) * seen.pdf(x))

    whole, _ = integrate.quad(density, 0.5, 2.0, points=[1.25, 1.3], epsabs=1e-12)
    below, _ = integrate.quad(density, 0.5, found.low, points=[1.25], epsabs=1e-12)
    above, _ = integrate.quad(density, found.high, 2.5, epsabs=1e-12)

    # The interval is a little wider than the posterior's, as the scatter is not known exactly.
    wider = 1 + 2.6424 * found.weight**2 / (4 * (USUAL + count - 1))
    more = stats.norm.cdf(-1.2815515655 * wider)

    assert pytest.approx(more, abs=1e-4) == below / whole
    assert pytest.approx(more, abs=1e-4) == above / whole


def covered(spread: Spread, scatter: float, count: int, *, widened: float = 1.0) -> float:
    """Return how often the stated interval held the true figure of a simulated season.

    Each season draws its true figure from the published range and measures it `count` times. The
    draws are a scrambled Sobol sequence: plain ones would be off by 0.9 points by chance alone.
    """
    draws = stats.qmc.Sobol(1 + count, seed=20270412 + count).random(SEASONS)
    truth = triangular(spread).ppf(draws[:, 0])
    noise = stats.norm(0, scatter).ppf(draws[:, 1:])
    hits = 0
    for true, errors in zip(truth, noise, strict=True):
        values = [Measurement(float(true + error)) for error in errors]
        found = learn(spread, values, scatter=scatter)
        middle, half = (found.low + found.high) / 2, widened * (found.high - found.low) / 2
        hits += abs(true - middle) <= half
    return hits / SEASONS


@pytest.mark.parametrize("count", [0, 1, 3, 8, 20])
@pytest.mark.parametrize("name", FIGURES)
def test_coverage_over_simulated_seasons(name: str, count: int) -> None:
    """The stated interval holds the true figure as often as is claimed, within 2 points."""
    spread, scatter = FIGURES[name]

    assert pytest.approx(CLAIMED, abs=POINTS) == covered(spread, scatter, count)


def test_coverage_check_sees_a_wrong_interval() -> None:
    """An interval that is a tenth too narrow fails the same check."""
    spread, scatter = FIGURES["packing"]

    assert covered(spread, scatter, 3, widened=0.9) < CLAIMED - POINTS


def test_a_season_moves_it_far_and_one_measurement_does_not() -> None:
    """A true value outside the published range is found by a season, not by one measurement."""
    spread, scatter = FIGURES["packing"]
    once = learn(spread, [Measurement(1.7)], scatter=scatter).result.likely
    season = learn(spread, [Measurement(1.7)] * 24, scatter=scatter).result.likely

    assert once < 1.5
    assert season > 1.65
