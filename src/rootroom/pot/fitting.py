"""A retention curve from two measured figures: porosity, and water after drainage in a known core.

Two figures fix two of a curve's values, saturation and where air enters; how steeply it falls is
taken from published curves (catalogue/data/curves.toml, [family]).
"""

from __future__ import annotations

import math
from functools import cache

from attrs import frozen

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


# Each holds only for what it was drawn from, as its docstring says.
@frozen
class Pores:
    """Porosity, air and water of a drained sample [shares of its volume]."""

    porosity_share: float
    air_share: float

    @property
    def water_share(self) -> float:
        """Water of the drained sample [share of its volume]."""
        return self.porosity_share - self.air_share


def pores_from_weights(*, dry_g_per_l: float, drained_g_per_ml: float) -> Pores:
    """Return the pores of a drained sample from its dry and its drained weight over its volume.

    PS % = 96.72 - 0.038 VW and AV % = 96.72 + 0.062 VW - 100 DD, from 238 substrates (Acta Hort.
    294, article 2); not for closed-pored parts such as polystyrene.
    `dry_g_per_l` is VW [g/L], `drained_g_per_ml` DD [g/mL].
    Raises ValueError where the two weights cannot belong to one sample.
    """
    porosity = (96.72 - 0.038 * dry_g_per_l) / 100
    air = (96.72 + 0.062 * dry_g_per_l - 100 * drained_g_per_ml) / 100
    if not 0 <= air <= porosity <= 1:
        raise ValueError(
            f"{dry_g_per_l} g/L dry and {drained_g_per_ml} g/mL drained give "
            f"{porosity:.0%} pores and {air:.0%} air"
        )
    return Pores(porosity, air)


def peat_curve(*, dry_g_per_cm3: float, organic_percent: float, depth_cm: float) -> Curve:
    """Return the retention curve of sphagnum peat from its dry density, up to 0.2 g/cm3.

    Regression of a peat-soil paper (Liu and Lennartz 2019, as carried by a public file): theta_s =
    0.950 - 0.437 BD, log10 alpha = 4.497 - 7.493 BD - 0.046 OM - 0.021 depth, log10 n = 0.182 -
    0.714 BD, theta_r = 0; `organic_percent` of the dry mass, `depth_cm` in the bog.
    Raises ValueError for a density outside 0 to 0.2 g/cm3.
    """
    if not 0 < dry_g_per_cm3 <= 0.2:
        raise ValueError(f"dry_g_per_cm3 must lie above 0 and at most 0.2, got {dry_g_per_cm3}")
    return Curve(
        0.950 - 0.437 * dry_g_per_cm3,
        0.0,
        10 ** (4.497 - 7.493 * dry_g_per_cm3 - 0.046 * organic_percent - 0.021 * depth_cm),
        10 ** (0.182 - 0.714 * dry_g_per_cm3),
    )
