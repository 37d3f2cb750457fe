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
from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NODES = 22
"""Gauss nodes on one interval: within 1e-8 of adaptive quadrature while alpha h < 3000, n up to 20;
1e-9 while alpha h < 300, as it is in pots."""

BEND = 1.25
"""How widely the nodes stand about the bend of a curve: p of x = s^3 + 3 p s."""

SATURATED = -7.5
"""Below this x = n ln(alpha h) a curve is saturated but for 6e-4, which is counted to second order.
"""

SKIPPED = math.exp(-24)
"""The lowest share of the height, 4e-11, that no node reaches even where alpha h is huge."""

CHUNK = 1024
"""Pairs worked out at once, so that the arrays stay in the processor's cache."""


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

    With x = n ln(alpha_h u) the curve is (1 + e^x)^-m: it bends at x = 0, over the same stretch for
    every n. Nodes plain in u miss the bend of a steep curve and the root-like foot of a gradual
    one; nodes even in s, x = s^3 + 3 BEND s, crowd about the bend and reach far both ways.
    Below `SATURATED` the curve is 1 - m e^x + m (m + 1)/2 e^2x, whose integral is a closed form.
    `alpha_h` is alpha times the height, one entry a pair, as `n` and `m`; the result has a row for
    each k.
    """
    import numpy as np

    nodes, weights = _gauss()
    ln_top = np.log(alpha_h)
    top = n * ln_top
    foot = np.minimum(np.maximum(SATURATED, top + n * math.log(SKIPPED)), top)
    from_s, to_s = _bend_parameter(foot), _bend_parameter(top)
    half = (to_s - from_s) / 2
    # In place throughout: a fresh array of this size costs more than what is done to it.
    s = nodes[:, None] * half
    s += (from_s + to_s) / 2
    filling = s * s
    x = filling + 3 * BEND
    x *= s
    filling += BEND
    filling *= 3
    u = np.multiply(x, 1 / n, out=s)
    u -= ln_top
    np.exp(u, out=u)
    filling *= u
    # (1 + e^x)^-m; where e^x overflows, far past any tension that a pot has, nothing is left.
    with np.errstate(over="ignore"):
        np.exp(x, out=x)
    x += 1
    np.log(x, out=x)
    x *= -m
    np.exp(x, out=x)
    filling *= x
    half /= n
    found = _foot_moments(foot, ln_top, n, m)
    for k in range(3):
        if k:
            filling *= u
        found[k] += weights @ filling * half
    return found


def _foot_moments(foot: Floats, ln_top: Floats, n: Floats, m: Floats) -> Floats:
    """Return the part of `_moments` that lies below x = `foot`, where hardly a pore has drained."""
    import numpy as np

    u, drained = np.exp(foot / n - ln_top), m * np.exp(np.minimum(foot, 0.0))
    again = drained * drained * (1 + 1 / m) / 2
    power = np.ones_like(u)
    found = np.empty((3, len(u)))
    for k in range(3):
        power *= u
        found[k] = power * (1 / (k + 1) - drained / (k + 1 + n) + again / (k + 1 + 2 * n))
    return found


def _bend_parameter(x: Floats) -> Floats:
    """Return s of x = s^3 + 3 BEND s: the one real root of the cubic, by Cardano's formula."""
    import numpy as np

    root = np.cbrt(np.abs(x) / 2 + np.sqrt(x * x / 4 + BEND**3))
    found: Floats = np.copysign(root - BEND / root, x)
    return found


