"""Conversions redone by hand from the definitions: 231 and 2150.42 in3, 25.4 mm, 453.59237 g."""

from __future__ import annotations

import pytest

from rootroom.units import read_length_m, read_rate, read_volume_l

pytestmark = pytest.mark.worked


def test_buckets_and_bags():
    """Four 5-gallon buckets are not four bags of 25 dry quarts."""
    # 4 x 5 x 231 / 1728 = 2.673611 ft3; 4 x 25 x 67.200625 / 1728 = 3.888925 ft3
    buckets, bags = 4 * read_volume_l("5 gal"), 4 * read_volume_l("25 dry qt")
    cubic_foot = read_volume_l("1 cu ft")

    assert 2.673611 == pytest.approx(buckets / cubic_foot, abs=5e-7)
    assert 3.888925 == pytest.approx(bags / cubic_foot, abs=5e-7)
    assert 1.215314 == pytest.approx((bags - buckets) / cubic_foot, abs=5e-7)


def test_thirty_liquid_quarts():
    """Thirty liquid quarts come to a cubic foot; thirty dry quarts to a sixth more."""
    # 30 x 57.75 / 1728 = 1.002604; 30 x 67.200625 / 1728 = 1.166678
    cubic_foot = read_volume_l("1 cu ft")

    assert 1.002604 == pytest.approx(read_volume_l("30 liq qt") / cubic_foot, abs=5e-7)
    assert 1.166678 == pytest.approx(read_volume_l("30 dry qt") / cubic_foot, abs=5e-7)


def test_cubic_foot_in_quarts_and_gallons():
    """A cubic foot in the three measures that bags and buckets are named by."""
    # 1728 / 67.200625 = 25.714047; 1728 / 57.75 = 29.922078; 1728 / 231 = 7.480519
    cubic_foot = read_volume_l("1 cu ft")

    assert 25.714047 == pytest.approx(cubic_foot / read_volume_l("1 dry qt"), abs=5e-7)
    assert 29.922078 == pytest.approx(cubic_foot / read_volume_l("1 liq qt"), abs=5e-7)
    assert 7.480519 == pytest.approx(cubic_foot / read_volume_l("1 gal"), abs=5e-7)


def test_cubic_yard_in_bushels():
    """A cubic yard in bushels, US and imperial."""
    # 46656 / 2150.42 = 21.696227; 764.554857984 / 36.36872 = 21.022320
    yard = read_volume_l("1 yd3")

    assert 21.696227 == pytest.approx(yard / read_volume_l("1 bu"), abs=5e-7)
    assert 21.022320 == pytest.approx(yard / read_volume_l("1 imp bu"), abs=5e-7)


def test_rates_by_mass():
    """Pounds and ounces for each cubic yard, in grams for each litre."""
    # 453.59237 / 764.554857984 = 0.593276; 28.349523 / 764.554858 = 0.0370798
    assert 0.593276 == pytest.approx(read_rate("1 lb/yd3").kg_per_l * 1000, abs=5e-7)
    assert 0.0370798 == pytest.approx(read_rate("1 oz/yd3").kg_per_l * 1000, abs=5e-8)


def test_lime_of_a_plan():
    """Five pounds of lime for each cubic yard of 304.35536 L, as in the design."""
    # 5 x 0.45359237 x 304.35536 / 764.554857984 = 0.90283 kg
    assert 0.90283 == pytest.approx(read_rate("5 lb/yd3").kg_per_l * 304.35536, abs=5e-6)


def test_feet_and_inches():
    """Eleven feet nine."""
    # (11 x 12 + 9) x 25.4 = 3581.4 mm
    assert 3.5814 == read_length_m("11 ft 9 in")
