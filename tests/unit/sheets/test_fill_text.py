"""What fills a container, as text: the likely figure is not rounded up."""

from __future__ import annotations

from rootroom.demand.estimates import Estimate
from rootroom.sheets.fill import _both


def test_likely_litres_are_rounded_to_the_nearest() -> None:
    """13.1 L likely shows as 13.1 L, as in the list of containers; what it may come to goes up."""
    assert ("13.1 L", "17 L") == _both(Estimate(12.0, 13.12, 16.2), "metric")
    assert ("24 L", "31 L") == _both(Estimate(20.0, 24.3, 30.2), "metric")
    assert ("3½ gal", "4½ gal") == _both(Estimate(12.0, 13.12, 16.6), "us")
