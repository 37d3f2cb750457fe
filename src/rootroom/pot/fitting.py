"""A retention curve from two measured figures: porosity, and water after drainage in a known core.

Two figures fix two of a curve's values, saturation and where air enters; how steeply it falls is
taken from published curves (catalogue/data/curves.toml, [family]).
"""

from __future__ import annotations

import math
from functools import cache

from rootroom.catalogue.curves import curve_shapes
from rootroom.pot.curve import Curve
from rootroom.pot.water import mean_filling

LOG_ALPHA_H = (-30.0, 60.0)
"""Where ln(alpha x height) is looked for; published curves in pots lie between -2 and 4."""

POINTS, ROUNDS = 61, 7
"""Points tried at once, and how often the interval is cut by them: to 1e-10 of ln alpha."""


def fit_curve(
    *,
    porosity_share: float,
    capacity_share: float,
    core_m: float,
    n: float,
    residual_share: float = 0.0,
) -> Curve:
    """Return the curve whose water, averaged over a drained core, is `capacity_share`.

    Shares are of the core's volume; the core is straight-walled and `core_m` [m] high.
    A `residual_share` that the core has drained below is held to half of the capacity.
    Raises ValueError unless 0 < capacity < porosity < 1 and the core has a height.
    """
    if not 0 < capacity_share < porosity_share < 1:
        raise ValueError(
            "need 0 < capacity < porosity < 1, got "
            f"capacity {capacity_share} and porosity {porosity_share}"
        )
    if not (math.isfinite(core_m) and core_m > 0):
        raise ValueError(f"core_m must be above 0, got {core_m}")
    residual = residual_share if residual_share < capacity_share else capacity_share / 2
    wanted = (capacity_share - residual) / (porosity_share - residual)
    alpha = math.exp(_log_alpha_h(wanted, n)) / (core_m * 100)
    return Curve(porosity_share, residual, alpha, n)


def _log_alpha_h(wanted: float, n: float) -> float:
    """Return ln(alpha h) at which the curve, averaged over a straight core, fills `wanted`."""
    low, high = LOG_ALPHA_H
    for _ in range(ROUNDS):
        step = (high - low) / (POINTS - 1)
        tried = [low + step * number for number in range(POINTS)]
        filled = mean_filling([math.exp(one) for one in tried], n)
        # The filling falls as alpha grows: the answer lies before the first that holds too little.
        below = next((i for i, share in enumerate(filled) if share < wanted), None)
        if below is None:
            raise ValueError(f"no curve with n = {n} drains to {wanted} of what it can")
        low, high = tried[max(below - 1, 0)], tried[below]
    return (low + high) / 2


@cache
def fit_curves(porosity_share: float, capacity_share: float, core_m: float) -> tuple[Curve, ...]:
    """Return a fitted curve for each published steepness, least steep first.

    At the core's own height [m] they agree; away from it they part, and that is the doubt.
    Raises ValueError as `fit_curve` does.
    """
    return tuple(
        fit_curve(
            porosity_share=porosity_share,
            capacity_share=capacity_share,
            core_m=core_m,
            n=shape.n,
            residual_share=shape.residual_of_porosity * porosity_share,
        )
        for shape in curve_shapes()
    )
