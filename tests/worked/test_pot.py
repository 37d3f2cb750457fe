"""Water, air and weight by hand; the arithmetic stands in the comments."""

from math import asinh, pi, sqrt

import pytest

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.containers.container import Container
from rootroom.containers.shapes import Cone, Cylinder
from rootroom.pot.blend import Holding
from rootroom.pot.curve import Curve
from rootroom.pot.lifting import lift_of_pot
from rootroom.pot.mixture import figures_of_parts
from rootroom.pot.water import water_and_air
from rootroom.pot.weight import floor_load, handled_density, moistened_density, pot_weight

pytestmark = pytest.mark.worked

CURVE = Curve(theta_s=0.85, theta_r=0.10, alpha_per_cm=0.1, n=2.0)


def exactly(value):
    """Return a known figure as a spread."""
    return Spread.exactly(value)


def test_straight_walls_at_n_2():
    """The closed form for n = 2: mean of 1/sqrt(1 + w2) over 0 to 1.5 is asinh(1.5)/1.5."""
    # asinh(1.5) = 1.194763; / 1.5 = 0.796509; 0.10 + 0.75 x 0.796509 = 0.697382
    found = water_and_air(Cylinder(0.2, 0.15), CURVE)
    assert found.capacity_share == pytest.approx(0.10 + 0.75 * asinh(1.5) / 1.5, abs=1e-9)
    assert found.capacity_share == pytest.approx(0.697382, abs=1e-6)
    assert found.air_share == pytest.approx(0.152618, abs=1e-6)


@pytest.mark.parametrize(("top", "bottom", "height"), [(30, 20, 28), (10, 14, 9), (12, 0, 40)])
def test_frustum_at_n_2(top, bottom, height):
    """The closed form of a cone frustum for n = 2, in centimetres."""
    # W = theta_r V + (theta_s - theta_r) pi (rb2 I0 + 2 rb k I1 + k2 I2), k = (rt - rb)/H,
    # s = sqrt(1 + (alpha H)2), a = asinh(alpha H); I0 = a/alpha, I1 = (s - 1)/alpha2,
    # I2 = H s/(2 alpha2) - a/(2 alpha3)
    alpha, rb, rt = CURVE.alpha_per_cm, bottom / 2, top / 2
    k, s, a = (rt - rb) / height, sqrt(1 + (alpha * height) ** 2), asinh(alpha * height)
    i0, i1 = a / alpha, (s - 1) / alpha**2
    i2 = height * s / (2 * alpha**2) - a / (2 * alpha**3)
    volume = pi * height * (rb**2 + rb * rt + rt**2) / 3
    water = 0.10 * volume + 0.75 * pi * (rb**2 * i0 + 2 * rb * k * i1 + k**2 * i2)
    found = water_and_air(Cone(top / 100, bottom / 100, height / 100), CURVE)
    assert found.capacity_share == pytest.approx(water / volume, abs=1e-9)
    assert found.capacity_share * found.volume_l == pytest.approx(water / 1000, rel=1e-9)


def test_weight_of_a_filled_pot():
    """Pot 0.5 kg, 10 L of a mix of 120 kg/m3 dry in which 69.7 % is water and 85 % pores."""
    # dry 10 x 0.12 = 1.2; drained 0.5 + 1.2 + 6.97382 = 8.67382; saturated 0.5 + 1.2 + 8.5 = 10.2
    side = sqrt(0.010 / 0.15 * 4 / pi)
    pot = Container(
        "pot",
        "own",
        exactly(10.0),
        exactly(10.0),
        shape=Cylinder(side, 0.15),
        height_m=0.15,
        weight_kg=exactly(0.5),
    )
    water = Holding("mix", (CURVE,), (CURVE,), (CURVE,))
    found = pot_weight(pot, exactly(120.0), water.in_pots([pot.shape])[0])
    assert found.dry.likely == pytest.approx(1.2)
    assert found.drained.likely == pytest.approx(8.67382, abs=1e-5)
    assert found.saturated.likely == pytest.approx(10.2)


def test_dry_density_of_a_blend():
    """3 bark at 180, 1 peat at 105, lost a tenth: (0.75 x 180 + 0.25 x 105) / 0.9 = 179.1667."""
    rows = {
        "bark": Ingredient("bark", dry_density_kg_per_m3=exactly(180)),
        "peat": Ingredient("peat", dry_density_kg_per_m3=exactly(105)),
    }
    figures = figures_of_parts("mix", {"bark": 0.75, "peat": 0.25}, exactly(0.1), ingredients=rows)
    assert figures.dry_kg_per_m3.likely == pytest.approx(179.1667, abs=1e-4)


def test_density_as_shovelled():
    """Half peat at 180 with 0.1 L water a litre, half sand at 1600: (140 + 800) / 1 = 940."""
    peat = Ingredient("peat", density_kg_per_m3=exactly(180), moisten_l_per_l=exactly(0.1))
    densities = {"peat": moistened_density(peat), "sand": exactly(1600)}
    parts = {"peat": 0.5, "sand": 0.5}
    assert handled_density(parts, densities, exactly(0)).likely == pytest.approx(940)
    assert handled_density(parts, densities, exactly(0.06)).likely == pytest.approx(1000)


def test_load_under_a_pot_and_over_an_area():
    """A drained #15 of 72 lb on 1.72 sq ft is 42 lb/sq ft; on a 2 by 2 ft grid 18."""
    # 72 lb = 32.658651 kg; 1.72 sq ft = 0.159793 m2; 41.86 lb/ft2 = 204.38 kg/m2
    # 4 sq ft = 0.371612 m2: 18 lb/ft2 = 87.88 kg/m2
    found = floor_load(exactly(32.658651), footprint_m2=0.159793, stands_m2=0.371612)
    assert found.under_pot.likely == pytest.approx(204.38, abs=0.01)
    assert found.over_area.likely == pytest.approx(87.88, abs=0.01)


def test_lift_of_a_pot_to_a_bench():
    """A #7 pot, 14 in wide and 11.4 in high, lifted by the rim from the ground to a 33 in bench."""
    # ground: H = 8 + 7 = 15, HM 0.66667; V = 11.4, VM 1 - 0.0075 x 18.6 = 0.8605;
    # D = 33, DM 0.82 + 1.8/33 = 0.874545; FM 1; CM 0.90
    # 51 x 0.66667 x 0.8605 x 0.874545 x 0.90 = 23.0282 lb
    # bench: V = 44.4, VM 0.892: 23.87 lb, so the ground end is judged; 27 lb / 23.0282 = 1.172
    found = lift_of_pot(
        weight_kg=27 * 0.45359237, width_m=14 * 0.0254, height_m=11.4 * 0.0254, system="us"
    )
    assert found.lift.limit == pytest.approx(23.0282, abs=1e-3)
    assert found.index == pytest.approx(1.1725, abs=1e-3)
    assert found.limit_kg == pytest.approx(23.0282 * 0.45359237, abs=1e-3)
    # In metric units the system's own figures are kilograms.
    metric = lift_of_pot(weight_kg=12.0, width_m=0.3, height_m=0.3, system="metric")
    assert metric.limit_kg == metric.lift.limit
    assert found.text == "lifting index 1.2, above 1: raised risk of back trouble for some people"
    assert found.advice == ("move it on a hand truck", "fill the pot where it will stand")
