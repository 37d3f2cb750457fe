"""Sizes of units: exact, from the definitions, and the same as pint's."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from rootroom.units import known_units, read_length_m, read_mass_kg, read_volume_l

# Our name: pint's own, where they differ.
PINT_NAMES = {
    "tonne": "metric_ton",
    "square_metre": "meter ** 2",
    "square_centimetre": "centimeter ** 2",
    "square_inch": "inch ** 2",
    "square_foot": "foot ** 2",
    "square_yard": "yard ** 2",
    "cubic_metre": "meter ** 3",
    "cubic_centimetre": "centimeter ** 3",
    "cubic_millimetre": "millimeter ** 3",
    "cubic_inch": "inch ** 3",
    "cubic_foot": "foot ** 3",
    "cubic_yard": "yard ** 3",
}
BASES = {
    "volume": "liter",
    "length": "meter",
    "area": "meter ** 2",
    "mass": "kilogram",
    "time": "minute",
}
DEFINED = [line.split(" = ")[0] for line in known_units.DEFINITIONS.strip().splitlines()]


@pytest.fixture(scope="module")
def pints_own():
    """Return pint's own registry, which knows nothing of our definitions."""
    import pint  # noqa: TID251  # the reference, not a tool of ours

    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("name", sorted(known_units.FACTORS))
def test_everyday_factor_is_what_pint_derives(name):
    """The table that spares us pint holds exactly what pint makes of the definitions."""
    assert known_units.ask_pint(name) == known_units.FACTORS[name]


@pytest.mark.parametrize("name", DEFINED)
def test_factor_agrees_with_pints_own_definition(name, pints_own):
    """Every unit is the one that pint's own list of units defines."""
    dimension, size = known_units.factor(name)
    one = pints_own.Quantity(Fraction(1), PINT_NAMES.get(name, name))

    assert one.to(BASES[dimension]).magnitude == size


@pytest.mark.parametrize("name", sorted(set(known_units.SPELLINGS.values())))
def test_each_spelling_names_a_defined_unit(name):
    """No spelling leads to a unit that is not defined."""
    assert name in DEFINED


def test_each_unit_has_a_spelling():
    """No unit is defined that nobody can write."""
    assert set() == set(DEFINED) - set(known_units.SPELLINGS.values())


@pytest.mark.parametrize("spelling", sorted(known_units.SPELLINGS))
def test_spelling_is_folded(spelling):
    """A spelling in the table is one that folding gives, else it could never be found."""
    assert spelling == known_units.fold(spelling)


def test_no_spelling_is_also_refused():
    """What is refused by name has no meaning as well."""
    assert set() == set(known_units.AMBIGUOUS) & set(known_units.SPELLINGS)


@pytest.mark.parametrize("name", ["smoot", "", "litre + 1", "__import__('os')"])
def test_factor_of_an_undefined_name_is_a_programming_mistake(name):
    """Only names of the definitions are units."""
    with pytest.raises(ValueError, match="must be a defined unit"):
        known_units.factor(name)


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("1 gal", 3.785411784),
        ("1 cu ft", 28.316846592),
        ("1 yd3", 764.554857984),
        ("1 in3", 0.016387064),
        ("1 bu", 35.23907016688),
        ("1 dry qt", 1.101220942715),
        ("1 liq qt", 0.946352946),
        ("1 pt", 0.473176473),
        ("1 cup", 0.2365882365),
        ("1 tbsp", 0.01478676478125),
        ("1 tsp", 0.00492892159375),
        ("1 fl oz", 0.0295735295625),
        ("1 imp gal", 4.54609),
        ("1 imp bu", 36.36872),
        ("1 m3", 1000.0),
        ("1 mL", 0.001),
        ("1 hL", 100.0),
    ],
)
def test_volume_is_the_nearest_float(text, litres):
    """One of a unit is the float nearest to its exact size, not a last digit off."""
    assert litres == read_volume_l(text)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("1 in", 0.0254), ("1 ft", 0.3048), ("1 yd", 0.9144), ("1 cm", 0.01), ("1 mm", 0.001)],
)
def test_length_is_the_nearest_float(text, metres):
    """Lengths likewise."""
    assert metres == read_length_m(text)


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [("1 lb", 0.45359237), ("1 oz", 0.028349523125), ("1 g", 0.001), ("1 tonne", 1000.0)],
)
def test_mass_is_the_nearest_float(text, kilograms):
    """Masses likewise."""
    assert kilograms == read_mass_kg(text)


def test_everyday_units_leave_pint_alone():
    """Reading and showing everyday amounts does not import pint; a rare unit does."""
    code = (
        "import sys; from rootroom import units as u\n"
        "u.read_volume_l('2.5 cu ft'); u.read_rate('2 lb/yd3'); u.read_minutes('20 min')\n"
        "u.read_duration_days('10 weeks'); u.show(12.0, 'volume', 'us')\n"
        "print('pint' in sys.modules, end=' ')\n"
        "print(u.read_volume_l('2 hL'), 'pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert "False 200.0 True\n" == done.stdout
