"""Every unit that may be written: its spellings, and what one of it comes to, exactly.

A user's text is looked up here and nowhere else, so none reaches pint. `FACTORS` holds the everyday
units and is a copy of what pint derives from `DEFINITIONS` (a test compares the two, and both with
pint's own registry), because importing pint costs a command more than reading its plan does.
Every other unit is asked of pint itself, once.

Base units: litre, metre, square metre, kilogram, minute.
Definitions: the inch and pound of 1959, the US gallon of 231 and bushel of 2150.42 cubic inches
(NIST Handbook 44, appendix C), the imperial gallon of 4.54609 L; spoons and cups are the US ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, cast

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


_FACTORS = """
volume: litre 1, millilitre 0.001, cubic_metre 1000, cubic_centimetre 0.001
volume: cubic_inch 0.016387064, cubic_foot 28.316846592, cubic_yard 764.554857984
volume: gallon 3.785411784, liquid_quart 0.946352946, pint 0.473176473, cup 0.2365882365
volume: fluid_ounce 0.0295735295625, tablespoon 0.01478676478125, teaspoon 0.00492892159375
volume: bushel 35.23907016688, dry_quart 1.101220942715
volume: imperial_gallon 4.54609, imperial_bushel 36.36872
length: metre 1, millimetre 0.001, centimetre 0.01, inch 0.0254, foot 0.3048, yard 0.9144
area: square_metre 1, square_foot 0.09290304
mass: kilogram 1, gram 0.001, tonne 1000, pound 0.45359237, ounce 0.028349523125
time: minute 1, hour 60, day 1440, week 10080
"""


def _factors() -> Iterator[tuple[str, tuple[Dimension, Fraction]]]:
    for line in _FACTORS.strip().splitlines():
        dimension, _, rows = line.partition(": ")
        for name, value in map(str.split, rows.split(", ")):
            yield name, (cast("Dimension", dimension), Fraction(value))


FACTORS = dict(_factors())


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


# Unit of `factors.DEFINITIONS`: its spellings, folded (see `fold`).
_TABLE = """
litre: l, litre, litres, liter, liters, ltr, ltrs
millilitre: ml, millilitre, millilitres, milliliter, milliliters, mls
centilitre: cl, centilitre, centilitres, centiliter, centiliters
decilitre: dl, decilitre, decilitres, deciliter, deciliters
hectolitre: hl, hectolitre, hectolitres, hectoliter, hectoliters
cubic_metre: m3, cu m, cubic m, cubic metre, cubic metres, cubic meter, cubic meters, cbm
cubic_centimetre: cm3, cc, ccm, cu cm, cubic cm, cubic centimetre, cubic centimetres
cubic_centimetre: cubic centimeter, cubic centimeters
cubic_millimetre: mm3, cu mm, cubic mm, cubic millimetre, cubic millimetres
litre: dm3, cu dm, cubic dm, cubic decimetre, cubic decimetres, cubic decimeter, cubic decimeters
cubic_inch: in3, cu in, cuin, cubic in, cubic inch, cubic inches, cu inch, cu inches, inch3
cubic_foot: ft3, cu ft, cuft, cft, cf, cubic ft, cubic foot, cubic feet, cu foot, cu feet
cubic_foot: foot3, feet3
cubic_yard: yd3, cu yd, cuyd, cy, cubic yd, cubic yard, cubic yards, cu yard, cu yards, cu yds
cubic_yard: cubic yds, yds3, yard3
gallon: gal, gals, gallon, gallons, us gal, us gallon, us gallons, liq gal, liquid gallon
gallon: liquid gallons, usgal
liquid_quart: liq qt, liq qts, liq quart, liq quarts, liquid qt, liquid qts, liquid quart
liquid_quart: liquid quarts, fl qt, qt liq, us liq qt, us liquid quart
dry_quart: dry qt, dry qts, dry quart, dry quarts, qt dry, us dry qt, us dry quart
dry_quart: us dry quarts
dry_pint: dry pt, dry pts, dry pint, dry pints, us dry pt, us dry pint
dry_gallon: dry gal, dry gals, dry gallon, dry gallons, us dry gal, us dry gallon
pint: pt, pts, pint, pints, liq pt, liq pts, liq pint, liquid pt, liquid pint, liquid pints
pint: us pt, us pint
cup: cup, cups, us cup, us cups
gill: gill, gills
fluid_ounce: fl oz, floz, fl ozs, fluid oz, fluid ounce, fluid ounces, liq oz, us fl oz
tablespoon: tbsp, tbsps, tbs, tbl, tblsp, tablespoon, tablespoons, tablespoonful, tablespoonfuls
teaspoon: tsp, tsps, teaspoon, teaspoons, teaspoonful, teaspoonfuls
bushel: bu, bushel, bushels, us bu, us bushel, us bushels
peck: peck, pecks
imperial_gallon: imp gal, imp gals, imp gallon, imp gallons, imperial gal, imperial gallon
imperial_gallon: imperial gallons, uk gal, uk gallon, uk gallons
imperial_bushel: imp bu, imp bushel, imp bushels, imperial bu, imperial bushel, imperial bushels
imperial_bushel: uk bu, uk bushel, uk bushels
imperial_quart: imp qt, imp qts, imp quart, imp quarts, imperial qt, imperial quart
imperial_quart: imperial quarts, uk qt, uk quart
imperial_pint: imp pt, imp pts, imp pint, imp pints, imperial pt, imperial pint, imperial pints
imperial_pint: uk pt, uk pint, uk pints
imperial_fluid_ounce: imp fl oz, imperial fl oz, imperial fluid ounce, imperial fluid ounces
imperial_fluid_ounce: uk fl oz
metre: m, metre, metres, meter, meters
millimetre: mm, millimetre, millimetres, millimeter, millimeters
centimetre: cm, centimetre, centimetres, centimeter, centimeters, cms
decimetre: dm, decimetre, decimetres, decimeter, decimeters
kilometre: km, kilometre, kilometres, kilometer, kilometers
inch: in, ins, inch, inches, "
foot: ft, foot, feet, '
yard: yd, yds, yard, yards
square_metre: m2, sq m, sqm, square metre, square metres, square meter, square meters
square_centimetre: cm2, sq cm, square cm, square centimetre, square centimetres
square_inch: in2, sq in, square in, square inch, square inches
square_foot: ft2, sq ft, sqft, square ft, square foot, square feet, sq feet, sf
square_yard: yd2, sq yd, square yd, square yard, square yards, sq yds
kilogram: kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes
gram: g, gm, gms, gram, grams, gramme, grammes
milligram: mg, milligram, milligrams
tonne: tonne, tonnes, metric ton, metric tons
pound: lb, lbs, pound, pounds
ounce: oz, ozs, ounce, ounces
stone: stone, stones
short_ton: short ton, short tons, us ton, us tons
long_ton: long ton, long tons, uk ton, uk tons, imp ton, imp tons
second: s, sec, secs, second, seconds
minute: min, mins, minute, minutes
hour: h, hr, hrs, hour, hours
day: d, day, days
week: w, wk, wks, week, weeks
"""

_QUART = "`dry qt` as on a bag of mix, or `liq qt`"
_TON = "`short ton` (2000 lb), `long ton` (2240 lb) or `tonne` (1000 kg)"

# What is refused by name: folded spelling, and what to write instead.
AMBIGUOUS = MappingProxyType(
    {
        **dict.fromkeys(("qt", "qts", "quart", "quarts", "us qt", "us quart", "us quarts"), _QUART),
        **dict.fromkeys(("ton", "tons"), _TON),
        "t": "`tsp`, `tbsp` or `tonne`",
        "c": "`cup`",
        **dict.fromkeys(("spoon", "spoons", "spoonful", "spoonfuls"), "`tsp` or `tbsp`"),
        "Mg": "`mg` or `tonne`",
        **dict.fromkeys(
            ("trade gal", "trade gallon", "trade gallons"), "`gal`, measured, or the class, as `#1`"
        ),
        **dict.fromkeys(("month", "months", "mo"), "weeks or days; months differ in length"),
    }
)


def _spellings() -> dict[str, str]:
    table: dict[str, str] = {}
    for line in _TABLE.strip().splitlines():
        name, _, spellings = line.partition(": ")
        for spelling in spellings.split(", "):
            if table.setdefault(spelling, name) != name:
                raise ValueError(f"spelling must name one unit, got {spelling!r} for {name!r}")
    return table


SPELLINGS = MappingProxyType(_spellings())


def fold(unit: str) -> str:
    """Return a unit's text in the form of the table: no case, dots, hyphens or power signs."""
    if unit == "Mg" or (len(unit) == 1 and unit in "GMSDW"):
        return unit  # a capital that changes the meaning is no spelling of ours
    folded = re.sub(r" ?(?:\^|\*\*) ?([23])", r"\1", unit.lower())
    folded = re.sub(r"[ .-]+", " ", folded).strip()
    return "us" + folded[3:] if folded.startswith("u s ") else folded
