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
from itertools import chain
from operator import attrgetter
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.containers.shapes import Shape, Stack
from rootroom.pot.curve import WILTING_TENSION_CM, Curve

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "ManyPots",
    "WaterAndAir",
    "mean_filling",
    "water_and_air",
    "water_and_air_many",
    "water_by_height",
]

NODES = 32
"""Gauss nodes on one interval: within 1e-8 of adaptive quadrature for n up to 20, 1e-9 up to 8."""

SKIPPED = math.exp(-24)
"""The lowest share of the height, 4e-11, that no node reaches; it counts as dry."""

CHUNK = 512
"""Pairs worked out at once, so that the arrays stay in the processor's cache."""

Term = tuple[float, float, float, float]
"""A height [m] and a, b, c of a section a + b u + c u^2 [m2] over shares u of that height."""


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
        return self.capacity_share - self.unavailable_share

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


@frozen(eq=False)
class ManyPots:
    """The columns of many `WaterAndAir`, numpy arrays of one length; `pots[3]` is one of them."""

    volume_l: Floats
    height_m: Floats
    porosity_share: Floats
    capacity_share: Floats
    unavailable_share: Floats

    @property
    def air_share(self) -> Floats:
        """Air after drainage of each [share of the volume]."""
        return self.porosity_share - self.capacity_share

    def __len__(self) -> int:
        return len(self.volume_l)

    def __getitem__(self, row: int) -> WaterAndAir:
        return WaterAndAir(
            float(self.volume_l[row]),
            float(self.height_m[row]),
            float(self.porosity_share[row]),
            float(self.capacity_share[row]),
            float(self.unavailable_share[row]),
        )


@cache
def _gauss() -> tuple[Floats, Floats]:
    """Return nodes and weights of the Gauss-Legendre rule on -1 to 1."""
    import numpy as np

    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return nodes, weights


