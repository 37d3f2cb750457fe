"""Packages and unit prices redone by hand.

The first three are printed on general pages too (bags for a cubic yard, bales for 3.5 cubic yards,
the price of a bag in a cubic yard), which are too weak to cite; the arithmetic is shown instead.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from rootroom.buying.shop import shop
from rootroom.plan.reader import read_plan
from rootroom.sheets.writing import money, per_volume
from tests.support.buying import needs, pack, sack, supplier
from tests.support.plans import mix, plan

pytestmark = pytest.mark.worked

CU_FT = 28.316846592
CU_YD = 27 * CU_FT


@pytest.mark.parametrize(
    ("feet", "yards", "bags"),
    # 27 / 1, 27 / 1.5, 27 / 2 = 13.5, 27 / 3; three yards 81 / 2 = 40.5, five 135 / 2 = 67.5.
    [(1, 1, 27), (1.5, 1, 18), (2, 1, 14), (3, 1, 9), (2, 3, 41), (2, 5, 68)],
)
def test_bags_for_cubic_yards(feet: float, yards: int, bags: int) -> None:
    """A cubic yard is 27 cubic feet; bags are counted up once, at the end."""
    one = plan(supplies=[pack(1, "peat", feet * CU_FT, 100)])
    result = shop(one, needs(ingredients_l={"peat": yards * CU_YD}))

    assert bags == result.lines[0].packs


@pytest.mark.parametrize(("swells", "bales"), [(2.0, 16), (1.45, 22)])
def test_bales_of_three_cubic_feet(swells: float, bales: int) -> None:
    """3.5 yards are 94.5 cubic feet: / (3 x 2) = 15.75, 16 bales; / (3 x 1.45) = 21.7, 22."""
    one = plan(supplies=[pack(1, "peat", 3 * swells * CU_FT, 100)])

    assert bales == shop(one, needs(ingredients_l={"peat": 3.5 * CU_YD})).lines[0].packs


def test_price_of_a_bag_in_a_cubic_foot() -> None:
    """3.60 for a bag of 2 cubic feet is 1.80 a cubic foot, and 27 x 1.80 = 48.60 a yard."""
    one = plan(
        mixes=[mix("m", {"peat": 1})],
        supplies=[pack(1, "m", 2 * CU_FT, 360, of_kind="mix"), pack(2, "peat", CU_FT, 90)],
    )
    ready = shop(one, needs({"m": CU_FT})).compare[0].ready[0]

    assert "1.80" == per_volume(ready.cents_per_l, "us", "USD")
    assert "48.60" == money(round(ready.cents_per_l * Fraction("764.554857984")), "USD")
    # Own mix at 0.90 a cubic foot saves half of it.
    assert pytest.approx(0.5) == float(ready.saved_share or 0)


def test_a_whole_list_by_hand() -> None:
    """Two goods, a trip, tax, an own part and the days, as one would work it out on paper.

    100 L of mix with a shrink of 20 %: 125 L of parts, 3:2 of peat and sand: 75 and 50 L.
    Peat: half a pack of 50 L is there (25 L), 50 L to buy: 1 pack at 9.00.
    Sand: 50 L from packs of 20 L at 4.00, from 3 on at 3.50: 3 packs, 10.50.
    Lime at 2 g/L of the finished 100 L: 200 g, one sack at 3.00.
    Goods 22.50, tax 7 % = 1.575: 1.58; trip 6.00; together 30.08.
    """
    from rootroom.units import Rate

    one = plan(
        mixes=[mix("m", {"peat": 3, "sand": 2}, add={"lime": Rate(0.002, None)})],
        supplies=[
            pack(1, "peat", 50, 900, on_hand=Fraction(1, 2), supplier="Mill"),
            pack(2, "sand", 20, 400, more=[(3, 350)], supplier="Mill"),
            sack(3, "lime", 1.0, 300, supplier="Mill"),
        ],
        suppliers=dict([supplier("Mill", trip_cents=600, tax_share=Fraction(7, 100), lead_days=2)]),
    )
    result = shop(one, needs({"m": 100}, loose_per_l={"m": 1.25}), due={"m": date(2027, 3, 13)})

    assert [(1, 900), (3, 1050), (1, 300)] == [(x.packs, x.cost_cents) for x in result.lines]
    assert [600, 158] == [fee.cents for fee in result.fees]
    assert ("optimal", 3008) == (result.status, result.cost_cents)
    assert {"peat": 0.0, "sand": 10.0} == result.left_l
    assert {date(2027, 3, 10)} == {line.by for line in result.lines}


def test_a_list_in_yen_is_paid_in_whole_yen(tmp_path: Path) -> None:
    """A yen has no parts: two taxes of 107.38 and 2.45 are 107 and 2, together 109 and not 110.

    Goods 1,534 and 35, so 1,678 in all; a tenth dearer, 35 becomes 38.5: 39.
    """
    text = """format = 1
supplies = [
  { of = "peat", pack = "50 L", yields = "50 L", price = 1534, from = "Mill" },
  { of = "sand", pack = "50 L", price = 35, from = "Yard" },
]
[garden]
currency = "JPY"
last_frost = 2027-04-12
[mixes.m]
parts = { peat = 1, sand = 1 }
shrink = "0 %"
[[beds]]
name = "Bed"
shape = "1 m x 1 m"
depth = "5 cm"
mix = "m"
settles = "0 %"
[suppliers.Mill]
tax = "7 %"
[suppliers.Yard]
tax = "7 %"
"""
    path = tmp_path / "yen.toml"
    path.write_text(text, encoding="utf-8")
    one, problems = read_plan(path)
    assert one is not None, problems
    result, dearer = (
        shop(one, needs({"m": 50}), prices_up=up) for up in (Fraction(0), Fraction(1, 10))
    )

    assert [153_400, 3_500] == [line.cost_cents for line in result.lines]
    assert [10_700, 200] == [fee.cents for fee in result.fees]
    assert ("optimal", 167_800) == (result.status, result.cost_cents)
    assert 3_900 == dearer.lines[1].cost_cents
    assert [0] * 4 == [x.cost_cents % 100 for x in (result, dearer, *dearer.lines)]
