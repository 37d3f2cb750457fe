"""The formulas of amounts, each in one place: for likely values and for arrays of draws alike.

`Number` is a float or a numpy array of draws, so that what is printed as likely and what is drawn
cannot drift apart.
Volumes are in litres [L]; nothing here knows a plan.
"""

from __future__ import annotations

# What `typing` calls so, without the time that importing it takes.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TypeVar

    import numpy as np
    from numpy.typing import NDArray

    Number = TypeVar("Number", float, NDArray[np.float64])


def ball_l(fill_l: Number, ball: Number, kept: float) -> Number:
    """Return the volume of a lifted ball [L].

    `fill_l` is the fill of the pot that it comes from, `ball` its volume over that fill and `kept`
    the share that goes along: kept when shaved, over the plants that share or divide the ball.
    """
    return fill_l * ball * kept


def place_l(fill_l: Number, balls_l: Number) -> Number:
    """Return the place left for mix in one pot [L]; none is left when the balls are bigger."""
    place = fill_l - balls_l
    return place * (place > 0)


def loose_l(place: Number, packing: Number, spill: Number) -> Number:
    """Return the loose mix that fills a place [L]: it packs as it is firmed, and some is lost."""
    return place * packing * (1 + spill)


def bed_l(settled_l: Number, settles: Number, spill: Number) -> Number:
    """Return the mix that makes a bed's layer [L] of this volume once it has settled."""
    return settled_l / (1 - settles) * (1 + spill)


def loose_per_l(shrink: Number, parts: int) -> Number:
    """Return the loose litres in a litre of a finished mix; one part alone loses nothing."""
    return 1 / (1 - shrink) if parts > 1 else 1 + 0 * shrink


def triangular(share: Number, low: float, likely: float, high: float) -> Number:
    """Return the quantile of a triangular distribution at a `share` [0 to 1]."""
    width = high - low
    if width == 0:
        return likely + 0 * share
    is_rising = share * width < likely - low
    rising = low + (share * (width * (likely - low))) ** 0.5
    falling = high - ((1 - share) * (width * (high - likely))) ** 0.5
    quantile: Number = is_rising * rising + (1 - is_rising) * falling
    return quantile
