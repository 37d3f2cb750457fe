"""Published regressions: pores from three weighings, and a peat's curve from its density.

Each holds only for what it was drawn from, as its docstring says.
"""

from __future__ import annotations

from attrs import frozen

from rootroom.pot.curve import Curve


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
