"""How quick and how exact water and air are: 10,000 pairs against a scalar quadrature on each.

Run: python tests/bench/pot.py
"""

from __future__ import annotations

import random
import time

START = time.perf_counter()
import numpy as np  # noqa: E402

NUMPY = time.perf_counter() - START

from scipy.integrate import quad  # noqa: E402

from rootroom.containers.shapes import Box, Cone, Pyramid  # noqa: E402
from rootroom.pot.curve import Curve  # noqa: E402
from rootroom.pot.water import water_and_air_many  # noqa: E402

PAIRS = 10_000
SAMPLE = 200


def some_pairs(count: int) -> tuple[list, list]:
    """Return different shapes and curves, from cells to half barrels and from peat to gravel."""
    draw = random.Random(5)
    shapes, curves = [], []
    for number in range(count):
        size = draw.uniform(0.03, 0.6)
        height = draw.uniform(0.03, 0.5)
        kind = number % 3
        if kind == 0:
            shapes.append(Cone(size, size * draw.uniform(0.5, 1.2), height))
        elif kind == 1:
            shapes.append(Pyramid((size, size), (size * 0.7, size * 0.8), height))
        else:
            shapes.append(Box(size, size * 0.8, height))
        theta_s = draw.uniform(0.4, 0.95)
        curves.append(
            Curve(
                theta_s,
                draw.uniform(0, 0.5) * theta_s,
                10 ** draw.uniform(-2, 0.5),
                draw.uniform(1.05, 6),
            )
        )
    return shapes, curves


def scalar(shape, curve: Curve) -> float:
    """Return the capacity share by adaptive quadrature of the plain integrand."""
    integral, _ = quad(
        lambda z: shape.section_m2(z) * curve.water_share(z * 100),
        0,
        shape.height_m,
        epsabs=0,
        epsrel=1e-10,
        limit=200,
    )
    return integral * 1000 / shape.volume_l()


def main() -> None:
    """Print times, their ratio and the largest difference."""
    shapes, curves = some_pairs(PAIRS)
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        found = water_and_air_many(shapes, curves)
        best = min(best, time.perf_counter() - start)
    start = time.perf_counter()
    reference = [scalar(*pair) for pair in zip(shapes[:SAMPLE], curves[:SAMPLE], strict=True)]
    each = (time.perf_counter() - start) / SAMPLE
    ours = found.capacity_share[:SAMPLE]
    print(f"import of numpy {NUMPY:.3f} s")
    pots, mixes = [pot for pot in shapes[:100] for _ in range(100)], curves[:100] * 100
    crossed = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        water_and_air_many(pots, mixes)
        crossed = min(crossed, time.perf_counter() - start)
    whole = each * PAIRS
    print(f"scalar quadrature of {PAIRS} pairs {whole:.2f} s")
    print(f"together, 100 pots with 100 mixes each {crossed:.3f} s ({whole / crossed:.0f} times)")
    print(f"together, every pot and mix different {best:.3f} s ({whole / best:.0f} times)")
    print(f"largest difference of {SAMPLE}: {np.max(np.abs(ours - reference)):.1e}")


if __name__ == "__main__":
    main()
