"""Laws that every shape and container keeps, whatever its sizes."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from rootroom.catalogue.minutes import minutes, minutes_rows
from rootroom.containers.beds import bed_from_corners
from rootroom.containers.container import fit_shape, resize
from rootroom.containers.own import own_container
from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Prism, Pyramid, Stack
from rootroom.containers.text import read_container, shipped_containers
from rootroom.problems import TextError

pytestmark = pytest.mark.property

FEW = settings(max_examples=60, deadline=None, derandomize=True)
sizes = st.floats(0.02, 2.0)
shares = st.floats(0.0, 1.0)


@st.composite
def stars(draw):
    """Corners of a polygon that may be hollow but never crosses: one a direction, in order."""
    count = draw(st.integers(3, 9))
    radii = [draw(st.floats(0.1, 1.0)) for _ in range(count)]
    turns = [2 * pi * (i + 0.3 * draw(st.floats(0, 1))) / count for i in range(count)]
    return [(r * cos(t), r * sin(t)) for r, t in zip(radii, turns, strict=True)]


simple = st.one_of(
    st.builds(Cone, sizes, sizes, sizes),
    st.builds(Pyramid, st.tuples(sizes, sizes), st.tuples(sizes, sizes), sizes),
    st.builds(Box, sizes, sizes, sizes),
    st.builds(Cylinder, sizes, sizes),
    st.builds(HalfBarrel, sizes, sizes, sizes),
    st.builds(Prism, stars(), sizes),
)
shapes = st.one_of(simple, st.builds(Stack, st.lists(simple, min_size=1, max_size=3)))


@FEW
@given(shapes, shares)
def test_volume_is_the_integral_of_the_section(shape, share):
    """The closed form agrees with numerical quadrature of the section."""
    height = share * shape.height_m
    seams = None
    if isinstance(shape, Stack):
        ends = np.cumsum([part.height_m for part in shape.parts])
        seams = [z for z in ends if 0 < z < height] or None
    area, _ = quad(lambda z: shape.section_m2(min(z, shape.height_m)), 0, height, points=seams)

    assert shape.volume_l(height) == pytest.approx(1000 * area, rel=1e-7, abs=1e-9)


@FEW
@given(shapes, shares, shares)
def test_volume_rises_with_height(shape, one, other):
    """More height never means less volume, and the brim is the most."""
    low, high = sorted((one * shape.height_m, other * shape.height_m))

    assert 0 <= shape.volume_l(low) <= shape.volume_l(high) * (1 + 1e-12)
    assert shape.volume_l(high) <= shape.volume_l() * (1 + 1e-12)


@FEW
@given(shapes, shapes)
def test_a_stack_holds_the_sum_of_its_parts(lower, upper):
    """Volumes add up, and the order changes only where they stand."""
    stack = Stack((lower, upper))

    assert stack.volume_l() == pytest.approx(lower.volume_l() + upper.volume_l(), rel=1e-12)
    assert stack.volume_l(lower.height_m) == pytest.approx(lower.volume_l(), rel=1e-9)


@FEW
@given(sizes, sizes, sizes, st.floats(0.01, 0.99))
def test_a_cut_pot_holds_the_sum_of_its_pieces(top, bottom, height, at):
    """A cone cut at any height is two cones with the same volume together."""
    middle = bottom + (top - bottom) * at
    pieces = Cone(middle, bottom, height * at), Cone(top, middle, height * (1 - at))

    assert Cone(top, bottom, height).volume_l() == pytest.approx(
        sum(piece.volume_l() for piece in pieces), rel=1e-12
    )


@FEW
@given(simple, st.floats(0.1, 10.0))
def test_volume_grows_with_the_cube_of_the_scale(shape, factor):
    """Inches or centimetres: all sizes times a factor is the volume times its cube."""
    scaled = resize(shape, volume_l=shape.volume_l() * factor**3, height_m=shape.height_m * factor)

    assert scaled.section_m2(0.0) == pytest.approx(shape.section_m2(0.0) * factor**2, rel=1e-9)
    assert scaled.volume_l() == pytest.approx(shape.volume_l() * factor**3, rel=1e-12)


@FEW
@given(shapes)
def test_section_of_an_array_is_that_of_each_height(shape):
    """A numpy array of heights gives what each height alone gives."""
    heights = np.linspace(0.0, shape.height_m, 7)
    each = [shape.section_m2(float(z)) for z in heights]

    assert shape.section_m2(heights) == pytest.approx(each, rel=1e-12)


@FEW
@given(stars(), st.floats(-50, 50), st.floats(-50, 50))
def test_a_bed_is_as_large_wherever_it_lies(corners, east, north):
    """Moving a bed, walking round it the other way or starting elsewhere changes nothing."""
    area = bed_from_corners(corners).area_m2
    moved = [(x + east, y + north) for x, y in corners]

    assert bed_from_corners(moved).area_m2 == pytest.approx(area, rel=1e-9, abs=1e-9)
    assert bed_from_corners(corners[::-1]).area_m2 == pytest.approx(area, rel=1e-12, abs=1e-15)
    assert bed_from_corners(corners[1:] + corners[:1]).area_m2 == pytest.approx(area, rel=1e-9)


@FEW
@given(st.integers(2, 24), st.sampled_from(["pot", "azalea pot", "pan", "basket", "square pot"]))
def test_inches_and_centimetres_are_one_pot(inches, kind):
    """A width in inches means the same container as the width in centimetres."""
    try:
        imperial = read_container(f"{inches} in {kind}")
    except TextError:
        with pytest.raises(TextError):
            read_container(f"{inches * 2.54:g} cm {kind}")
        return
    metric = read_container(f"{inches * 2.54:g} cm {kind}")

    assert imperial.brim_l.likely == pytest.approx(metric.brim_l.likely, rel=1e-9)
    assert imperial.fill_l.likely == pytest.approx(metric.fill_l.likely, rel=1e-9)


@pytest.mark.parametrize("kind", ["pot", "azalea pot", "pan", "basket", "square pot"])
def test_a_wider_pot_of_a_kind_holds_more(kind):
    """Between the least and the most width, volume rises at every step."""
    volumes = []
    for tenths in range(20, 241):
        try:
            volumes.append(read_container(f"{tenths / 10} in {kind}").brim_l)
        except TextError:
            continue

    assert 100 < len(volumes)
    for name in ("low", "likely", "high"):
        figures = [getattr(volume, name) for volume in volumes]
        assert figures == sorted(figures)


def test_more_cells_are_smaller_cells():
    """A tray of more cells has no larger ones, whatever their number."""
    volumes = [read_container(f"{cells}-cell tray").fill_l.likely for cells in range(4, 801)]

    assert volumes == sorted(volumes, reverse=True)


@FEW
@given(st.floats(0.2, 500), sizes, sizes, st.booleans())
def test_a_fitted_pot_has_the_volume_asked_for(volume_l, width, height, square):
    """Whatever sizes are listed, the shape holds the listed volume."""
    shape = fit_shape(volume_l=volume_l, width_m=width, height_m=height, square=square)

    assert shape.volume_l() == pytest.approx(volume_l, rel=1e-12)
    assert shape.height_m == height


def test_every_shipped_shape_holds_the_likely_brim():
    """No container of the catalogue has a shape that contradicts its volume."""
    for container in shipped_containers():
        assert container.fill_l.likely <= container.brim_l.likely, container.text
        if container.shape is not None:
            brim = container.shape.volume_l()
            fill = container.shape.volume_l(container.fill_height_m)
            assert brim == pytest.approx(container.brim_l.likely, rel=1e-9), container.text
            assert fill == pytest.approx(container.fill_l.likely, rel=1e-9), container.text


def test_every_spelling_leads_back_to_itself():
    """The text of a container is read as that very container."""
    for container in shipped_containers():
        assert read_container(container.text) == container


@FEW
@given(simple, st.floats(0.0, 0.9), st.floats(0.5, 2.0))
def test_an_own_volume_scales_fill_and_brim_alike(shape, headspace_share, factor):
    """A measured volume keeps the taper, so the filled share stays."""
    headspace = headspace_share * shape.height_m
    base = own_container("pot", shape=shape, headspace_m=headspace)
    if base.brim_l.likely * factor > 20_000:
        return
    own = own_container("pot", volume_l=base.brim_l.likely * factor, base=base)

    assert own.fill_l.likely == pytest.approx(base.fill_l.likely * factor, rel=1e-9)
    assert own.headspace_m == headspace


def test_minutes_never_fall_with_volume():
    """A larger container never takes less time, at low, likely and high alike."""
    volumes = [0.01 * 1.2**step for step in range(60)]
    for kind, row in minutes_rows().items():
        if row.knots:
            for name in ("low", "likely", "high"):
                times = [getattr(minutes(kind, volume), name) for volume in volumes]
                assert times == sorted(times), kind


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    st.text(max_size=40) | st.from_regex(r"[#CP]?[0-9.,/½ -]{0,6} ?[a-z\"']{0,12}", fullmatch=True)
)
def test_any_text_is_a_container_or_a_text_error(text):
    """No text ends in anything but a container or a mistake that names it."""
    try:
        container = read_container(text)
    except TextError:
        return
    assert container.fill_l.low >= 0
    assert read_container(container.text).fill_l == container.fill_l
