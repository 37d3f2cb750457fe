"""What shapes refuse, and what they answer at their edges."""

from __future__ import annotations

import pytest
from attrs.exceptions import FrozenInstanceError

from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Prism, Pyramid, Shape, Stack

SHAPES = [
    Cone(0.3, 0.2, 0.3),
    Pyramid((0.1, 0.1), (0.07, 0.07), 0.06),
    Box(1.0, 0.3, 0.3),
    Cylinder(0.3, 0.25),
    HalfBarrel(0.6, 0.5, 0.4),
    Prism([(0, 0), (1, 0), (0, 1)], 0.2),
    Stack((Box(1, 1, 1), Cylinder(1, 1))),
]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
def test_every_shape_keeps_the_protocol(shape):
    """Each shape answers height, volume and section."""
    assert isinstance(shape, Shape)
    assert shape.volume_l(0.0) == 0.0
    assert shape.volume_l(shape.height_m) == pytest.approx(shape.volume_l(), rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
@pytest.mark.parametrize("beyond", [-0.01, 1.01, float("nan")])
def test_error_height_outside(shape, beyond):
    """A height below the base, above the brim or no number is a mistake of the caller."""
    with pytest.raises(ValueError, match="to_m must lie between 0 and the height"):
        shape.volume_l(beyond * shape.height_m)
    with pytest.raises(ValueError, match="z_m must lie between 0 and the height"):
        shape.section_m2(beyond * shape.height_m)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Cone(0, 0.1, 0.1), "top_m must be finite and positive, got 0.0"),
        (lambda: Cone(0.1, -0.1, 0.1), "bottom_m must be finite and not negative, got -0.1"),
        (lambda: Cone(0.1, 0.1, float("inf")), "height_m must be finite and positive, got inf"),
        (lambda: Cylinder(float("nan"), 1), "diameter_m must be finite and positive, got nan"),
        (lambda: Box(1, 0, 1), "width_m must be finite and positive, got 0.0"),
        (lambda: HalfBarrel(-1, 0, 1), "rim_m must be finite and positive, got -1.0"),
        (
            lambda: Pyramid((0.1, 0.0), 0.1, 0.1),
            "top_m must be finite and positive, got (0.1, 0.0)",
        ),
        (lambda: Pyramid((1, 2, 3), 1, 1), "need two sides, got (1, 2, 3)"),
        (lambda: Prism([(0, 0), (1, 1)], 1), "corners_m must be at least 3, got 2"),
        (
            lambda: Prism([(0, 0), (1, 1), (1, 0), (0, 1)], 1),
            "corners_m must not cross or touch, got side 1-2 over side 3-4",
        ),
        (
            lambda: Prism([(0, 0), (2, 0), (2, 1), (1, 0), (0, 1)], 1),
            "corners_m must not cross or touch, got side 1-2 over side 3-4",
        ),
        (
            lambda: Prism([(0, 0), (2, 0), (1, 0), (1, 1)], 1),
            "corners_m must not fold back, got a spike at corner 2",
        ),
        (
            lambda: Prism([(0, 0), (1, 0), (0, 0), (0, 1)], 1),
            "corners_m must differ, got (0.0, 0.0) at 1 and 3",
        ),
        (
            lambda: Prism([(i, i * i) for i in range(501)], 1),
            "corners_m must be at most 500, got 501",
        ),
        (lambda: Stack(()), "parts must hold at least one shape, got none"),
    ],
)
def test_error_names_field_rule_and_value(make, message):
    """A size that makes no shape is refused with its field, the rule and the value."""
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole text is compared below
        make()

    assert message == str(caught.value)


def test_either_end_may_be_the_wider():
    """A pot upside down holds the same, and less of it near the base."""
    wide_top, wide_bottom = Cone(0.3, 0.2, 0.3), Cone(0.2, 0.3, 0.3)

    assert wide_top.volume_l() == pytest.approx(wide_bottom.volume_l(), rel=1e-12)
    assert wide_top.volume_l(0.1) < wide_bottom.volume_l(0.1)


def test_one_side_makes_a_square():
    """A single number for a pyramid's end means a square."""
    assert Pyramid((0.1, 0.1), (0.07, 0.07), 0.06) == Pyramid(0.1, 0.07, 0.06)


def test_like_ends_follow_the_root_formula():
    """For ends of one proportion the prismoid is the frustum h (A1 + A2 + root of A1 A2) / 3."""
    pot = Pyramid((0.4, 0.2), (0.3, 0.15), 0.5)
    top, bottom = 0.4 * 0.2, 0.3 * 0.15

    root = 1000 * 0.5 * (top + bottom + (top * bottom) ** 0.5) / 3
    assert root == pytest.approx(pot.volume_l(), rel=1e-12)


def test_last_corner_may_repeat_the_first():
    """A closed outline is the same polygon as an open one."""
    ring = [(0, 0), (1, 0), (0, 1)]

    assert Prism(ring, 1) == Prism([*ring, ring[0]], 1)


def test_shapes_are_frozen():
    """A shape cannot be changed once made."""
    with pytest.raises(FrozenInstanceError):
        Cone(0.3, 0.2, 0.3).top_m = 1.0
