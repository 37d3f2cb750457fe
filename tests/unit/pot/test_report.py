"""What each move of a plan is told of its pots: how many, what they load, what is lifted."""

from __future__ import annotations

import pytest

from rootroom import read_plan
from rootroom.pot.report import report_pots

PLAN = """
plants = [
  { name = "Tomato", crop = "tomato", count = 4, now = "72-cell tray", stands = "2 ft x 3 ft", moves = [
    { to = "4 in square pot", by = 2027-04-10 },
    { to = "5 gal bucket", count = 3, from = "last frost", big_step = true },
  ] },
  { name = "Bay", count = 2, now = "#1", to = "3 gal true", from = "last frost" },
  { name = "Kale", count = 50, now = "128-cell tray", to = "50-cell tray", from = "last frost" },
]
[garden]
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
[mixes.lab]
parts = { bark = 1, peat = 1 }
measured = { density = "140 kg/m3", curve = { saturated = "85 %", residual = "10 %", alpha = 0.1, n = 2 } }
"""  # noqa: E501


@pytest.fixture(scope="module")
def moves(tmp_path_factory):
    """The moves of the report by plant and number."""
    path = tmp_path_factory.mktemp("pots") / "pots.toml"
    path.write_text(PLAN, encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return {(*one.names, one.number): one for one in report_pots(plan).moves}


def test_plants_stand_on_their_ground_once_they_are_in_their_last_pot(moves):
    """Four small pots stand pot to pot; the three buckets load the 6 sq ft (0.557418 m2)."""
    small, bucket = moves["Tomato", 1], moves["Tomato", 2]
    assert (small.plants, small.pots, bucket.plants, bucket.pots) == (4, 4, 3, 3)
    assert small.floor.over_area is None
    soaked_kg = bucket.pair.weight.saturated.likely
    assert bucket.floor.over_area.likely == pytest.approx(3 * soaked_kg / 0.557418, rel=1e-5)


def test_a_pot_of_unknown_height_is_weighed_and_not_judged(moves):
    """Three gallons without a height: a weight and no lift, no water and no verdict, and why."""
    move = moves["Bay", 1]
    assert move.pair.water is None
    assert move.verdict.comparisons == ()
    assert move.lift is None
    assert "give the container's sizes" in move.pair.why_not
    # Dry mix and soaked pores to the fill line: 0.140 and 0.140 + 0.85 kg a litre.
    weight = move.pair.weight
    assert weight.saturated.likely / weight.dry.likely == pytest.approx(0.99 / 0.14, rel=1e-6)


def test_what_is_known_has_no_excuse(moves):
    """A bucket with a measured mix is told in full, and nothing is said to be missing."""
    move = moves["Tomato", 2]
    assert move.pair.why_not == ""
    assert move.lift is not None


def test_a_cell_of_a_tray_is_neither_lifted_nor_set_on_the_ground_by_itself(moves):
    """Seedlings in a tray get water and weight of a cell, no lift and no load."""
    move = moves["Kale", 1]
    assert move.pair.weight.drained.likely < 0.2
    assert (move.lift, move.floor) == (None, None)
    assert move.verdict.use.name == "seedlings"
