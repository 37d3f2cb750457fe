"""What one of each unit comes to in our base units, exactly.

`FACTORS` holds the everyday units and is a copy of what pint derives from `DEFINITIONS`
(a test compares the two, and both with pint's own registry), because importing pint costs a command
more than reading its plan does.
Every other unit is asked of pint itself, once.

Base units: litre, metre, square metre, kilogram, minute.
Definitions: the inch and pound of 1959, the US gallon of 231 and bushel of 2150.42 cubic inches
(NIST Handbook 44, appendix C), the imperial gallon of 4.54609 L; spoons and cups are the US ones.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any, Literal

Dimension = Literal["volume", "length", "area", "mass", "time"]

DEFINITIONS = """
metre = [length]
millimetre = 0.001 metre
centimetre = 0.01 metre
decimetre = 0.1 metre
kilometre = 1000 metre
inch = 0.0254 metre
foot = 12 inch
yard = 3 foot
square_metre = metre ** 2
square_centimetre = centimetre ** 2
square_inch = inch ** 2
square_foot = foot ** 2
square_yard = yard ** 2
cubic_metre = metre ** 3
cubic_centimetre = centimetre ** 3
cubic_millimetre = millimetre ** 3
litre = decimetre ** 3
millilitre = 0.001 litre
centilitre = 0.01 litre
decilitre = 0.1 litre
hectolitre = 100 litre
cubic_inch = inch ** 3
cubic_foot = foot ** 3
cubic_yard = yard ** 3
gallon = 231 cubic_inch
liquid_quart = gallon / 4
pint = gallon / 8
cup = gallon / 16
gill = gallon / 32
fluid_ounce = gallon / 128
tablespoon = fluid_ounce / 2
teaspoon = tablespoon / 3
bushel = 2150.42 cubic_inch
peck = bushel / 4
dry_gallon = bushel / 8
dry_quart = bushel / 32
dry_pint = bushel / 64
imperial_gallon = 4.54609 litre
imperial_bushel = 8 imperial_gallon
imperial_quart = imperial_gallon / 4
imperial_pint = imperial_gallon / 8
imperial_fluid_ounce = imperial_gallon / 160
kilogram = [mass]
gram = 0.001 kilogram
milligram = 0.001 gram
tonne = 1000 kilogram
pound = 0.45359237 kilogram
ounce = pound / 16
stone = 14 pound
short_ton = 2000 pound
long_ton = 2240 pound
minute = [time]
second = minute / 60
hour = 60 minute
day = 24 hour
week = 7 day
"""

_BASES: dict[Dimension, tuple[str, str]] = {
    "volume": ("litre", "[length] ** 3"),
    "length": ("metre", "[length]"),
    "area": ("square_metre", "[length] ** 2"),
    "mass": ("kilogram", "[mass]"),
    "time": ("minute", "[time]"),
}


def _table(dimension: Dimension, rows: dict[str, str]) -> dict[str, tuple[Dimension, Fraction]]:
    return {name: (dimension, Fraction(value)) for name, value in rows.items()}


FACTORS: dict[str, tuple[Dimension, Fraction]] = {
    **_table(
        "volume",
        {
            "litre": "1",
            "millilitre": "0.001",
            "cubic_metre": "1000",
            "cubic_centimetre": "0.001",
            "cubic_inch": "0.016387064",
            "cubic_foot": "28.316846592",
            "cubic_yard": "764.554857984",
            "gallon": "3.785411784",
            "liquid_quart": "0.946352946",
            "pint": "0.473176473",
            "cup": "0.2365882365",
            "fluid_ounce": "0.0295735295625",
            "tablespoon": "0.01478676478125",
            "teaspoon": "0.00492892159375",
            "bushel": "35.23907016688",
            "dry_quart": "1.101220942715",
            "imperial_gallon": "4.54609",
            "imperial_bushel": "36.36872",
        },
    ),
    **_table(
        "length",
        {
            "metre": "1",
            "millimetre": "0.001",
            "centimetre": "0.01",
            "inch": "0.0254",
            "foot": "0.3048",
            "yard": "0.9144",
        },
    ),
    **_table(
        "area",
        {"square_metre": "1", "square_foot": "0.09290304"},
    ),
    **_table(
        "mass",
        {
            "kilogram": "1",
            "gram": "0.001",
            "tonne": "1000",
            "pound": "0.45359237",
            "ounce": "0.028349523125",
        },
    ),
    **_table(
        "time",
        {"minute": "1", "hour": "60", "day": "1440", "week": "10080"},
    ),
}


def factor(name: str) -> tuple[Dimension, Fraction]:
    """Return what the unit `name` measures and its size in base units [L, m, m2, kg, min].

    `name` is a unit of `DEFINITIONS`, never a user's text; another name raises ValueError.
    """
    known = FACTORS.get(name)
    return known if known is not None else ask_pint(name)


@cache
def ask_pint(name: str) -> tuple[Dimension, Fraction]:
    """Return the same as `factor`, derived by pint from `DEFINITIONS`."""
    if f"\n{name} = " not in DEFINITIONS:
        raise ValueError(f"name must be a defined unit, got {name!r}")
    for dimension, (base, formula) in _BASES.items():
        ratio = _registry()(name, base, formula)
        if ratio is not None:
            return dimension, ratio
    raise ValueError(f"name must measure one of {', '.join(_BASES)}, got {name!r}")


@cache
def _registry() -> Callable[[str, str, str], Fraction | None]:
    # Fractions keep a gallon at exactly 3.785411784 L; in floats it is 3.785411783999999.
    # An own list takes 5 ms where pint's own takes 130, and knows nothing that makes no sense here.
    from pint import UnitRegistry

    registry: UnitRegistry[Any] = UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions(DEFINITIONS.strip().splitlines())

    def ratio(name: str, base: str, formula: str) -> Fraction | None:
        one = registry.Quantity(Fraction(1), name)
        if not one.check(formula):
            return None
        return Fraction(one.to(base).magnitude)

    return ratio
