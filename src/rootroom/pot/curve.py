"""How much water a mix holds at a tension: the van Genuchten retention curve.

Source: van Genuchten 1980, with m independent of n where it is given (Milks, Fonteno and Larson
1989 let them be).
Tension is in centimetres of water, which in a drained pot is the height above its bottom.
Swelling, shrinkage and hysteresis are left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, overload

from attrs import frozen

from rootroom.catalogue.curves import check_curve

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

WILTING_TENSION_CM = 15_296.0
"""1.5 MPa as a height of water [cm] (1.5e6 Pa / (1000 kg/m3 x 9.80665 m/s2)): held beyond roots."""


@frozen(init=False)
class Curve:
    """A retention curve: theta_r + (theta_s - theta_r) / (1 + (alpha h)^n)^m.

    `theta_s` and `theta_r` are water at saturation and residual water [share of the volume],
    `alpha_per_cm` [1/cm] sets where air enters, n and m (1 - 1/n unless given) how steeply.
    Raises ValueError for values that `check_curve` faults.
    """

    theta_s: float
    theta_r: float
    alpha_per_cm: float
    n: float
    m: float

    def __init__(
        self, theta_s: float, theta_r: float, alpha_per_cm: float, n: float, m: float | None = None
    ) -> None:
        faults = check_curve(theta_s=theta_s, theta_r=theta_r, alpha_per_cm=alpha_per_cm, n=n, m=m)
        if faults:
            told = (f"{one.message}: {one.name} = {one.value}" for one in faults)
            raise ValueError("; ".join(told))
        shape = 1 - 1 / n if m is None else m
        self.__attrs_init__(
            float(theta_s), float(theta_r), float(alpha_per_cm), float(n), float(shape)
        )

    @overload
    def water_share(self, tension_cm: float) -> float: ...
    @overload
    def water_share(self, tension_cm: NDArray[np.float64]) -> NDArray[np.float64]: ...

    def water_share(self, tension_cm: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """Return the water [share of the volume] held at a tension [cm of water, not negative]."""
        below = (1 + (self.alpha_per_cm * tension_cm) ** self.n) ** -self.m
        return self.theta_r + (self.theta_s - self.theta_r) * below

    def tension_cm(self, water_share: float) -> float:
        """Return the tension [cm] at which this share of the volume is still water.

        0 for as much as saturation holds; raises ValueError at or below the residual water.
        """
        if water_share >= self.theta_s:
            return 0.0
        if water_share <= self.theta_r:
            raise ValueError(f"water share {water_share} is not above theta_r = {self.theta_r}")
        filled = (water_share - self.theta_r) / (self.theta_s - self.theta_r)
        return float((filled ** (-1 / self.m) - 1) ** (1 / self.n) / self.alpha_per_cm)
