"""What people read: rounded as one measures, in the unit that one measures with."""

from __future__ import annotations

import pytest

from rootroom import units
from rootroom.units import (
    Rate,
    show,
    show_length,
    show_mass,
    show_minutes,
    show_rate,
    show_spoons,
    show_volume,
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "us", "metric"),
    [
        ("0 L", "0 cu ft", "0 L"),
        ("0.001 mL", "¼ tsp", "0.5 mL"),
        ("1 tsp", "1 tsp", "5 mL"),
        ("2 tbsp", "2 tbsp", "30 mL"),
        ("1/4 cup", "¼ cup", "59 mL"),
        ("1 1/4 cups", "1¼ cups", "300 mL"),
        ("7.1 cups", "7 cups", "1.7 L"),
        ("1 gal", "1 gal", "3.8 L"),
        ("15.6 cups", "1 gal", "3.7 L"),
        ("2.8 gal", "2¾ gal", "11 L"),
        ("0.99 cu ft", "1 cu ft", "28 L"),
        ("2.2 cu ft", "2¼ cu ft", "62 L"),
        ("10.6 cu ft", "10½ cu ft", "300 L"),
        ("31.7 cu ft", "32 cu ft", "898 L"),
        ("10 yd3", "10 cu yd", "7650 L"),
        ("15.1 yd3", "15 cu yd", "11.5 m³"),
    ],
)
def test_volume(text, us, metric):
    """Spoons, cups, gallons, quarter cubic feet, whole litres."""
    litres = units.read_volume_l(text)

    assert us == show_volume(litres, "us")
    assert metric == show_volume(litres, "metric")


@pytest.mark.parametrize(
    ("text", "us", "metric"),
    [
        ("0 kg", "0 lb", "0 kg"),
        ("0.1 g", "¼ oz", "0.5 g"),
        ("3.2 oz", "3¼ oz", "91 g"),
        ("15.8 oz", "1 lb", "450 g"),
        ("0.90283 kg", "2 lb", "905 g"),
        ("2 lb 8 oz", "2 lb 8 oz", "1.15 kg"),
        ("17.6 lb", "17½ lb", "8 kg"),
        ("123.4 lb", "123 lb", "56 kg"),
    ],
)
def test_mass(text, us, metric):
    """Pounds and ounces, grams and kilograms."""
    kilograms = units.read_mass_kg(text)

    assert us == show_mass(kilograms, "us")
    assert metric == show_mass(kilograms, "metric")


@pytest.mark.parametrize(
    ("text", "us", "metric"),
    [
        ("3/8 in", "⅜ in", "1 cm"),
        ("13.65385 in", "13¾ in", "35 cm"),
        ("35.9 in", "3 ft", "91 cm"),
        ("11 ft 9 in", "11 ft 9 in", "3.58 m"),
        ("8 ft", "8 ft", "2.44 m"),
        ("4 mm", "⅛ in", "4 mm"),
    ],
)
def test_length(text, us, metric):
    """Inches to the quarter, then feet and inches; centimetres, then metres."""
    metres = units.read_length_m(text)

    assert us == show_length(metres, "us")
    assert metric == show_length(metres, "metric")


def test_time():
    """Minutes, then hours with minutes to the five."""
    assert "1 min" == show_minutes(0.2)
    assert "45 min" == show_minutes(45)
    assert "1 h" == show_minutes(59.6)
    assert "1 h 20 min" == show_minutes(79)
    assert "5 h 5 min" == show_minutes(304)


def test_share_count_area_density():
    """The other kinds."""
    assert "12 %" == show(0.12, "share", "us")
    assert "0.5 %" == show(0.005, "share", "metric")
    assert "18" == show(18, "count", "us")
    assert "32 sq ft" == show(2.97289728, "area", "us")
    assert "2.97 m²" == show(2.97289728, "area", "metric")
    assert "6¼ lb/cu ft" == show(100, "density", "us")
    assert "100 kg/m³" == show(100, "density", "metric")


def test_rate():
    """Rates by mass and by spoon."""
    assert "5 lb/yd3" == show_rate(units.read_rate("5 lb/yd3"), "us")
    assert "3 kg/m³" == show_rate(units.read_rate("5 lb/yd3"), "metric")
    assert "2 oz/yd3" == show_rate(units.read_rate("2 oz/yd3"), "us")
    assert "74 g/m³" == show_rate(units.read_rate("2 oz/yd3"), "metric")
    assert "2 tbsp/gal" == show_rate(units.read_rate("2 tbsp/gal"), "us")
    assert "7.8 mL/L" == show_rate(units.read_rate("2 tbsp/gal"), "metric")


def test_rounding_up():
    """What must be enough is rounded up, but a whole number of steps stays."""
    assert "2½ cu ft" == show_volume(units.read_volume_l("2.26 cu ft"), "us", up=True)
    assert "2¼ cu ft" == show_volume(units.read_volume_l("2.25 cu ft"), "us", up=True)
    assert "63 L" == show_volume(62.1, "metric", up=True)


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_showing_what_is_no_amount_is_a_programming_mistake(value):
    """Nothing negative or endless is ever shown."""
    with pytest.raises(ValueError, match="value must be finite and not negative"):
        show(value, "volume", "us")


def test_showing_an_empty_rate_is_a_programming_mistake():
    """A rate is by mass or by volume."""
    with pytest.raises(ValueError, match="rate must be by mass or by volume"):
        show_rate(Rate(None, None), "us")


def test_spoons():
    """Spoons up to a cup, then quarters of one; 16 tablespoons are a cup (NIST Handbook 44)."""
    tbsp = units.read_volume_l("1 tbsp")
    assert "15 tbsp" == show_spoons(15 * tbsp, "us")
    assert "2 tsp" == show_spoons(2 / 3 * tbsp, "us")
    assert "1 cup" == show_spoons(16 * tbsp, "us")
    assert "1¼ cups" == show_spoons(20 * tbsp, "us")
    assert "1 gal" == show_spoons(256 * tbsp, "us")
    assert show_volume(15 * tbsp, "metric") == show_spoons(15 * tbsp, "metric")


@pytest.mark.parametrize(
    ("litres", "like", "shown"),
    [(15.0, 30.0, "½ cu ft"), (1.0, 30.0, "¼ cu ft"), (0.0, 30.0, "0 cu ft"),
     (30.0, 15.0, "1 cu ft"), (15.0, 16.0, "4 gal")],
)  # fmt: skip
def test_beside_a_larger_one_a_volume_is_told_in_its_unit(
    litres: float, like: float, shown: str
) -> None:
    """A row has one unit, the larger figure's; a cubic foot is 28.3 L, a gallon 3.79 L."""
    assert shown == show_volume(litres, "us", like=like)
