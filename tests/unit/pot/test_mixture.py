"""What is known of a plan's mixes: estimates against published mixes, and measurements."""

from fractions import Fraction
from types import SimpleNamespace

import pytest

from rootroom.catalogue.curves import published_mixes, retentions
from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Cone, Cylinder
from rootroom.plan.model import Measured, Mix
from rootroom.pot.blend import holding_of_ingredient
from rootroom.pot.mixture import figures_of_mixes, figures_of_parts, holding_of_measured
from rootroom.problems import Location

FOUR_INCH = Cylinder(0.1016, 0.1016)
SHRINK = Spread(0.0, 0.10, 0.20)
HERE = Location("plan.toml", 1, 1, 1)


def estimate(parts, shrink=SHRINK):
    """Return the figures of parts in hundredths."""
    shares = {name: part / 100 for name, part in parts.items()}
    return figures_of_parts("mix", shares, shrink, ingredients=ingredients())


def test_published_mixes_lie_in_their_range():
    """Of 30 published figures of ten mixes at least 24 lie between 10th and 90th percentile.

    Univ. of Arkansas, unit 7 table 1, in 4 in containers, taken as 4 in high.
    """
    inside = total = 0
    for mix in published_mixes():
        if not all(name in retentions() for name in mix.parts):
            continue
        found = estimate(mix.parts).water.in_pots([FOUR_INCH])[0]
        for spread, printed in (
            (found.porosity, mix.porosity_share),
            (found.capacity, mix.water_share),
            (found.air, mix.air_share),
        ):
            total += 1
            inside += spread.low - 0.005 <= printed <= spread.high + 0.005
            assert spread.likely == pytest.approx(printed, abs=0.11)
    assert total == 30
    assert inside >= 24


def test_bark_medium_from_pot_to_cell():
    """A medium of 28 % air and 43 % water in a #1 pot holds about 59 % water in a cell.

    Bilderback and Fonteno 1987; heights of 16.5 and 5 cm are ours (from memory).
    """
    measured = Measured(air_share=0.28, capacity_share=0.43, core_height_m=0.165)
    found = holding_of_measured("bark", measured, None).in_pots([Cylinder(0.1, 0.05)])[0]
    assert found.capacity.low <= 0.59 <= found.capacity.high


@pytest.mark.parametrize(("height_m", "air"), [(0.083, 0.13), (0.114, 0.20)])
def test_peat_and_vermiculite_by_height(height_m, air):
    """Peat and vermiculite hold 13 % air in a 3.25 in container and 20 % in a 4.5 in one.

    UC ANR Soil Mixes part 2, as quoted in a public file (second-hand).
    """
    found = estimate({"peat": 50, "vermiculite": 50}).water.in_pots([Cylinder(0.1, height_m)])[0]
    assert found.air.low <= air <= found.air.high
    assert found.air.likely == pytest.approx(air, abs=0.03)


def test_six_inch_pot_is_two_thirds_water():
    """In a 6 in pot water fills about 65 % of the pores (UMass BMP manual); filled 12 cm, ours."""
    pot = Cone(0.152, 0.11, 0.12)
    found = holding_of_ingredient("ready-made mix").in_pots([pot])[0]
    pores = found.porosity.likely
    assert found.capacity.low / pores <= 0.65 <= found.capacity.high / pores


def test_unknown_part_is_named():
    """A mix with much of an unknown part has no estimate, and says whose figures are missing."""
    figures = estimate({"peat": 60, "wool": 40})
    assert figures.water is None
    assert figures.dry_kg_per_m3 is None
    assert figures.words == "unknown; no published figures for wool"


def test_a_little_of_an_unknown_part_is_left_out():
    """Up to a tenth of a part without figures is left out of the estimate."""
    figures = estimate({"peat": 90, "wool": 10})
    assert figures.water is not None
    assert figures.words == ("estimate from its parts, not measured; no published figures for wool")


def test_measurement_is_exact_at_its_own_height():
    """Pores and water that were measured come back in a pot of the same height, without doubt."""
    measured = Measured(porosity_share=0.80, air_share=0.18, core_height_m=0.20)
    found = holding_of_measured("mix", measured, None).in_pots([Cylinder(0.3, 0.20)])[0]
    for spread, expected in ((found.air, 0.18), (found.capacity, 0.62), (found.porosity, 0.80)):
        assert spread.low == pytest.approx(expected, abs=1e-6)
        assert spread.high == pytest.approx(expected, abs=1e-6)


