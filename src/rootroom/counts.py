"""Whole things: packages, bags, batches, pots; how many there are, and what is said of many."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    from fractions import Fraction


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


def payable(cents: Fraction, least: int) -> int:
    """Return a sum rounded half up to a multiple of the smallest that can be paid [cents]."""
    return int((2 * cents + least) // (2 * least)) * least


def least_that(holds: Callable[[int], bool], below: int, above: int) -> int:
    """Return the least whole number that holds, by halving: `above` does and `below` does not."""
    while above - below > 1:
        middle = (below + above) // 2
        if holds(middle):
            above = middle
        else:
            below = middle
    return above


def counted(number: int, one: str) -> str:
    """Return `1 plant` or `3 plants`."""
    return f"{number} {one}{'' if number == 1 else 's'}"


MOST_NAMES = 6
"""Names told in one line where no table has room for them; many more would hide the rest of it."""


def some_of(names: Iterable[str], most: int = MOST_NAMES, between: str = ", ") -> str:
    """Return the first names and how many more there are: `Fig, Bay and 3 more`."""
    known = list(names)
    more = len(known) - most
    return between.join(known[:most]) + (f" and {more} more" if more > 0 else "")
