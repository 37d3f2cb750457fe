"""Verdicts in words, their remedies, and that nothing is said where nothing is published."""

import pytest

from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.spread import Spread
from rootroom.catalogue.uses import Band, use_of, uses
from rootroom.containers.shapes import Cone, Cylinder, Pyramid
from rootroom.pot.blend import Blend, Holding, Part, holding_of_ingredient
from rootroom.pot.curve import Curve
from rootroom.pot.mixture import MixFigures, figures_of_parts
from rootroom.pot.verdict import MIX_TO_ONE_PART, compare, judge, remedies

SHRINK = Spread(0.05, 0.10, 0.20)


def known(*curves):
    """Return a mix with three known curves."""
    return MixFigures("mix", Holding("mix", *((one,) for one in curves)), None, "measured")


def adding(figures):
    """Return what tells how a mix holds water with a part more, no volume being lost."""

    def with_part(part, to_one):
        rows = (
            Part(to_one / (1 + to_one), figures.water),
            Part(1 / (1 + to_one), holding_of_ingredient(part)),
        )
        return Blend("mix", rows)

    return with_part


def band_of(use, of):
    """Return the band that a verdict on a use rests on."""
    return next(band for band in uses()[use].bands if band.first and band.of == of)


def test_no_band_is_ascribed_to_vegetables():
    """The source of the band is about container gardens, and the words keep to that."""
    assert {"container gardens", "container plants"} == {
        band.use for band in uses()["vegetables"].bands
    }


@pytest.mark.parametrize(
    ("crop", "use"),
    [
        ("tomato", "vegetables"),
        ("Cherry tomatoes", "vegetables"),
        ("fig", "figs"),
        ("apple tree", "nursery plants"),
        ("Meyer lemon", "citrus"),
        ("fig tree", "figs"),
        ("shade tree", "nursery plants"),
        ("lettuce seedlings", "vegetables"),
        ("something else", "container plants"),
        (None, "container plants"),
        ("peas", "vegetables"),
        ("pearl bush", "container plants"),
    ],
)
def test_use_of_a_crop(crop, use):
    """A crop is known by whole words; others are plain container plants."""
    assert use == use_of(crop).name


@pytest.mark.parametrize("use", ["figs", "citrus", "succulents", "seedlings"])
def test_no_figures_where_no_source_gives_them(use):
    """Figs, citrus, succulents and seedlings have words and no bands."""
    assert uses()[use].bands == ()
    verdict = judge(known(*[Curve(0.9, 0.1, 0.1, 2)] * 3), uses()[use], None)
    assert verdict.comparisons == ()
    assert "no source gives a figure" in verdict.words


def test_wet_pot_is_called_out():
    """A heavy mix in a low pot: the words name use, place, range and what is published."""
    wet = Curve(0.80, 0.0, 0.02, 1.3)
    figures = known(wet, wet, wet)
    pot = figures.water.in_pots([Pyramid((0.1, 0.1), (0.07, 0.07), 0.09)])[0]
    verdict = judge(figures, uses()["vegetables"], pot)
    assert verdict.comparisons[0].reading == "less"
    assert verdict.comparisons[0].text == (
        "holds more water and less air than is usual for container plants in this pot: "
        "1 % air, published 10 to 25 %"
    )


def test_vegetables_may_have_too_much_air_as_any_plant():
    """An open-ended source does not hide the upper end of another: 36 % air is more than usual."""
    open_mix = Curve(0.80, 0.2, 0.5, 1.5)
    figures = known(open_mix, open_mix, open_mix)
    pot = figures.water.in_pots([Cylinder(0.3, 0.3)])[0]
    readings = {
        use: judge(figures, uses()[use], pot).comparisons[0].reading
        for use in ("vegetables", "container plants")
    }
    assert readings == {"vegetables": "more", "container plants": "more"}


def test_core_is_compared_at_its_own_height():
    """Nursery bands were measured in a core, so the pot does not change the comparison."""
    figures = figures_of_parts(
        "mix", {"bark": 0.75, "peat": 0.25}, SHRINK, ingredients=ingredients()
    )
    band = band_of("nursery plants", "air")
    low, tall = figures.water.in_pots([Cylinder(0.1, 0.05), Cylinder(0.3, 0.4)])
    assert compare(figures, band, low) == compare(figures, band, tall)
    assert "in a 7.6 cm core" in compare(figures, band, low).text


