"""Compost figures, fits and weights: what they refuse and what they say."""

import pytest
from attrs import evolve

from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.spread import Spread
from rootroom.containers.container import Container
from rootroom.containers.shapes import Box, Cone, Cylinder, Pyramid
from rootroom.pot.blend import Blend, Holding, Part
from rootroom.pot.curve import Curve
from rootroom.pot.fitting import fit_curve, fit_curves
from rootroom.pot.lifting import lift_of_pot, reach_width_m
from rootroom.pot.lime_and_compost import MATURITY_CHECKS, nitrogen_words
from rootroom.pot.mixture import MixFigures
from rootroom.pot.report import PotFigures
from rootroom.pot.weight import fill_shape, floor_load, pot_weight
from tests.support.plans import mix, plan

CURVE = Curve(0.85, 0.10, 0.1, 2.0)
MIX = MixFigures(
    "mix", Holding("mix", (CURVE,), (CURVE,), (CURVE,)), Spread.exactly(120), "measured"
)
SACK = Container("15 L", "volume", Spread.exactly(15), Spread.exactly(15))


def test_nitrogen_in_words():
    """Above 30 nitrogen is taken, below 20 given, between neither."""
    assert nitrogen_words(31) == "takes nitrogen from the plants while it rots on"
    assert nitrogen_words(19) == "gives nitrogen to the plants"
    assert nitrogen_words(25) == nitrogen_words(30) == nitrogen_words(20)


def test_checks_of_ripeness_have_sources():
    """Smell, heat and germination, each with what to do and whose it is."""
    assert [one.name for one in MATURITY_CHECKS] == ["smell", "heat", "germination"]
    assert all(one.how and one.not_ready and one.source for one in MATURITY_CHECKS)


@pytest.mark.parametrize(("porosity", "capacity"), [(0.5, 0.5), (0.5, 0.6), (1.0, 0.5), (0.5, 0.0)])
def test_error_fit_of_impossible_measures(porosity, capacity):
    """Water must lie between nothing and the pores, pores below the whole."""
    with pytest.raises(ValueError, match="need 0 < capacity < porosity < 1"):
        fit_curve(porosity_share=porosity, capacity_share=capacity, core_m=0.076, n=1.5)


def test_error_fit_without_a_height():
    """A core needs a height."""
    with pytest.raises(ValueError, match="core_m must be above 0, got 0"):
        fit_curve(porosity_share=0.8, capacity_share=0.6, core_m=0, n=1.5)


def test_fits_agree_at_the_core_and_part_away_from_it():
    """Three steepnesses hold the same water at 7.6 cm, and not at 30 cm."""
    curves = fit_curves(0.80, 0.55, 0.076)
    assert len(curves) == 3
    holding = Holding("mix", curves, curves, curves)
    same, other = holding.in_pots([Cylinder(0.1, 0.076), Cylinder(0.1, 0.30)])
    assert same.capacity.high - same.capacity.low < 1e-9
    assert other.capacity.high - other.capacity.low > 0.01


@pytest.mark.parametrize("shares", [(), (0.5,), (1.2, -0.2)])
def test_error_parts_that_are_no_whole(shares):
    """Parts must sum to the whole, none negative."""
    with pytest.raises(ValueError, match="share"):
        Blend("mix", tuple(Part(share, MIX.water) for share in shares))


def weigh(container):
    """Return the weight of a container filled with the mix."""
    shape, fill, _ = fill_shape(container)
    return pot_weight(container, MIX.dry_kg_per_m3, MIX.water.in_pots([shape], [fill])[0])


def test_pot_without_a_height_has_a_weight():
    """A plain volume is weighed as a pot as high as wide, and known to have no height."""
    shape, height, known = fill_shape(SACK)
    assert not known
    assert shape.volume_l(height) == pytest.approx(15)
    assert weigh(SACK).drained.likely > 15 * 0.12


def test_tray_weight_is_of_one_cell():
    """The empty weight of a tray is shared by its cells."""
    tray = Container(
        "50-cell tray",
        "tray",
        Spread.exactly(0.1),
        Spread.exactly(0.1),
        shape=Cylinder(0.05, 0.051),
        height_m=0.051,
        cells=50,
        weight_kg=Spread.exactly(0.1),
    )
    assert weigh(tray).pot.likely == pytest.approx(0.002)


def test_load_stands_beside_published_loads_without_verdict():
    """Loads carry the published figures with their edition, and None where an area is unknown."""
    found = floor_load(Spread.exactly(30), footprint_m2=None, count=4, stands_m2=0.6)
    assert found.under_pot is None
    assert found.over_area.likely == pytest.approx(200)
    assert all(load.edition for load in found.published)
    with pytest.raises(ValueError, match="stands_m2 must be above 0"):
        floor_load(Spread.exactly(30), footprint_m2=None, stands_m2=0)


def test_two_people_have_no_index():
    """The equation is for one person."""
    found = lift_of_pot(weight_kg=40, width_m=0.4, height_m=0.35, system="metric", people=2)
    assert found.index is None
    assert found.text == "a lift by 2: the equation is for one person, so there is no index"
    assert "move it on a hand truck" in found.advice


def test_wide_tub_is_outside():
    """A tub of 1 m is too wide to be held near: no index, and the reason."""
    found = lift_of_pot(weight_kg=90, width_m=1.0, height_m=0.43, system="us", refreshed=True)
    assert found.index is None
    assert found.text == "outside the equation: hands further than 25 in from the ankles"
    assert found.advice[0] == "work on it where it stands"


def test_light_pot_needs_no_advice():
    """A small pot is within the goal and gets no advice."""
    found = lift_of_pot(weight_kg=2, width_m=0.15, height_m=0.15, system="metric")
    assert found.index < 1
    assert found.advice == ()


def test_error_weight_of_nothing():
    """A lift needs a weight and sizes."""
    with pytest.raises(ValueError, match="weight_kg must be above 0"):
        lift_of_pot(weight_kg=0, width_m=0.15, height_m=0.15, system="metric")


@pytest.mark.parametrize(
    ("shape", "width_m"),
    [
        (Box(1.0, 0.22, 0.2), 0.22),
        (Pyramid((0.2, 0.6), (0.25, 0.5), 0.2), 0.25),
        (Cone(0.4, 0.3, 0.3), 0.4),
    ],
    ids=["long box", "tapered trough", "round"],
)
def test_reach_is_across_the_narrow_side(shape, width_m):
    """A long box is lifted from its long side, so only its depth keeps the hands from the body."""
    brim = Spread.exactly(shape.volume_l())
    container = Container("box", "own", brim, brim, shape=shape, height_m=shape.height_m)
    assert width_m == reach_width_m(container)


def test_what_is_moved_weighs_its_pot_too():
    """An empty pot of 0.4 kg adds its weight; one whose weight nobody knows adds nothing."""
    bare = Container("bare", "pot", Spread.exactly(5), Spread.exactly(5))
    heavy = evolve(bare, text="heavy", weight_kg=Spread.exactly(0.4))
    tree = mix("tree", {"peat": 1, "perlite": 1})
    figures = PotFigures(plan([], [tree], ingredients=dict(ingredients())))
    light = figures.drained_kg("tree", bare)
    assert light > 1
    assert figures.drained_kg("tree", heavy) == pytest.approx(light + 0.4)