def test_one_measured_value_narrows_the_estimate():
    """Air alone narrows the range of air, at its height to the measured value."""
    guess = estimate({"peat": 50, "perlite": 25, "compost": 25})
    before = guess.water.in_pots([FOUR_INCH])[0]
    measured = Measured(air_share=0.15, core_height_m=0.1016)
    after = holding_of_measured("mix", measured, guess.water).in_pots([FOUR_INCH])[0]
    assert after.air.low == pytest.approx(0.15, abs=1e-6)
    assert after.air.high == pytest.approx(0.15, abs=1e-6)
    assert after.capacity.high - after.capacity.low < before.capacity.high - before.capacity.low


@pytest.mark.parametrize("given", ["porosity_share", "capacity_share"])
def test_other_single_values_do_too(given):
    """Pores or water alone likewise."""
    guess = estimate({"peat": 50, "perlite": 25, "compost": 25})
    before = guess.water.in_pots([FOUR_INCH])[0]
    spread = before.porosity if given == "porosity_share" else before.capacity
    measured = Measured(**{given: spread.likely, "core_height_m": 0.1016})
    after = holding_of_measured("mix", measured, guess.water).in_pots([FOUR_INCH])[0]
    held = after.porosity if given == "porosity_share" else after.capacity
    assert held.high - held.low < 1e-6 + (spread.high - spread.low) / 10


def test_unknown_height_of_a_test_leaves_a_range():
    """Where the plan does not tell the height of the test, the range stays open."""
    measured = Measured(porosity_share=0.80, air_share=0.18)
    found = holding_of_measured("mix", measured, None).in_pots([Cylinder(0.3, 0.20)])[0]
    assert found.air.high - found.air.low > 0.02


def test_nothing_of_water_measured():
    """A measured density alone says nothing of water."""
    measured = Measured(density_kg_per_m3=140)
    assert holding_of_measured("mix", measured, estimate({"peat": 100}).water) is None


def test_mix_of_mixes():
    """A mix inside a mix keeps its own loss, and peat in both moves together."""
    inner = estimate({"peat": 50, "perlite": 50})
    outer = figures_of_parts(
        "outer", {"inner": 1.0}, SHRINK, ingredients=ingredients(), mixes={"inner": inner}
    )
    one = inner.water.in_pots([FOUR_INCH])[0]
    other = outer.water.in_pots([FOUR_INCH])[0]
    assert one.capacity.likely == pytest.approx(other.capacity.likely)
    assert one.capacity.low == pytest.approx(other.capacity.low)


def test_bought_mix_has_the_published_range():
    """A mix without parts is given the published range of nursery substrates, and says so."""
    bag = Mix("bag", {}, HERE, SHRINK)
    blend = Mix("blend", {"peat": Fraction(1), "bag": Fraction(1)}, HERE, SHRINK)
    plan = SimpleNamespace(mixes={"blend": blend, "bag": bag}, ingredients=ingredients())
    found = figures_of_mixes(plan)
    assert list(found) == ["bag", "blend"]
    assert found["bag"].words == (
        "bought and not measured: the published range of nursery substrates"
    )
    assert found["blend"].basis == "estimate"


@pytest.mark.parametrize(
    ("measured", "basis", "words"),
    [
        (
            Measured(air_share=0.15, core_height_m=0.18),
            "estimate",
            "air measured, as the plan states; the rest an estimate",
        ),
        (
            Measured(capacity_share=0.55, core_height_m=0.18),
            "estimate",
            "water measured, as the plan states; the rest an estimate",
        ),
        (
            Measured(air_share=0.15, porosity_share=0.8, core_height_m=0.18),
            "measured",
            "measured, as the plan states",
        ),
        (Measured(density_kg_per_m3=200), "estimate", "estimate from its parts, not measured"),
    ],
    ids=["air", "water", "two", "density"],
)
def test_one_measured_figure_leaves_an_estimate(measured, basis, words):
    """One figure of three narrows the estimate, which keeps its name; two of them replace it."""
    parts = {"peat": Fraction(1), "bark": Fraction(1)}
    mix = Mix("mix", parts, HERE, SHRINK, measured=measured)
    plan = SimpleNamespace(mixes={"mix": mix}, ingredients=ingredients())
    found = figures_of_mixes(plan)["mix"]
    assert basis == found.basis
    assert words == found.words
