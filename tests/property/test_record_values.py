"""No line of a record, whatever it holds, breaks what a command does with it."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rootroom.plan.reader import read_plan
from tests.support.record_values import odd_record, try_values

pytestmark = pytest.mark.property

PLAN = """
plants = [
  { name = "Fig", count = 18, now = "#1", moves = [
    { to = "#3", mix = "tree", from = 2027-03-20, by = 2027-04-10 },
    { to = "half barrel", mix = "tree", wait = "10 weeks", count = 6 } ] },
  { name = "Bay", count = 4, now = "C2", to = "C5", mix = "tree", from = 2027-03-20, by = 2027-04-10 },
]
supplies = [
  { of = "peat", pack = "100 L", price = 10.00, from = "Mill Road", at_most = 40 },
  { of = "bark", have = "300 L" },
  { of = "#3", pack = 10, price = 45.00, from = "Mill Road" },
  { of = "tree", pack = "50 L", price = 9.00, from = "Mill Road" },
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-20
last = 2027-07-10
[mixes.tree]
parts = { bark = 2, peat = 1 }
[suppliers."Mill Road"]
trip = 6.00
tax = "7 %"
[[beds]]
name = "South bed"
shape = "8 ft x 4 ft"
depth = "11 in"
layers = [ { of = "logs", depth = "3 in" }, { of = "tree" } ]
from = 2027-03-20
by = 2027-04-10
"""  # noqa: E501 - Invented names and prices.


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with an invented plan."""
    folder = tmp_path_factory.mktemp("values")
    (folder / "plan.toml").write_text(PLAN, "utf-8")
    return folder


@given(chance=st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None)
def test_no_line_breaks_a_command(chance: Random, folder: Path) -> None:
    """Every record is read, replayed, listed, learned from and reviewed; the rest is a plan."""
    plan, _ = read_plan(folder / "plan.toml")
    assert plan is not None
    try_values(odd_record(chance), plan, folder)
