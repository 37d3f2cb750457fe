"""What a container's text means, and what is said of one that means nothing."""

from __future__ import annotations

import pytest

from rootroom.containers.own import own_container
from rootroom.containers.text import read_container
from rootroom.problems import TextError


@pytest.mark.parametrize(
    ("text", "canonical", "kind"),
    [
        ("#1", "#1", "class"),
        ("#5 pot", "#5", "class"),
        ("no. 5", "#5", "class"),
        ("No 15", "#15", "class"),
        ("#SP4", "#SP4", "class"),
        ("sp4", "#SP4", "class"),
        ("12 in pot", "12 in pot", "round pot"),
        ('12" pot', "12 in pot", "round pot"),
        ('4" round', "4 in pot", "round pot"),
        ("12″ pot", "12 in pot", "round pot"),
        ("12-inch pots", "12 in pot", "round pot"),
        ("1 ft pot", "12 in pot", "round pot"),
        ("30 cm pot", "30 cm pot", "round pot"),
        ("300 mm pot", "30 cm pot", "round pot"),
        ("12 in azalea pot", "12 in azalea pot", "azalea pot"),
        ("8 in bulb pan", "8 in pan", "pan"),
        ("12 in hanging basket", "12 in basket", "basket"),
        ("4 in square pot", "4 in square pot", "square pot"),
        ("3½ in square", "3.5 in square pot", "square pot"),
        ("72-cell tray", "72-cell tray", "tray"),
        ("72 cells", "72-cell tray", "tray"),
        ("tray of 50", "50-cell tray", "tray"),
        ("6-pack", "6-pack", "pack"),
        ("six-packs", "6-pack", "pack"),
        ("cell pack of 4", "4-pack", "pack"),
        ("16 oz cup", "16 oz cup", "cup"),
        ("16-ounce plastic cups", "16 oz cup", "cup"),
        ("0.5 L cup", "0.5 L cup", "cup"),
        ("9 cm nursery cup", "9 cm cup", "cup"),
        ('3½" cup', "3.5 in cup", "cup"),
        ("2 cups", "2 cups", "volume"),
        ("6 in clay pot", "6 in clay pot", "clay pot"),
        ("15 cm terracotta pots", "15 cm clay pot", "clay pot"),
        ("#5 clay pot", "#5", "class"),
        ("2 ft window box", "24 in window box", "window box"),
        ("60 cm balcony boxes", "60 cm window box", "window box"),
        ("4 x 14 in tree pot", "4x14 in tree pot", "tree pot"),
        ('4" x 4" x 14" deep tree pots', "4x14 in tree pot", "tree pot"),
        ("10 cm x 14 in forestry pot", "10 cm x 14 in tree pot", "tree pot"),
        ("5 gal bag", "5 gal bag", "bag"),
        ("5-gallon grow bag", "5 gal bag", "bag"),
        ("20 L bag", "20 L bag", "bag"),
        ("5 gal bucket", "5 gal bucket", "bucket"),
        ("C10", "C10", "code"),
        ("c7.5 pot", "C7.5", "code"),
        ("P9", "P9", "code"),
        ("15 L", "15 L", "volume"),
        ("15 litre pot", "15 L", "volume"),
        ("3 gal true", "3 gal true", "volume"),
        ("1½ gal true", "1.5 gal true", "volume"),
        ("3 imp gal", "3 imp gal", "volume"),
        ("549 in3", "549 in3", "volume"),
        ("Half-barrel", "half barrel", "half barrel"),
        ("half whiskey barrel", "half barrel", "half barrel"),
        ("bare root", "bare root", "none"),
        ("Cuttings", "cutting", "none"),
        ("seed", "seed", "none"),
    ],
)
def test_spellings(text, canonical, kind):
    """The trade's spellings lead to one container each."""
    container = read_container(text)

    assert (canonical, kind) == (container.text, container.kind)


