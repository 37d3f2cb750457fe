"""The closed table: every way that a unit may be written, and what is refused by name.

A text is looked up here and nowhere else, so no user's text reaches pint.
"""

from __future__ import annotations

import re
from types import MappingProxyType

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
