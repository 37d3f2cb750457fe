"""What growers write, and what it comes to."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.units import (
    Amount,
    Rate,
    read_amount,
    read_area_m2,
    read_density_kg_per_m3,
    read_duration_days,
    read_length_m,
    read_mass_kg,
    read_minutes,
    read_number,
    read_rate,
    read_share,
    read_volume_l,
)

CUBIC_FOOT = 28.316846592
GALLON = 3.785411784


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("2", Fraction(2)),
        ("2.5", Fraction(5, 2)),
        (".5", Fraction(1, 2)),
        ("5.", Fraction(5)),
        ("3/4", Fraction(3, 4)),
        ("3 / 4", Fraction(3, 4)),
        ("3⁄4", Fraction(3, 4)),
        ("1 1/2", Fraction(3, 2)),
        ("1-1/2", Fraction(3, 2)),
        ("1½", Fraction(3, 2)),
        ("1 ½", Fraction(3, 2)),
        ("½", Fraction(1, 2)),
        ("2⅓", Fraction(7, 3)),
        ("⅞", Fraction(7, 8)),
        ("0", Fraction(0)),
        ("  12  ", Fraction(12)),
        ("0.1", Fraction(1, 10)),
        ("1\u00a01/2", Fraction(3, 2)),
    ],
)
def test_number(text, number):
    """A number is read exactly."""
    assert number == read_number(text)


@pytest.mark.parametrize(
    "unit",
    [
        "cu ft",
        "cubic feet",
        "cubic foot",
        "ft3",
        "ft^3",
        "ft³",
        "ft ^ 3",
        "ft**3",
        "cf",
        "CF",
        "cu. ft.",
        "Cu. Ft.",
        "cu.ft.",
        "cuft",
        "cubic ft",
        "CUBIC FEET",
        "cu-ft",
        "cu  ft",
    ],
)
def test_spellings_of_the_cubic_foot(unit):
    """However a cubic foot is written, it is one."""
    assert 2.5 * CUBIC_FOOT == read_volume_l(f"2.5 {unit}")
    assert 2.5 * CUBIC_FOOT == read_volume_l(f"2 1/2{unit}")


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("7 L", 7.0),
        ("7 l", 7.0),
        ("7 litres", 7.0),
        ("7 Liters", 7.0),
        ("7L", 7.0),
        ("500 mL", 0.5),
        ("500 ml", 0.5),
        ("500 cm3", 0.5),
        ("500 cc", 0.5),
        ("0.5 m³", 500.0),
        ("0.5 m^3", 500.0),
        ("1 1/2 gal", 1.5 * GALLON),
        ("1½ gallons", 1.5 * GALLON),
        ("½ gal.", 0.5 * GALLON),
        ("3 US gal", 3 * GALLON),
        ("3 U.S. gallons", 3 * GALLON),
        ("1 imp. gal", 4.54609),
        ("1 Imperial gallon", 4.54609),
        ("549 cubic inches", 8.996498136),
        ("549 cu in", 8.996498136),
        ("25 dry qt", 27.530523567875),
        ("25 dry quarts", 27.530523567875),
        ("25 qt dry", 27.530523567875),
        ("4 liq qt", GALLON),
        ("2 tablespoons", 0.0295735295625),
        ("2 Tbsp", 0.0295735295625),
        ("3 tsp.", 0.01478676478125),
        ("1 fl. oz.", 0.0295735295625),
        ("2 bushels", 70.47814033376),
        ("4 pecks", 35.23907016688),
        ("0 L", 0.0),
    ],
)
def test_volume(text, litres):
    """Volumes in the words of the trade."""
    assert litres == pytest.approx(read_volume_l(text), rel=1e-15, abs=0)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("14 in", 14),
        ("14 in.", 14),
        ("14 inches", 14),
        ('14"', 14),
        ("14″", 14),
        ("14”", 14),
        ("14''", 14),
        ("11 ft 9 in", 141),
        ("11 ft. 9 in.", 141),
        ("11 ft, 9 in", 141),
        ("11 feet 9 inches", 141),
        ("11ft9in", 141),
        ("11' 9\"", 141),
        ("11'9\"", 141),
        ("11′ 9″", 141),
        ("11’ 9”", 141),
        ("5 ft 6 1/2 in", 66.5),
        ("5' 6½\"", 66.5),
        ("8'", 96),
        ("8 ft", 96),
        ("2 yd 1 ft", 84),
        ("1.5 yards", 54),
        ("254 mm", 10),
        ("25.4 cm", 10),
        ("0.254 m", 10),
        ("1 m 2 cm", 1.02 / 0.0254),
    ],
)
def test_length(text, inches):
    """Lengths, feet and inches together, and every mark for them."""
    assert inches * 0.0254 == pytest.approx(read_length_m(text), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [
        ("40 lb", 18.1436948),
        ("40 lbs.", 18.1436948),
        ("2 lb 8 oz", 1.133980925),
        ("12 oz", 0.3401942775),
        ("5 kg", 5.0),
        ("650 g", 0.65),
        ("1 kg 500 g", 1.5),
        ("2 t", 2000.0),
        ("2 tonnes", 2000.0),
        ("1 short ton", 907.18474),
    ],
)
def test_mass(text, kilograms):
    """Masses; a bare `t` is a tonne where nothing but a mass can stand."""
    assert kilograms == pytest.approx(read_mass_kg(text), rel=1e-15)


def test_area():
    """Areas in square feet and metres."""
    assert 2.97289728 == read_area_m2("32 sq ft")
    assert 3.0 == read_area_m2("3 m²")


@pytest.mark.parametrize(
    ("text", "kilograms_a_cubic_metre"),
    [
        ("2 lb/yd3", 2 * 0.45359237 / 0.764554857984),
        ("2 lb / cu yd", 2 * 0.45359237 / 0.764554857984),
        ("2 lb per cubic yard", 2 * 0.45359237 / 0.764554857984),
        ("2 lb 8 oz per yd3", 2.5 * 0.45359237 / 0.764554857984),
        ("1/2 lb/yd³", 0.5 * 0.45359237 / 0.764554857984),
        ("1 1/2 lb/yd^3", 1.5 * 0.45359237 / 0.764554857984),
        ("3 kg/m3", 3.0),
        ("3 g/L", 3.0),
        ("1 oz/yd3", 0.028349523125 / 0.764554857984),
        ("1 oz/bu", 0.028349523125 / 0.03523907016688),
        ("4 oz per cu ft", 0.1133980925 / 0.028316846592),
        ("2 oz per 4 gal", 0.05669904625 / 0.015141647136),
        ("100 g/100 L", 1.0),
    ],
)
def test_rate_by_mass(text, kilograms_a_cubic_metre):
    """Rates by mass, the lower volume with or without a number."""
    assert read_rate(text).l_per_l is None
    assert kilograms_a_cubic_metre / 1000 == pytest.approx(read_rate(text).kg_per_l, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("1 tbsp/gal", 1 / 256),
        ("2 tbsp per 5 gal", 2 / 1280),
        ("1/2 cup/bu", 0.11829411825 / 35.23907016688),
        ("3 mL/L", 0.003),
        ("1 cu ft/yd3", 1 / 27),
        ("1 ft3/yd3", 1 / 27),
    ],
)
def test_rate_by_volume(text, share):
    """Rates by spoon and cup."""
    assert Rate(None, pytest.approx(share, rel=1e-14)) == read_rate(text)


@pytest.mark.parametrize(
    ("text", "density"),
    [
        ("100 kg/m3", 100.0),
        ("12 oz/cup", 0.3401942775 / 0.2365882365 * 1000),
        ("0.1 g/cm3", 100.0),
        ("1 lb/cu ft", 0.45359237 / 0.028316846592),
    ],
)
def test_density(text, density):
    """Bulk densities, from a handbook and from a kitchen scale."""
    assert density == pytest.approx(read_density_kg_per_m3(text), rel=1e-14)


def test_amount():
    """An amount is by mass or by volume; a bare ounce is a weight."""
    assert Amount(kg=None, l=0.0295735295625) == read_amount("2 tbsp")
    assert Amount(kg=18.1436948, l=None) == read_amount("40 lb")
    assert Amount(kg=0.226796185, l=None) == read_amount("8 oz")


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("12 %", 0.12),
        ("12%", 0.12),
        ("12 percent", 0.12),
        ("12 per cent", 0.12),
        ("½ %", 0.005),
        ("1/3", 1 / 3),
        ("⅓", 1 / 3),
        ("0.25", 0.25),
        ("0", 0.0),
        ("0 %", 0.0),
        ("150 %", 1.5),
        ("1/1", 1.0),
    ],
)
def test_share(text, share):
    """Shares in per cent, as fractions and as decimals below one."""
    assert share == read_share(text)


@pytest.mark.parametrize(
    ("text", "days"), [("10 weeks", 70), ("1 week", 7), ("3 days", 3), ("1.0 wk", 7), ("48 h", 2)]
)
def test_days(text, days):
    """Whole days."""
    assert days == read_duration_days(text)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("20 min", 20.0),
        ("1 h", 60.0),
        ("1 1/2 h", 90.0),
        ("1 h 30 min", 90.0),
        ("2 hours", 120.0),
        ("90 sec", 1.5),
    ],
)
def test_minutes(text, minutes):
    """Minutes and hours."""
    assert minutes == read_minutes(text)