@pytest.mark.parametrize(
    ("text", "message", "code", "hint"),
    [
        (
            "3 gal",
            "gallons may be a nursery class or a true volume: `3 gal`",
            "ambiguous-container",
            "write `#3` for the nursery class, or `3 gal true` for 3 true gallons",
        ),
        (
            "4 gallon pot",
            "gallons may be a nursery class or a true volume: `4 gallon pot`",
            "ambiguous-container",
            "there is no class #4: write a class, as `#3`, or `4 gal true` for 4 true gallons",
        ),
        (
            "3 trade gal",
            "gallons may be a nursery class or a true volume: `3 trade gal`",
            "ambiguous-container",
            "write `#3` for the nursery class",
        ),
        (
            "12 in",
            "a size without the kind of container: `12 in`",
            "ambiguous-container",
            "write `12 in pot`, `12 in azalea pot`, `12 in pan`, `12 in basket` or "
            "`12 in square pot`",
        ),
        (
            "#6",
            "no such container class: `#6`",
            "unknown-container",
            "classes are #1, #2, #3, #5, #7, #10, #15, #20, #25; another needs its table: "
            '[containers."#6"] volume = ".."',
        ),
        (
            "36 in pot",
            "no figure for a round pot of this width, known are 2 to 24 in: `36 in pot`",
            "container-size",
            "give it a table under [containers]: round = { top, bottom, height }",
        ),
        ("C7,5", "unknown container: `C7,5`", "unknown-container", "write `C7.5`"),
        (
            "5 in bag",
            "unknown container: `5 in bag`",
            "unknown-container",
            "write its volume, as `5 gal bag`, or give it a table under [containers]",
        ),
        (
            "half barel",
            "unknown container: `half barel`",
            "unknown-container",
            "did you mean `half barrel`?",
        ),
        (
            "72-cel tray",
            "unknown container: `72-cel tray`",
            "unknown-container",
            "did you mean `72-cell tray`?",
        ),
        (
            "12 in azelea pot",
            "unknown container: `12 in azelea pot`",
            "unknown-container",
            "did you mean `12 in azalea pot`?",
        ),
        (
            "6-pak",
            "unknown container: `6-pak`",
            "unknown-container",
            "did you mean `6-pack`?",
        ),
        (
            "9-pack",
            "no figure for a pack of this many cells, known are 4-pack, 6-pack: `9-pack`",
            "container-size",
            "name the tray that it comes from, as `36-cell tray`",
        ),
        (
            "16 oz cupp",
            "unknown container: `16 oz cupp`",
            "unknown-container",
            "did you mean `16 oz cup`?",
        ),
        (
            "8 in cup",
            "no figure for a cup of this width, known are 1.5 to 6 in: `8 in cup`",
            "container-size",
            "give it a table under [containers]: round = { top, bottom, height }",
        ),
        (
            "6 in caly pot",
            "unknown container: `6 in caly pot`",
            "unknown-container",
            "did you mean `6 in clay pot`?",
        ),
        (
            "24 in windo box",
            "unknown container: `24 in windo box`",
            "unknown-container",
            "did you mean `24 in window box`?",
        ),
        (
            "window box",
            "unknown container: `window box`",
            "unknown-container",
            "write its length, as `24 in window box`",
        ),
        (
            "8 ft window box",
            "no figure for a window box of this length, known are 10 to 72 in: `8 ft window box`",
            "container-size",
            "give it a table under [containers]: box = { length, width, height }",
        ),
        (
            "4 in tree pot",
            "unknown container: `4 in tree pot`",
            "unknown-container",
            "write its width and its depth, as `4 x 14 in tree pot`",
        ),
        (
            "4 x 14 in tre pot",
            "unknown container: `4 x 14 in tre pot`",
            "unknown-container",
            "did you mean `4 x 14 in tree pot`?",
        ),
        (
            "4 x 90 in tree pot",
            "no figure for a tree pot of this depth, known are 1.5 to 36 in: `4 x 90 in tree pot`",
            "container-size",
            "give it a table under [containers]: box = { length, width, height }",
        ),
        (
            "big one",
            "unknown container: `big one`",
            "unknown-container",
            "write it as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, `5 gal bag`, "
            "`C10`, `15 L`, or give it a table under [containers]",
        ),
        (
            "2-cell tray",
            "cells of a tray must be 4 to 800: `2-cell tray`",
            "container-size",
            "",
        ),
        (
            "C0",
            "a C code is the litres filled, 0.05 to 2000: `C0`",
            "container-size",
            "",
        ),
        (
            "P99",
            "a P code is the width in cm, 4 to 30: `P99`",
            "container-size",
            "",
        ),
        (
            "99999 L",
            "a container holds 0.5 mL to 20,000 L: `99999 L`",
            "container-size",
            "",
        ),
    ],
)
def test_error_says_what_is_meant(text, message, code, hint):
    """A text that names no container, or two, is refused with what to write in its place."""
    with pytest.raises(TextError) as caught:
        read_container(text)

    error = caught.value
    assert (message, code, hint) == (error.message, error.code, error.hint)


def test_error_shows_little_of_a_long_text_and_nothing_unseen():
    """A message stays one short line, and marks that reverse the line are spelled out."""
    with pytest.raises(TextError) as caught:
        read_container("\u202epot " + "x" * 10_000)

    assert f"unknown container: `\\u202epot {'x' * 55}...`" == caught.value.message


def test_own_name_wins_and_is_found_by_any_spelling():
    """A plan's own `#3` answers to `#3 pot`, and its own names come before the catalogue's."""
    own = {
        "#3": own_container("#3", volume_l=9.0, base=read_container("#3")),
        "3 gal": own_container("3 gal", volume_l=10.5),
    }

    assert own["#3"] == read_container("#3 pot", own)
    assert own["3 gal"] == read_container("3 gal", own)


def test_error_names_the_nearest_own_container():
    """A slip in an own name is met with that name."""
    own = {"tall fig pot": own_container("tall fig pot", volume_l=20.0)}
    with pytest.raises(TextError) as caught:
        read_container("tal fig pot", own)

    assert "did you mean `tall fig pot`?" == caught.value.hint


