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
SAMPLE, ROUNDS = 100, 15


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
    """Return the capacity share by adaptive quadrature of the pot's own section and curve."""
    integral, _ = quad(
        lambda z: shape.section_m2(z) * curve.water_share(z * 100),
        0,
        shape.height_m,
        epsabs=0,
        epsrel=1e-10,
        limit=200,
    )
    return integral * 1000 / shape.volume_l()


def lean_scalar(shape, curve: Curve) -> float:
    """Return the same by an integrand without calls: all that scalar Python can be spared."""
    a, b, c = shape.section_terms_m2()
    height, base, rest = shape.height_m, curve.theta_r, curve.theta_s - curve.theta_r
    alpha, n, m = curve.alpha_per_cm * 100 * height, curve.n, -curve.m
    integral, _ = quad(
        lambda u: (a + u * (b + u * c)) * (base + rest * (1 + (alpha * u) ** n) ** m),
        0,
        1,
        epsabs=0,
        epsrel=1e-8,
        limit=200,
    )
    return integral / (a + b / 2 + c / 3)


def main() -> None:
    """Print times, their ratios and the largest difference.

    The rounds of all take turns, and the quickest of each counts in processor time, so that other
    work on the machine weighs on all alike.
    """
    shapes, curves = some_pairs(PAIRS)
    few = list(zip(shapes[:SAMPLE], curves[:SAMPLE], strict=True))
    pots, mixes = [pot for pot in shapes[:100] for _ in range(100)], curves[:100] * 100
    runs = {
        "scalar": lambda: [scalar(*pair) for pair in few],
        "lean": lambda: [lean_scalar(*pair) for pair in few],
        "crossed": lambda: water_and_air_many(pots, mixes),
        "all": lambda: water_and_air_many(shapes, curves),
    }
    best = dict.fromkeys(runs, float("inf"))
    for _ in range(ROUNDS):
        for name, run in runs.items():
            start = time.process_time()
            run()
            best[name] = min(best[name], time.process_time() - start)
    whole, lean = (best[name] * PAIRS / SAMPLE for name in ("scalar", "lean"))
    ours = water_and_air_many(shapes[:SAMPLE], curves[:SAMPLE]).capacity_share
    off = np.max(np.abs(ours - [scalar(*pair) for pair in few]))
    print(f"import of numpy {NUMPY:.3f} s")
    print(f"scalar quadrature of {PAIRS} pairs {whole:.2f} s, by a lean integrand {lean:.2f} s")
    for name, words in (
        ("crossed", "100 pots with 100 mixes each"),
        ("all", "every pot and mix different"),
    ):
        took = best[name]
        print(f"together, {words} {took:.4f} s: {whole / took:.0f} times, {lean / took:.0f} lean")
    print(f"largest difference of {SAMPLE}: {off:.1e}")


if __name__ == "__main__":
    main()
