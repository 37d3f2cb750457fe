"""The estimator: where it starts, how it moves, and where it ends."""

from __future__ import annotations

from math import isclose, sqrt

import pytest

from rootroom.catalogue.spread import Spread
from rootroom.record.evidence import Measurement, learn, moments

PACKING = Spread(1.05, 1.15, 1.55)


def test_nothing_measured_leaves_the_published_range() -> None:
    """Without a measurement the range is the published one, its interval the triangle's own."""
    found = learn(PACKING, [], scatter=0.1)

    assert PACKING == found.result
    assert 0.0 == found.weight
    assert found.measured is None
    # Below 1.05 + sqrt(0.1 x 0.5 x 0.1) lie 10 %, above 1.55 - sqrt(0.1 x 0.5 x 0.4) too.
    assert isclose(1.05 + sqrt(0.005), found.low)
    assert isclose(1.55 - sqrt(0.02), found.high)


@pytest.mark.worked
def test_one_measurement_by_hand() -> None:
    """A measurement as uncertain as the published range moves the mean half way."""
    # 0, 3, 6: mean 3, variance (36 + 9 + 9) / 36 = 1.5. Scatter sqrt(1.5), one value 5:
    # weight 1/2, mean 4, standard deviation sqrt(0.75); the triangle keeps its shape, scaled by
    # sqrt(1/2): 4 - 3 x 0.70711, 4, 4 + 3 x 0.70711.
    found = learn(Spread(0, 3, 6), [Measurement(5.0)], scatter=sqrt(1.5))

    assert isclose(0.5, found.weight)
    assert isclose(4 - 3 * sqrt(0.5), found.result.low)
    assert isclose(4.0, found.result.likely)
    assert isclose(4 + 3 * sqrt(0.5), found.result.high)
    # 8 degrees of freedom: 1.28155 x (1 + (1.64237 + 1) x 0.25 / 32) = 1.30801 deviations.
    assert isclose(4 - 1.30801 * sqrt(0.75), found.low, abs_tol=1e-4)


def test_evidence_narrows_and_moves() -> None:
    """More of the same measurement narrows the range and brings it nearer, never past the data."""
    before = learn(PACKING, [], scatter=0.1)
    for count in (1, 3, 10, 100):
        found = learn(PACKING, [Measurement(1.4)] * count, scatter=0.1)

        assert found.high - found.low < before.high - before.low
        assert before.weight < found.weight < 1
        assert found.result.likely < 1.4 + 1e-9
        before = found

    assert isclose(1.4, before.result.likely, abs_tol=0.01)


def test_a_mean_counts_as_its_number() -> None:
    """A mean of five moves the figure as far as five alike, but tells less of the scatter."""
    once = learn(PACKING, [Measurement(1.3, 5.0)], scatter=0.1)
    apart = learn(PACKING, [Measurement(1.3)] * 5, scatter=0.1)

    assert isclose(once.measured or 0, apart.measured or 0)
    assert once.weight < apart.weight
    assert once.weight > learn(PACKING, [Measurement(1.3)], scatter=0.1).weight


def test_scattered_measurements_count_less() -> None:
    """The same mean counts less when its measurements lie far apart."""
    near = learn(PACKING, [Measurement(1.29), Measurement(1.31)] * 5, scatter=0.1)
    far = learn(PACKING, [Measurement(0.9), Measurement(1.7)] * 5, scatter=0.1)

    assert far.weight < near.weight


def test_never_outside_what_is_physical() -> None:
    """Whatever was measured, range and interval stay inside the limits."""
    found = learn(Spread(0.8, 0.92, 1.0), [Measurement(3.0)] * 20, scatter=0.06, least=0, most=1)

    assert 1.0 == found.result.high == found.high
    assert 0 <= found.result.low <= found.result.likely <= 1


def test_a_known_figure_does_not_move() -> None:
    """A range without width is known; measurements do not move it."""
    found = learn(Spread.exactly(2.0), [Measurement(3.0)] * 9, scatter=0.1)

    assert Spread.exactly(2.0) == found.result


def test_error_impossible_measurements() -> None:
    """A measurement that is no number, and limits that leave nothing, are refused."""
    with pytest.raises(ValueError, match="finite"):
        Measurement(float("nan"))
    with pytest.raises(ValueError, match="above 0"):
        Measurement(1.0, 0.0)
    with pytest.raises(ValueError, match="scatter > 0"):
        learn(PACKING, [], scatter=0.0)
    with pytest.raises(ValueError, match="least < most"):
        learn(PACKING, [], scatter=0.1, least=2.0, most=1.0)


def test_moments_of_a_known_figure() -> None:
    """A figure without doubt has no variance, however it is rounded."""
    assert (0.1, 0.0) == pytest.approx(moments(Spread.exactly(0.1)), abs=1e-15)
