"""What fills a container, as text: the median is not rounded up."""

from __future__ import annotations

from rootroom.demand.estimates import Estimate
from rootroom.sheets.answers.without_plan import _both


def test_median_litres_are_rounded_to_the_nearest() -> None:
    """A median of 13.1 L shows as 13.1 L, as in the list of containers; `up to` goes up."""
    assert ("13.1 L", "17 L") == _both(Estimate(12.0, 13.0, 16.2, 13.12), "metric")
    assert ("24 L", "31 L") == _both(Estimate(20.0, 24.0, 30.2, 24.3), "metric")
    assert ("3½ gal", "4½ gal") == _both(Estimate(12.0, 13.0, 16.6, 13.12), "us")
