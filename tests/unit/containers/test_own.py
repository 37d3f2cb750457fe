"""A grower's own containers, beside the catalogue's and in place of them."""

from __future__ import annotations

import pytest

from rootroom.containers.own import own_container
from rootroom.containers.shapes import Box, Cone, Cylinder, Pyramid
from rootroom.containers.text import read_container
from rootroom.problems import TextError

THREE = read_container("#3")


def test_only_what_is_given_is_replaced():
    """A volume keeps headspace, height and class number; a headspace keeps the volume."""
    by_volume = own_container("#3", volume_l=11.0, base=THREE)
    by_headspace = own_container("#3", headspace_m=0.05, base=THREE)

    assert (11.0, 11.0, 11.0) == (
        by_volume.brim_l.low,
        by_volume.brim_l.likely,
        by_volume.brim_l.high,
    )
    assert (THREE.headspace_m, THREE.height_m, 3) == (
        by_volume.headspace_m,
        by_volume.height_m,
        by_volume.class_number,
    )
    assert THREE.brim_l == by_headspace.brim_l
    assert by_headspace.fill_l.likely < THREE.fill_l.likely


def test_nothing_given_is_the_catalogues():
    """A table that only counts what is on hand changes nothing."""
    assert THREE == own_container("#3", base=THREE)


@pytest.mark.parametrize(
    ("litres", "note"),
    [
        (
            549 * 0.016387064,
            "549 in3 (9 L) lies outside the band of class #3, 628 to 742 in3 (10.3 to 12.2 L); "
            "it fits no class; your own volume counts",
        ),
        (
            7.0,
            "427.2 in3 (7 L) lies outside the band of class #3, 628 to 742 in3 (10.3 to 12.2 L); "
            "it fits class #2; your own volume counts",
        ),
        (11.0, ""),
    ],
)
def test_note_on_a_class_that_the_volume_does_not_fit(litres, note):
    """The classes have gaps: the own volume wins, and a note says that it lies in one."""
    own = own_container("#3", volume_l=litres, base=THREE)

    assert litres == own.brim_l.likely
    assert note == own.note


def test_a_volume_alone_is_what_is_filled():
    """Without headspace the volume is filled whole, and the shape is not known."""
    own = own_container("tub", volume_l=11.0)

    assert own.brim_l == own.fill_l
    assert (None, None, 0.0, "own") == (own.shape, own.height_m, own.headspace_m, own.kind)


def test_a_volume_with_headspace_counts_as_straight_walled():
    """2 cm off 20 cm of height are a tenth of the volume."""
    own = own_container("tub", volume_l=11.0, headspace_m=0.02, height_m=0.20)

    assert 9.9 == pytest.approx(own.fill_l.likely)


@pytest.mark.parametrize("name", ["#3", "12 in pot", "4 in square pot", "half barrel", "C10"])
def test_a_volume_with_height_is_straight_walled_by_any_name(name):
    """A tenth of the height is a tenth of the volume under a name of the catalogue too."""
    own = own_container(
        name, volume_l=11.0, headspace_m=0.02, height_m=0.20, base=read_container(name)
    )

    assert 9.9 == pytest.approx(own.fill_l.likely)
    assert 0.5 == pytest.approx(own.top_share(0.09))
    assert 11.0 == pytest.approx(own.shape.volume_l())


def test_a_volume_with_height_keeps_the_catalogues_headspace():
    """The inch of #3 comes off straight walls: 11 L less 2.54 cm of 25.4 cm is 9.9 L."""
    own = own_container("#3", volume_l=11.0, height_m=0.254, base=THREE)

    assert 0.0254 == pytest.approx(THREE.headspace_m)
    assert 9.9 == pytest.approx(own.fill_l.likely)


def test_a_square_pot_stays_square():
    """Straight walls of a square pot have corners, those of a round one none."""
    square, round_ = (
        own_container(name, volume_l=1.0, height_m=0.1, base=read_container(name)).shape
        for name in ("4 in square pot", "6 in pot")
    )

    assert Box(0.1, 0.1, 0.1) == Box(
        *(round(side, 9) for side in (square.length_m, square.width_m, square.height_m))
    )
    assert isinstance(round_, Cylinder)


def test_a_shape_gets_the_usual_headspace():
    """Without a headspace the usual one for the width counts; a given nothing stays nothing."""
    shape = Cone(0.30, 0.25, 0.30)

    assert 0.0254 == own_container("pot", shape=shape).headspace_m
    assert 0.0 == own_container("pot", shape=shape, headspace_m=0.0).headspace_m


def test_the_shorter_side_of_a_trough_sets_its_headspace():
    """A trough of 100 by 15 cm is filled like a narrow pot."""
    assert 0.0127 == own_container("trough", shape=Box(1.0, 0.15, 0.15)).headspace_m


def test_an_own_shape_in_place_of_a_class_keeps_its_headspace():
    """The catalogue's headspace stays when only the shape is given."""
    own = own_container("#3", shape=Pyramid(0.26, 0.22, 0.20), base=THREE)

    assert (THREE.headspace_m, "class", "#3") == (own.headspace_m, own.kind, own.text)


@pytest.mark.parametrize(
    ("given", "message", "code"),
    [
        ({}, "a container without a size: `pot`", "container-sizes"),
        (
            {"shape": Box(1, 1, 1), "volume_l": 5.0},
            "a shape and a volume for one container: `pot`",
            "container-sizes",
        ),
        (
            {"shape": Box(1, 1, 1), "height_m": 1.0},
            "two heights for one container: `pot`",
            "container-sizes",
        ),
        (
            {"volume_l": 5.0, "headspace_m": 0.02},
            "a headspace needs the height of the container too: `pot`",
            "headspace",
        ),
        (
            {"shape": Box(1, 1, 0.3), "headspace_m": 0.3},
            "a headspace as deep as the container leaves nothing to fill: `pot`",
            "headspace",
        ),
        (
            {"shape": Box(1, 1, 0.3), "headspace_m": -0.01},
            "a headspace below nothing: `pot`",
            "headspace",
        ),
        (
            {"volume_l": 0.0},
            "a container holds more than nothing and at most 20,000 L: `pot`",
            "container-size",
        ),
        (
            {"shape": Box(3, 3, 3)},
            "a container holds more than nothing and at most 20,000 L: `pot`",
            "container-size",
        ),
        (
            {"volume_l": 5.0, "height_m": 50.0},
            "a container's height lies between 0 and 20 m: `pot`",
            "container-size",
        ),
        (
            {"volume_l": 5.0, "base": read_container("bare root")},
            "`pot` is no container",
            "container-sizes",
        ),
    ],
)
def test_error_own_container(given, message, code):
    """Sizes that fight, lack or make no sense are refused by name."""
    with pytest.raises(TextError) as caught:
        own_container("pot", **given)

    assert (message, code) == (caught.value.message, caught.value.code)
