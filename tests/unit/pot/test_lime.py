"""Lime beside published rates."""

import pytest

from rootroom import read_plan
from rootroom.pot.lime_and_compost import above_published, lime_notes
from rootroom.sheets.answers.pot import _lime

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


@pytest.mark.parametrize(
    ("rate", "above"),
    [
        # rutgers-2015: 12 oz a cup, so 16 tbsp weigh 0.75 lb; 1 yd3 is 201.974 gal.
        # 1 tbsp/gal = 201.974 x 0.046875 lb = 9.4675 lb/yd3, within the 15 lb/yd3 of
        # arkansas_rates for peat; 2 tbsp/gal is 18.9 lb/yd3 and above it.
        ("1 tbsp/gal", False),
        ("2 tbsp/gal", True),
        ("15 lb/yd3", False),
        ("16 lb/yd3", True),
    ],
)
def test_lime_by_the_spoon_counts(tmp_path, rate, above):
    """A rate by the spoon is told as one by weight, and what is above a published one is named."""
    path = tmp_path / "plan.toml"
    path.write_text(f'{PLAN}[mixes.p]\nparts = {{ peat = 1 }}\nadd = {{ limestone = "{rate}" }}\n')
    plan, problems = read_plan(path)
    assert plan is not None, problems
    lime = next(note for note in lime_notes(plan) if note.mix == "p")
    if rate == "1 tbsp/gal":
        # 9.4675 lb/yd3 x 0.593276 = 5.6168
        assert lime.kg_per_m3 == pytest.approx(5.6168, abs=0.01)

    assert above_published(plan, plan.mixes["p"]) == ({"limestone": 8.90} if above else {})


def test_rates_above_published_ones_of_other_additions(tmp_path):
    """3 lb/yd3 of gypsum is above the 2 lb/yd3 of arkansas_rates; 2 is not, by either spelling."""
    path = tmp_path / "plan.toml"
    for rate, above in (("3 lb/yd3", {"gypsum": 1.187}), ("2 lb/yd3", {}), ("1.187 kg/m3", {})):
        path.write_text(f'{PLAN}add = {{ gypsum = "{rate}" }}\n')
        plan, problems = read_plan(path)
        assert plan is not None, problems
        assert above_published(plan, plan.mixes["bag"]) == above


def test_a_spoon_of_unknown_weight_is_no_lime_known(tmp_path):
    """An own lime without a density cannot be told by weight, and is not told as none."""
    path = tmp_path / "plan.toml"
    own = '[ingredients."shell grit"]\naddition = true\ntraits = ["lime"]\n'
    path.write_text(
        f'{PLAN}{own}[mixes.p]\nparts = {{ peat = 1 }}\nadd = {{ "shell grit" = "1 tbsp/gal" }}\n'
    )
    plan, problems = read_plan(path)
    assert plan is not None, problems

    assert next(note for note in lime_notes(plan) if note.mix == "p").kg_per_m3 is None
    assert "of a weight that nobody said" in " ".join(_lime(plan).split())
