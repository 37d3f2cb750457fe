"""Water and air in a container once it has drained.

Container capacity is the retention curve averaged over the volume: at equilibrium the tension at
a height [cm of water] is that height above the bottom, whose drainage hole is at tension 0
(Milks, Fonteno and Larson 1989; Fonteno 1989).
Assumed: one uniform mix, free drainage, no saucer, no plant drawing water; air is total porosity
less water at every height.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Protocol

from attrs import frozen

from rootroom.pot.curve import WILTING_TENSION_CM, Curve

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "Section",
    "WaterAndAir",
    "water_and_air",
    "water_and_air_many",
    "water_by_height",
]

NODES = 48
"""Gauss nodes on one interval: within 1e-11 of adaptive quadrature for n from 1.02 to 20."""

SKIPPED = math.exp(-27)
"""The lowest share of the height, 2e-12, that no node reaches; it counts as dry."""


class Section(Protocol):
    """What is asked of a shape: its height, its volume to a height, its section at heights."""

    @property
    def height_m(self) -> float:
        """Inside height [m]."""
        ...

    def volume_l(self, to_m: float | None = None) -> float:
        """Return the inside volume [L] up to a height [m], to the brim by default."""
        ...

    def section_m2(self, z: Floats) -> Floats:
        """Return the inside section [m2] at heights [m] above the bottom."""
        ...


@frozen
class WaterAndAir:
    """What a drained container holds; shares are of the mix's volume and sum to its porosity.

    `capacity_share` is water (container capacity), `air_share` air, `available_share` the water
    that roots can draw (capacity less water held at 1.5 MPa), `unavailable_share` the rest.
    """

    volume_l: float
    height_m: float
    porosity_share: float
    capacity_share: float
    unavailable_share: float

    @property
    def air_share(self) -> float:
        """Air after drainage: porosity less water [share of the volume]."""
        return self.porosity_share - self.capacity_share

    @property
    def available_share(self) -> float:
        """Water that roots can draw [share of the volume]."""
        return max(0.0, self.capacity_share - self.unavailable_share)

    @property
    def capacity_l(self) -> float:
        """Water after drainage [L]."""
        return self.capacity_share * self.volume_l

    @property
    def air_l(self) -> float:
        """Air after drainage [L]."""
        return self.air_share * self.volume_l

    @property
    def available_l(self) -> float:
        """Water that roots can draw [L]."""
        return self.available_share * self.volume_l

    @property
    def saturated_l(self) -> float:
        """Water while every pore is full, as just after flooding [L]."""
        return self.porosity_share * self.volume_l


@cache
def _gauss() -> tuple[Floats, Floats]:
    """Return nodes and weights of the Gauss-Legendre rule on -1 to 1."""
    import numpy as np

    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return nodes, weights


def _filling(alpha_h: Floats, n: Floats, m: Floats) -> tuple[Floats, Floats]:
    """Return heights as shares of the whole, and weights that already hold the curve.

    With w = alpha z the curve (1 + w^n)^-m bends at w = 1, over a stretch of 1/n in ln w, and has
    a root-like end at w = 0; nodes plain in z miss both.
    Substituting ln w = sinh(t)/n makes the bend equally wide in t for every n and crowds the nodes
    there, while the bottom end decays like exp(-sinh|t|): 48 nodes serve every curve.
    `alpha_h` is alpha times the height, one row a pair.
    """
    import numpy as np

    nodes, weights = _gauss()
    top = np.log(alpha_h)
    upper = np.arcsinh(n * top)
    lower = np.arcsinh(n * (top + math.log(SKIPPED)))
    half = (upper - lower)[:, None] / 2
    t = (upper + lower)[:, None] / 2 + half * nodes
    grown = np.exp(t)
    x = (grown - 1 / grown) / 2
    # e^x overflows only above x = 709, where w is past any tension that a pot has.
    curve = np.exp(-m[:, None] * np.log1p(np.exp(np.minimum(x, 700.0))))
    height = np.exp(x / n[:, None] - top[:, None])
    step = height * (grown + 1 / grown) / 2 / n[:, None] * half * weights
    return np.minimum(height, 1.0), step * curve


def _columns(curves: Sequence[Curve]) -> tuple[Floats, ...]:
    """Return the five values of every curve as five columns."""
    import numpy as np

    rows = [(one.theta_s, one.theta_r, one.alpha_per_cm, one.n, one.m) for one in curves]
    return tuple(np.array(rows, dtype=float).reshape(len(rows), 5).T)


def _height_m(shape: Section, to_m: float | None) -> float:
    """Return the height that is filled, refusing none and more than the shape has."""
    height = shape.height_m if to_m is None else to_m
    if not (math.isfinite(height) and 0 < height <= shape.height_m * (1 + 1e-12)):
        raise ValueError(f"to_m must lie above 0 and at most {shape.height_m} m, got {height}")
    return min(height, shape.height_m)


def _quadratic(shape: Section, height_m: float) -> tuple[float, float, float] | None:
    """Return a, b, c of the section a + b u + c u^2 at share u of the height; None if it is not.

    Every shape of the catalogue has such a section, and three moments then serve it at once.
    """
    import numpy as np

    shares = np.array([0.0, 0.5, 1.0, 0.25, 0.8])
    bottom, middle, top, *checks = (float(s) for s in shape.section_m2(shares * height_m))
    slope, bend = 4 * middle - 3 * bottom - top, 2 * bottom - 4 * middle + 2 * top
    scale = max(abs(bottom), abs(middle), abs(top))
    for share, found in zip((0.25, 0.8), checks, strict=True):
        if abs(bottom + slope * share + bend * share**2 - found) > 1e-12 * scale:
            return None
    return bottom, slope, bend


def water_and_air(shape: Section, curve: Curve, to_m: float | None = None) -> WaterAndAir:
    """Return the water and air that a drained container holds.

    `shape` is filled with the mix of `curve` from its bottom to `to_m` [m], else to the brim.
    Raises ValueError unless 0 < to_m <= the shape's height.
    """
    return water_and_air_many([shape], [curve], [to_m])[0]


def water_and_air_many(
    shapes: Sequence[Section],
    curves: Sequence[Curve],
    to_m: Sequence[float | None] | None = None,
) -> list[WaterAndAir]:
    """Return `water_and_air` of each pair of shape and curve, worked out together.

    The three sequences have one length; `to_m` [m] may be left out for full to the brim.
    """
    import numpy as np

    fills: Sequence[float | None] = [None] * len(shapes) if to_m is None else to_m
    if not len(shapes) == len(curves) == len(fills):
        raise ValueError(f"{len(shapes)} shapes, {len(curves)} curves and {len(fills)} heights")
    if not shapes:
        return []
    heights = [_height_m(shape, fill) for shape, fill in zip(shapes, fills, strict=True)]
    known: dict[tuple[int, float], tuple[float, tuple[float, float, float] | None]] = {}
    volumes, sections = np.empty(len(shapes)), np.zeros((len(shapes), 3))
    odd = []
    for row, (shape, height) in enumerate(zip(shapes, heights, strict=True)):
        key = (id(shape), height)
        if key not in known:
            known[key] = (shape.volume_l(height), _quadratic(shape, height))
        volumes[row], terms = known[key]
        if terms is None:
            odd.append(row)
        else:
            sections[row] = terms
    theta_s, theta_r, alpha, n, m = _columns(curves)
    up = np.array(heights)
    u, filling = _filling(alpha * up * 100.0, n, m)
    moments = np.stack([np.sum(filling * u**power, axis=1) for power in range(3)], axis=1)
    integral = np.sum(sections * moments, axis=1)
    for row in odd:
        integral[row] = np.sum(filling[row] * shapes[row].section_m2(u[row] * heights[row]))
    mean = np.minimum(integral * up * 1000.0 / volumes, 1.0)
    capacity = theta_r + (theta_s - theta_r) * mean
    held = theta_r + (theta_s - theta_r) * (1 + (alpha * WILTING_TENSION_CM) ** n) ** -m
    columns = (volumes, up, theta_s, capacity, np.minimum(held, capacity))
    return [WaterAndAir(*row) for row in np.column_stack(columns).tolist()]


def water_by_height(curve: Curve, heights_m: Floats) -> Floats:
    """Return the share of water at heights [m] above the bottom of a drained pot."""
    return curve.water_share(heights_m * 100.0)