def test_depth_that_is_enough_is_computed():
    """The depth of the remedy has enough air, and 5 mm less has not."""
    curve = Curve(0.85, 0.10, 0.05, 2.0)
    figures, band = known(curve, curve, curve), band_of("vegetables", "air")
    found = remedies(figures, band, Cone(0.1, 0.08, 0.16), 0.16, adding(figures))[0]
    assert found.kind == "depth"
    enough, less = figures.water.in_pots(
        [Cylinder(0.2, found.figure), Cylinder(0.2, found.figure - 0.005)]
    )
    assert less.air.likely < 0.10 <= enough.air.likely


def test_part_that_is_enough_is_computed():
    """The part of the remedy reaches the band, one step less does not."""
    parts = {"peat": 0.7, "compost": 0.2, "perlite": 0.1}
    shape = Pyramid((0.1, 0.1), (0.07, 0.07), 0.06)
    figures = figures_of_parts("mix", parts, SHRINK, ingredients=ingredients())
    with_part = adding(figures)
    found = remedies(figures, band_of("vegetables", "air"), shape, 0.06, with_part, parts=parts)
    change = next(one for one in found if one.kind == "part")
    assert "of perlite to" in change.text
    to_one = round(1 / change.figure - 1)
    less = MIX_TO_ONE_PART[MIX_TO_ONE_PART.index(to_one) - 1]
    airs = [
        with_part("perlite", number).in_pots([shape])[0].air.likely for number in (less, to_one)
    ]
    assert airs[0] < 0.10 <= airs[1]


@pytest.mark.parametrize(
    ("low", "text"),
    [
        (0.45, "1 part of peat to 1 of it"),
        (0.50, "1 part of coir to 1 of it"),
        (0.55, "no fine part alone would change that enough"),
    ],
)
def test_other_part_where_its_own_is_not_enough(low, text):
    """The mix's own part comes first, another where that falls short, none where all do."""
    gritty = {"grit": 0.9, "peat": 0.1}
    figures = figures_of_parts("mix", gritty, Spread(0, 0, 0), ingredients=ingredients())
    band = Band("any", "water", low, None, 0.076, None, "invented", "C", True)
    (found,) = remedies(figures, band, Cylinder(0.2, 0.2), 0.2, adding(figures), parts=gritty)
    assert text in found.text


def test_never_safe():
    """No text of a verdict promises anything."""
    for use in uses().values():
        assert "safe" not in use.words


def test_no_remedy_asks_for_a_pot_of_quite_another_depth():
    """A pot 30 cm deep with too much air is not to be filled 10 cm high."""
    curve = Curve(0.85, 0.20, 0.5, 1.6)
    figures, band = known(curve, curve, curve), band_of("vegetables", "air")
    high = Band("any", "air", None, 0.25, None, None, "invented", "C", True)
    found = remedies(figures, high, Cylinder(0.3, 0.3), 0.3, adding(figures))[0]
    assert found.kind == "depth"
    assert found.figure is None
    assert found.text == "no pot of about that depth would change it"

    wet = known(*[Curve(0.85, 0.10, 0.05, 2.0)] * 3)
    low = remedies(wet, band, Cylinder(0.1, 0.08), 0.08, adding(wet))[0]
    assert low.figure is None or 0.75 * 0.08 <= low.figure <= 1.5 * 0.08


@pytest.mark.parametrize(
    ("air", "text"),
    [
        (0.252, "25 % air, likely 25.2 %, published 10 to 25 %"),
        (0.262, "26 % air, published 10 to 25 %"),
    ],
)
def test_no_verdict_reads_the_other_way(air, text):
    """Air that rounds to the edge of a band is told in tenths where it lies outside."""
    band = Band("any plant", "air", 0.10, 0.25, None, None, "invented", "C", True)
    flat = Curve(0.80, 0.80 - air, 1e9, 9.0)
    figures = known(flat, flat, flat)
    pot = figures.water.in_pots([Cylinder(0.3, 0.3)])[0]
    found = compare(figures, band, pot)
    assert found.reading == "more"
    assert found.text.endswith(text)