def test_stated_volumes_are_what_is_filled():
    """C and P codes, bags and plain volumes have no headspace; a bucket has."""
    for text in ("C10", "P9", "5 gal bag", "15 L"):
        container = read_container(text)
        assert container.brim_l == container.fill_l, text
        assert 0.0 == container.headspace_m, text
    bucket = read_container("5 gal bucket")
    assert bucket.fill_l.likely < bucket.brim_l.likely


def test_a_tray_counts_by_its_cells():
    """Volumes are of one cell, without headspace; the tray knows how many it has."""
    tray = read_container("72-cell tray")

    assert (72, 0.0) == (tray.cells, tray.headspace_m)
    assert tray.brim_l == tray.fill_l
    assert tray.fill_l.likely < 0.1


def test_a_window_box_by_hand():
    """24 x 7 x 6.5 in at 0.85 of straight walls; its walls lean in 1.687 in; filled 5.5 in deep.

    24 x 7 x 6.5 = 1092 in3, 0.85 of it 928.2 in3 = 15.2105 L. With d the inset of the bottom,
    1 - 31 d / 336 + d2 / 504 = 0.85 gives d = 1.68707 in, a bottom of 22.31293 x 5.31293 in. At the
    fill line the sides are 23.74047 x 6.74047 in, half way up 23.02670 x 6.02670 in; Simpson's
    rule is exact: 5.5 / 6 x (118.5470 + 4 x 138.7750 + 160.0219) = 764.196 in3 = 12.5229 L.
    """
    box = read_container("24 in window box")

    assert pytest.approx(15.2105, abs=2e-4) == box.brim_l.likely
    assert pytest.approx(12.5229, abs=2e-4) == box.fill_l.likely
    assert pytest.approx(24 * 0.0254) == box.diameter_m


def test_a_tree_pot_by_hand():
    """4 x 4 x 14 in at 0.82 of straight walls is 183.68 in3, 3.00997 L."""
    assert pytest.approx(3.00997, abs=1e-5) == read_container("4 x 14 in tree pot").brim_l.likely


def test_a_pack_is_its_share_of_a_tray():
    """Six packs of six stand on as much floor as the tray that they come from."""
    pack, tray = read_container("6-pack"), read_container("36-cell tray")

    assert (6, tray.fill_l.likely) == (pack.cells, pack.fill_l.likely)
    assert pytest.approx(tray.footprint_m2) == 6 * pack.footprint_m2


def test_a_clay_pot_holds_less_than_a_plastic_one_of_its_width():
    """The wall takes room, by common practice; its range still holds the other's low end."""
    for width in (4, 6, 8, 10, 12):
        clay, plastic = (read_container(f"{width} in {kind}") for kind in ("clay pot", "pot"))
        assert clay.brim_l.likely < plastic.brim_l.likely
        assert clay.brim_l.high > plastic.brim_l.low


def test_nothing_holds_nothing():
    """Bare root, cutting and seed bring no ball."""
    for text in ("bare root", "cutting", "seed"):
        container = read_container(text)
        assert not container.holds
        assert 0.0 == container.fill_l.high


def test_classes_know_their_number():
    """`#n` carries n, `#SPn` none, and both tell whether they are of class #1 or more."""
    found = {
        text: (read_container(text).class_number, read_container(text).class_one_or_more)
        for text in ("#5", "#SP4", "12 in pot", "P9", "72-cell tray", "bare root")
    }

    assert {
        "#5": (5, True),
        "#SP4": (None, False),
        "12 in pot": (None, True),
        "P9": (None, False),
        "72-cell tray": (None, False),
        "bare root": (None, False),
    } == found


def test_share_of_the_top():
    """The top of a tapered pot holds more than its share of the height."""
    pot = own_container("pot", shape=read_container("#15").shape, headspace_m=0.0)
    assert pot.height_m is not None

    assert pot.top_share(pot.height_m) == pytest.approx(1.0)
    assert 0.5 < pot.top_share(pot.height_m / 2) < 0.7


@pytest.mark.parametrize("depth", [0.0, -0.1, 10.0])
def test_error_share_of_a_depth_outside(depth):
    """No depth, or one below the base, is a mistake of the caller."""
    with pytest.raises(ValueError, match="depth_m must lie between 0 and the fill's"):
        read_container("#15").top_share(depth)


def test_error_share_of_an_unknown_shape():
    """A plain volume has no depth to take off."""
    with pytest.raises(ValueError, match="shape must be known for a depth"):
        read_container("15 L").top_share(0.05)


def test_floor_of_a_tray_is_the_whole_tray():
    """What stands on the floor is the tray, not the cell."""
    assert (
        read_container("72-cell tray").footprint_m2 == read_container("128-cell tray").footprint_m2
    )


@pytest.mark.parametrize(("gallons", "held"), [("2.4", False), ("3", True)])
def test_true_gallons_that_no_class_holds_get_a_note(gallons, held):
    """2.4 gal are 554 in3, in the gap from 475 to 627 (ANSI Z60.1-2004 table); 3 gal are 693."""
    note = read_container(f"{gallons} gal true").note

    assert held != note.endswith("; no nursery class holds as much")
    assert "class" not in read_container("9 L").note