def _moments(alpha_h: Floats, n: Floats, m: Floats) -> Floats:
    """Return the integrals over u from 0 to 1 of u^k (1 + (alpha_h u)^n)^-m, k = 0, 1, 2.

    With w = alpha_h u the curve bends at w = 1, over a stretch of 1/n in ln w, and has a root-like
    end at w = 0; nodes plain in u miss both.
    Substituting ln w = sinh(t)/n makes the bend equally wide in t for every n and crowds the nodes
    there, while the bottom end decays like exp(-sinh|t|): 32 nodes serve every curve.
    `alpha_h` is alpha times the height, one row a pair, as `n` and `m`; the result has three
    columns.
    """
    import numpy as np

    nodes, weights = _gauss()
    top = np.log(alpha_h)
    upper = np.arcsinh(n * top)
    lower = np.arcsinh(n * (top + math.log(SKIPPED)))
    half = (upper - lower) / 2
    # The nodes lie evenly about 0, so the lower half of e^t is the inverse of the upper half.
    grown = np.empty((len(top), NODES))
    grown[:, NODES // 2 :] = np.exp(half[:, None] * nodes[NODES // 2 :])
    grown[:, : NODES // 2] = 1 / grown[:, : NODES // 2 - 1 : -1]
    grown *= np.exp((upper + lower) / 2)[:, None]
    shrunk = 1 / grown
    x = grown - shrunk
    x *= 0.5
    filling = grown
    filling += shrunk
    u = np.exp(x / n[:, None] - top[:, None])
    filling *= u
    # (1 + e^x)^-m; where e^x overflows, far past any tension that a pot has, nothing is left.
    with np.errstate(over="ignore"):
        np.exp(x, out=x)
        x += 1
        np.log(x, out=x)
        x *= -m[:, None]
        np.exp(x, out=x)
    filling *= x
    scale = half / (2 * n)
    columns = [filling @ weights]
    for _ in range(2):
        filling *= u
        columns.append(filling @ weights)
    return np.stack(columns, axis=1) * scale[:, None]


def _columns(curves: Sequence[Curve]) -> tuple[Floats, ...]:
    """Return the five values of every curve as five columns."""
    import numpy as np

    take = attrgetter("theta_s", "theta_r", "alpha_per_cm", "n", "m")
    flat = np.fromiter(chain.from_iterable(map(take, curves)), dtype=float, count=5 * len(curves))
    return tuple(np.ascontiguousarray(flat.reshape(-1, 5).T))


def _height_m(shape: Shape, to_m: float | None) -> float:
    """Return the height that is filled, refusing none and more than the shape has."""
    height = shape.height_m if to_m is None else to_m
    if not (math.isfinite(height) and 0 < height <= shape.height_m * (1 + 1e-9)):
        raise ValueError(f"to_m must lie above 0 and at most {shape.height_m} m, got {height}")
    return min(height, shape.height_m)


def _terms(shape: Shape, height_m: float) -> list[Term]:
    """Return the section as sums from the bottom up: height [m] and a, b, c of each.

    A term stands for the integral from 0 to its height of a + b u + c u^2, u being the share of
    that height; a part of a stack is one term to its top less one to its foot.
    Raises ValueError for a shape whose section is no quadratic in the height.
    """
    if not isinstance(shape, Stack):
        return [(height_m, *_quadratic(shape, height_m))]
    terms, foot = [], 0.0
    for part in shape.parts:
        reached = min(part.height_m, height_m - foot)
        if reached <= 0:
            break
        a, b, c = _quadratic(part, reached)
        # The same parabola in z: a + b (z - foot)/reached + c ((z - foot)/reached)^2.
        share = foot / reached
        at_0, slope = a - b * share + c * share**2, b - 2 * c * share
        for end, sign in ((foot + reached, 1.0), (foot, -1.0)):
            if end > 0:
                r = end / reached
                terms.append((end, sign * at_0, sign * slope * r, sign * c * r**2))
        foot += reached
    return terms


def _quadratic(shape: Shape, height_m: float) -> tuple[float, float, float]:
    """Return a, b, c of the section a + b u + c u^2 [m2] at share u of a height."""
    section_terms_m2 = getattr(shape, "section_terms_m2", None)
    if section_terms_m2 is None:
        raise ValueError(f"need a shape with a quadratic section, got {shape!r}")
    a, b, c = section_terms_m2()
    part = height_m / shape.height_m
    return a, b * part, c * part * part


def water_and_air(shape: Shape, curve: Curve, to_m: float | None = None) -> WaterAndAir:
    """Return the water and air that a drained container holds.

    `shape` is filled with the mix of `curve` from its bottom to `to_m` [m], else to the brim.
    Raises ValueError unless 0 < to_m <= the shape's height.
    """
    return water_and_air_many([shape], [curve], [to_m])[0]


def water_and_air_many(
    shapes: Sequence[Shape],
    curves: Sequence[Curve],
    to_m: Sequence[float | None] | None = None,
) -> ManyPots:
    """Return `water_and_air` of each pair of shape and curve, worked out together.

    The three sequences have one length; `to_m` [m] may be left out for full to the brim.
    Raises ValueError for none or unlike lengths, and for a height that `water_and_air` refuses.
    """
    import numpy as np

    fills: Sequence[float | None] = [None] * len(shapes) if to_m is None else to_m
    if not len(shapes) == len(curves) == len(fills):
        raise ValueError(f"{len(shapes)} shapes, {len(curves)} curves and {len(fills)} heights")
    if not shapes:
        raise ValueError("need at least one pair")
    tops, terms, which = _geometry(shapes, fills)
    theta_s, theta_r, alpha, n, m = _columns(curves)
    height, sections = terms[:, 0], terms[:, 1:]
    volumes, waters = np.empty(len(which)), np.empty(len(which))
    for start in range(0, len(which), CHUNK):
        rows = slice(start, start + CHUNK)
        pairs = which[rows]
        moments = _moments(alpha[pairs] * height[rows] * 100.0, n[pairs], m[pairs])
        waters[rows] = 1000.0 * height[rows] * np.sum(sections[rows] * moments, axis=1)
        volumes[rows] = 1000.0 * height[rows] * (sections[rows] @ np.array([1, 1 / 2, 1 / 3]))
    volume = np.bincount(which, weights=volumes).astype(np.float64)
    mean = np.minimum(np.bincount(which, weights=waters) / volume, 1.0)
    capacity = theta_r + (theta_s - theta_r) * mean
    with np.errstate(over="ignore"):
        dry = (1 + (alpha * WILTING_TENSION_CM) ** n) ** -m
    held = theta_r + (theta_s - theta_r) * dry
    return ManyPots(volume, tops, theta_s, capacity, np.minimum(held, capacity))


def _geometry(
    shapes: Sequence[Shape], fills: Sequence[float | None]
) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Return the filled height [m] of each pair; the terms of all sections; the pair of each."""
    import numpy as np

    index: dict[tuple[int, float | None], int] = {}
    keys = list(zip(map(id, shapes), fills, strict=True))
    kinds = np.array([index.setdefault(key, len(index)) for key in keys], dtype=np.intp)
    firsts = np.zeros(len(index), dtype=np.intp)
    firsts[kinds[::-1]] = np.arange(len(keys))[::-1]
    tops: list[float] = []
    terms: list[Term] = []
    counts: list[int] = []
    for pair in firsts.tolist():
        height = _height_m(shapes[pair], fills[pair])
        own = _terms(shapes[pair], height)
        tops.append(height)
        terms += own
        counts.append(len(own))
    flat = np.fromiter(chain.from_iterable(terms), dtype=float, count=4 * len(terms))
    many = np.array(counts, dtype=np.intp)[kinds]
    which = np.repeat(np.arange(len(keys)), many)
    start = (np.cumsum(counts) - counts)[kinds]
    inside = np.arange(len(which)) - np.repeat(np.cumsum(many) - many, many)
    heights: Floats = np.array(tops, dtype=float)[kinds]
    return heights, flat.reshape(-1, 4)[np.repeat(start, many) + inside], which


def mean_filling(alpha_h: Sequence[float], n: float) -> list[float]:
    """Return the mean of (1 + w^n)^-(1 - 1/n), w running from 0 to each `alpha_h`.

    That is how full a straight-walled core is, `alpha_h` being alpha times its height.
    """
    import numpy as np

    every = np.asarray(alpha_h, dtype=float)
    shape = np.full_like(every, n)
    mean: list[float] = _moments(every, shape, 1 - 1 / shape)[:, 0].tolist()
    return mean


def water_by_height(curve: Curve, heights_m: Floats) -> Floats:
    """Return the share of water at heights [m] above the bottom of a drained pot."""
    return curve.water_share(heights_m * 100.0)
