"""Water and air in a drained pot: agreement of its routes, and what it refuses."""

import itertools
import math
import re

import pytest
from scipy.integrate import quad

from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Prism, Pyramid, Stack
from rootroom.pot.curve import Curve
from rootroom.pot.water import water_and_air, water_and_air_many

POTS = [
    Cone(0.30, 0.20, 0.30),
    Cone(0.20, 0.35, 0.40),
    Pyramid((0.04, 0.04), (0.02, 0.03), 0.05),
    Box(2.4, 1.2, 0.28),
    Cylinder(0.076, 0.076),
    HalfBarrel(0.61, 0.52, 0.43),
    Prism(((0, 0), (1, 0), (1, 2), (0.5, 1), (0, 2)), 0.3),
    Stack([Cone(0.25, 0.2, 0.15), Cylinder(0.3, 0.15)]),
]
CURVES = [
    Curve(0.43, 0.045, 0.145, 2.68),
    Curve(0.93, 0.0, 1.393, 1.32),
    Curve(0.77, 0.0, 0.014, 1.16),
    Curve(0.36, 0.02, 1.116, 2.70),
    Curve(0.85, 0.1, 0.3, 1.05),
    Curve(0.85, 0.1, 0.2, 12.0, 2.0),
    Curve(0.9, 0.3, 30.0, 1.8),
    Curve(0.9, 0.1, 0.5, 1.02),
    Curve(0.9, 0.0, 60.0, 1.15),
    Curve(0.7, 0.1, 0.1, 60.0),
    Curve(0.8, 0.05, 0.08, 3.0, 0.1),
    Curve(0.8, 0.05, 1e-6, 2.0),
]


def by_quadrature(shape, curve, to_m=None):
    """Return the capacity share by adaptive quadrature, in octaves of the height."""
    top = shape.height_m if to_m is None else to_m
    edges = [0.0, *(top * 2.0**-octave for octave in range(40, -1, -1))]
    if isinstance(shape, Stack):
        edges = sorted({*edges, *(seam for seam in (0.15,) if seam < top)})
    total = 0.0
    for low, high in itertools.pairwise(edges):
        total += quad(
            lambda z: shape.section_m2(z) * curve.water_share(100 * z),
            low,
            high,
            epsabs=0,
            epsrel=1e-12,
        )[0]
    return total * 1000 / shape.volume_l(to_m)


@pytest.mark.parametrize("shape", POTS, ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("curve", CURVES, ids=lambda one: f"n={one.n}")
def test_agrees_with_adaptive_quadrature(shape, curve):
    """Fixed nodes agree with the reference library's adaptive quadrature to 1e-8."""
    assert water_and_air(shape, curve).capacity_share == pytest.approx(
        by_quadrature(shape, curve), abs=1e-8
    )


@pytest.mark.parametrize("shape", [POTS[0], POTS[-1]], ids=["Cone", "Stack"])
@pytest.mark.parametrize("to_m", [0.1, 0.22])
def test_filled_to_a_height(shape, to_m):
    """Only what lies below the fill counts."""
    found = water_and_air(shape, CURVES[0], to_m)
    assert found.capacity_share == pytest.approx(by_quadrature(shape, CURVES[0], to_m), abs=1e-9)
    assert found.volume_l == pytest.approx(shape.volume_l(to_m))
    assert found.height_m == to_m


def test_pots_side_by_side_keep_their_own_fill():
    """One pot filled to several heights, a stack below, at and above its seam: each its own."""
    cone, stack = POTS[0], POTS[-1]
    pots, fills = [cone, stack, cone, stack, stack, cone], [0.1, 0.1, None, 0.15, 0.22, 0.3]
    found = water_and_air_many(pots, [CURVES[0]] * 6, fills)
    for row, (pot, fill) in enumerate(zip(pots, fills, strict=True)):
        assert found[row].capacity_share == pytest.approx(
            by_quadrature(pot, CURVES[0], fill), abs=1e-9
        )
        assert found[row].volume_l == pytest.approx(pot.volume_l(fill), rel=1e-12)
        assert found[row].height_m == (pot.height_m if fill is None else fill)


def test_many_equal_one_by_one():
    """A pair gives the same figures alone and among others."""
    pairs = [(shape, curve) for shape in POTS for curve in CURVES]
    many = water_and_air_many(*zip(*pairs, strict=True))
    assert len(many) == len(pairs)
    for row, (shape, curve) in enumerate(pairs):
        one = water_and_air(shape, curve)
        assert many[row].capacity_share == pytest.approx(one.capacity_share, abs=1e-14)
        assert many[row].volume_l == pytest.approx(one.volume_l, rel=1e-14)


def test_steep_curve_does_not_overflow():
    """A curve that drains at once leaves its residual water, without a warning."""
    found = water_and_air(Cylinder(0.3, 3.0), Curve(0.4, 0.02, 1000.0, 200.0))
    assert found.capacity_share == pytest.approx(0.02, abs=1e-4)


@pytest.mark.parametrize("to_m", [0.0, -0.1, 0.31, math.nan])
def test_error_height_outside_the_pot(to_m):
    """A fill of nothing, or above the brim, is refused."""
    message = f"to_m must lie above 0 and at most 0.3 m, got {to_m}"
    with pytest.raises(ValueError, match=re.escape(message)):
        water_and_air(POTS[0], CURVES[0], to_m)


def test_error_names_the_pot_at_fault_among_others():
    """The height that is refused is that of the first pot at fault, beside its own rim."""
    with pytest.raises(ValueError, match=re.escape("at most 0.05 m, got 0.3")):
        water_and_air_many([POTS[0], POTS[2]], CURVES[:2], [0.3, 0.3])


def test_error_section_that_is_no_quadratic():
    """A stack inside of a stack, which has no one parabola, is refused and not miscounted."""
    with pytest.raises(ValueError, match="need shapes with a quadratic section"):
        water_and_air(Stack([POTS[-1]]), CURVES[0])


def test_error_unlike_lengths():
    """Sequences of unlike length are refused, and so is nothing at all."""
    with pytest.raises(ValueError, match="2 shapes, 1 curves and 2 heights"):
        water_and_air_many(POTS[:2], CURVES[:1])
    with pytest.raises(ValueError, match="need at least one pair"):
        water_and_air_many([], [])
