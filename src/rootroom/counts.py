"""Whole things: packages, bags, batches, pots."""

from __future__ import annotations

from rootroom.tolerances import ROUNDING


def ceil_count(need: float, size: float) -> int:
    """Return how many things of `size` cover `need`, both in one unit.

    Sums of parts overshoot a whole multiple by a few last digits, and a bare ceiling then buys one
    package too many about one time in six, so an excess below `ROUNDING` of the ratio counts as
    none.
    Raises ValueError for a size that is not positive or a need that is not finite.
    """
    if not size > 0:
        raise ValueError(f"size must be positive, got {size!r}")
    ratio = need / size
    if ratio != ratio or ratio in (float("inf"), float("-inf")):
        raise ValueError(f"need must be finite, got {need!r}")
    whole = int(ratio)
    return max(whole if ratio - whole <= ROUNDING * max(ratio, 1.0) else whole + 1, 0)