def _columns(curves: Sequence[Curve]) -> tuple[Floats, ...]:
    """Return the five values of every curve as five columns."""
    import numpy as np

    take = attrgetter("theta_s", "theta_r", "alpha_per_cm", "n", "m")
    flat = np.fromiter(chain.from_iterable(map(take, curves)), dtype=float, count=5 * len(curves))
    return tuple(np.ascontiguousarray(flat.reshape(-1, 5).T))


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

    heights = len(shapes) if to_m is None else len(to_m)
    if not len(shapes) == len(curves) == heights:
        raise ValueError(f"{len(shapes)} shapes, {len(curves)} curves and {heights} heights")
    if not shapes:
        raise ValueError("need at least one pair")
    fills = [_fill_m(one, to) for one, to in zip(shapes, to_m or [None] * heights, strict=True)]
    known: dict[tuple[int, float], list[Term]] = {}  # one shape and height is read once
    terms = [
        known.get((id(shape), fill)) or known.setdefault((id(shape), fill), _terms(shape, fill))
        for shape, fill in zip(shapes, fills, strict=True)
    ]
    pot = np.repeat(np.arange(heights), [len(each) for each in terms])
    table = np.array([one for each in terms for one in each])
    theta_s, theta_r, alpha, n, m = _columns(curves)
    volumes, waters = _volumes_and_waters(table, alpha[pot], n[pot], m[pot])
    volume = np.bincount(pot, weights=volumes).astype(np.float64)
    mean = np.minimum(np.bincount(pot, weights=waters) / volume, 1.0)
    capacity = theta_r + (theta_s - theta_r) * mean
    with np.errstate(over="ignore"):
        dry = (1 + (alpha * WILTING_TENSION_CM) ** n) ** -m
    held = theta_r + (theta_s - theta_r) * dry
    return ManyPots(volume, np.array(fills), theta_s, capacity, np.minimum(held, capacity))


Term = tuple[float, float, float, float]
"""A height [m] and a, b, c [m2] of the section a + b u + c u^2 below it, u from 0 to 1."""


def _fill_m(shape: Shape, to_m: float | None) -> float:
    """Return how high a shape is filled [m], refusing none and more than it has."""
    full = shape.height_m
    if to_m is not None and not 0 < to_m <= full * (1 + ROUNDING):
        raise ValueError(f"to_m must lie above 0 and at most {full} m, got {to_m}")
    return full if to_m is None else min(to_m, full)


def _terms(shape: Shape, fill_m: float) -> list[Term]:
    """Return a filled shape as integrals from its bottom, whose sum is the whole.

    A plain shape is one; a part higher up in a stack is one to its top less one to its foot.
    """
    terms, foot = [], 0.0
    for part in shape.parts if isinstance(shape, Stack) else (shape,):
        if foot >= fill_m:
            break
        try:
            a, b, c = part.section_terms_m2()  # type: ignore[attr-defined]
        except AttributeError as error:
            raise ValueError(f"need shapes with a quadratic section: {error}") from None
        # The part's own parabola, written in the height z above the bottom of the pot.
        slope, bend = b / part.height_m, c / part.height_m**2
        in_z = (a - slope * foot + bend * foot**2, slope - 2 * bend * foot, bend)
        for end, sign in ((min(foot + part.height_m, fill_m), 1), (foot, -1)):
            if end:
                terms.append((end, *(sign * k * end**power for power, k in enumerate(in_z))))
        foot += part.height_m
    return terms


def _volumes_and_waters(
    terms: Floats, alpha_per_cm: Floats, n: Floats, m: Floats
) -> tuple[Floats, Floats]:
    """Return volume [L] of each term, and the same with each slice as full as its curve leaves it.

    The terms are rows, and the curves have one entry a term.
    """
    import numpy as np

    height, a_b_c = terms[:, 0], terms[:, 1:].T
    litres = 1000.0 * height
    volumes = litres * (np.array([1, 1 / 2, 1 / 3]) @ a_b_c)
    waters = np.empty_like(volumes)
    for start in range(0, len(waters), CHUNK):
        rows = slice(start, start + CHUNK)
        moments = _moments(100.0 * height[rows] * alpha_per_cm[rows], n[rows], m[rows])
        waters[rows] = litres[rows] * (a_b_c[:, rows] * moments).sum(axis=0)
    return volumes, waters


def mean_filling(alpha_h: Sequence[float], n: float) -> list[float]:
    """Return the mean of (1 + w^n)^-(1 - 1/n), w running from 0 to each `alpha_h`.

    That is how full a straight-walled core is, `alpha_h` being alpha times its height.
    """
    import numpy as np

    every = np.asarray(alpha_h, dtype=float)
    shape = np.full_like(every, n)
    mean: list[float] = _moments(every, shape, 1 - 1 / shape)[0].tolist()
    return mean
