"""Volumes and areas worked by hand, as in the design of the program."""

from __future__ import annotations

from math import pi

import pytest

from rootroom.containers.beds import read_bed_shape
from rootroom.containers.own import own_container
from rootroom.containers.shapes import Box, Cone, HalfBarrel, Prism, Pyramid, Stack
from rootroom.containers.text import read_container

pytestmark = pytest.mark.worked

INCH = 0.0254
LITRES = 1e-5
"""Half of the last digit that the worked example shows."""


def test_old_pot_below_its_headspace():
    """The section is recomputed at the fill line, 8 in up a pot of 10, 8 and 9 in."""
    # Diameter at 8 in: 8 + 2 x 8/9 = 9.77778 in. V = pi x 8 / 12 x (8^2 + 8 x 9.77778 + 9.77778^2)
    # = 498.10408 in3 x 16.387064 mL = 8.16246 L.
    pot = Cone(top_m=10 * INCH, bottom_m=8 * INCH, height_m=9 * INCH)

    assert pot.volume_l(8 * INCH) == pytest.approx(8.16246, abs=LITRES)


def test_new_pot_to_brim_and_to_its_headspace():
    """The new pot of 14, 11 and 13 in, with 1.5 in of headspace."""
    # Brim: pi x 13 / 12 x (14^2 + 14 x 11 + 11^2) = 1603.00 in3 = 26.26843 L.
    # Diameter at 11.5 in: 11 + 3 x 11.5/13 = 13.65385 in.
    pot = own_container("tall", shape=Cone(14 * INCH, 11 * INCH, 13 * INCH), headspace_m=1.5 * INCH)

    assert pot.brim_l.likely == pytest.approx(26.26843, abs=LITRES)
    assert pot.fill_l.likely == pytest.approx(22.57732, abs=LITRES)
    assert pot.shape is not None
    across = (4 / pi * pot.shape.section_m2(11.5 * INCH)) ** 0.5
    assert across / INCH == pytest.approx(13.65385, abs=1e-5)


def test_half_barrel_to_brim_and_to_its_headspace():
    """The half barrel of 24 in rim, 20.5 in bottom, 17 in high, 2 in headspace."""
    # Brim: pi h (2 D^2 + d^2) / 12 = pi x 17 / 12 x (2 x 576 + 420.25) = 6997.44 in3 = 114.66749 L.
    barrel = HalfBarrel(rim_m=24 * INCH, bottom_m=20.5 * INCH, height_m=17 * INCH)

    assert barrel.volume_l() == pytest.approx(114.66749, abs=LITRES)
    assert barrel.volume_l(15 * INCH) == pytest.approx(99.85932, abs=LITRES)


def test_catalogue_half_barrel_is_the_worked_one():
    """`half barrel` counts as likely what the worked example says."""
    barrel = read_container("half barrel")

    assert barrel.brim_l.likely == pytest.approx(114.66749, abs=LITRES)
    assert barrel.fill_l.likely == pytest.approx(99.85932, abs=LITRES)


@pytest.mark.parametrize(
    ("deep_in", "litres"),
    # 32 sq ft x 144 x 5 in = 23,040 in3 = 377.55795 L; 3 in: 13,824 in3 = 226.53477 L.
    [(5, 377.55795), (3, 226.53477)],
)
def test_layers_of_the_worked_bed(deep_in, litres):
    """The bed of 8 by 4 ft, five inches of mix over three of logs."""
    bed = read_bed_shape("8 ft x 4 ft")

    assert bed.area_m2 * deep_in * INCH * 1000 == pytest.approx(litres, abs=LITRES)


@pytest.mark.parametrize(
    "given",
    # 12 x 4 + 6 x 4 = 72 sq ft; the L with a long side of 12 and a short one of 10 ft likewise:
    # 12 x 4 + 4 x 6 = 72. 72 x 0.09290304 m2 = 6.68901888 m2.
    [
        "12 ft x 4 ft + 6 ft x 4 ft",
        [
            *(["0 ft", "0 ft"], ["12 ft", "0 ft"], ["12 ft", "4 ft"]),
            *(["4 ft", "4 ft"], ["4 ft", "10 ft"], ["0 ft", "10 ft"]),
        ],
    ],
)
def test_l_shaped_bed(given):
    """An L-shaped bed as a sum and by its corners covers 72 square feet."""
    assert read_bed_shape(given).area_m2 == pytest.approx(6.68901888, rel=1e-12)


def test_round_bed():
    """A round bed of 5 ft covers pi x 2.5^2 = 19.634954 square feet."""
    assert read_bed_shape("round 5 ft").area_m2 / 0.09290304 == pytest.approx(19.634954, abs=1e-6)


def test_prismoid_of_unlike_ends():
    """A top of 24 by 12 in over a bottom of 10 by 10 in, 12 in high."""
    # Middle 17 x 11 = 187; (288 + 4 x 187 + 100) x 12 / 6 = 2,272 in3 = 37.23141 L.
    planter = Pyramid(
        top_m=(24 * INCH, 12 * INCH), bottom_m=(10 * INCH, 10 * INCH), height_m=12 * INCH
    )

    assert planter.volume_l() == pytest.approx(37.23141, abs=LITRES)


def test_triangle_prism():
    """A triangular corner planter with legs of 30 and 40 cm, 50 cm high, holds 30 L."""
    # 0.3 x 0.4 / 2 x 0.5 = 0.03 m3.
    assert Prism([(0, 0), (0.4, 0), (0, 0.3)], 0.5).volume_l() == pytest.approx(30.0, rel=1e-12)


def test_stack_of_two_boxes():
    """A box of 10 L under one of 20 L, all of 0.1 m2: 15 cm of them hold 15 L."""
    # 10 cm of the lower hold 10 L, 5 cm of the upper another 5 L.
    stack = Stack((Box(0.5, 0.2, 0.1), Box(0.5, 0.2, 0.2)))

    assert stack.volume_l(0.15) == pytest.approx(15.0, rel=1e-12)
    assert stack.volume_l() == pytest.approx(30.0, rel=1e-12)


def test_true_volume_of_a_pot_sold_as_3():
    """549 cubic inches are 8.99650 L, below the band of class #3."""
    # 549 x 16.387064 mL = 8,996.498 mL; the band begins at 628 in3 = 10.29108 L.
    pot = own_container("#3", volume_l=549 * 0.016387064, base=read_container("#3"))

    assert pot.brim_l.likely == pytest.approx(8.996498, abs=1e-6)
    assert read_container("#3").brim_l.low == pytest.approx(10.291076, abs=1e-6)
