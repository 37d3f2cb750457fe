"""Lime beside published rates."""

import pytest

from rootroom import read_plan
from rootroom.pot.lime import lime_notes

PLAN = """
plants = [ { name = "Fig", count = 1, now = "#1", to = "#3", mix = "tree", by = 2027-05-01 } ]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
[mixes.tree]
parts = { bark = 5, peat = 1 }
add = { "dolomitic lime" = "4 lb/yd3" }
[mixes.allround]
parts = { peat = 4, compost = 2 }
[mixes.sandy]
parts = { sand = 1 }
[mixes.bag]
"""


def test_lime_by_the_main_part(tmp_path):
    """Bark and peat have published rates, sand and bags have none; compost is marked."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    tree, allround = lime_notes(plan)
    # 4 lb/yd3 x 0.593276 kg/m3 per lb/yd3 = 2.373106
    assert tree.kg_per_m3 == pytest.approx(2.373106, abs=1e-6)
    assert tree.rate.high == 2.97
    assert not tree.compost
    assert allround.kg_per_m3 == 0
    assert allround.rate.low == 2.97
    assert allround.compost
