"""What the command for drained pots prints, as text, JSON and drawings."""

import json
import xml.etree.ElementTree as ET

import pytest

from rootroom import read_plan
from rootroom.pot.report import PotFigures, report_pots
from rootroom.sheets.answers.as_json import drained_json
from rootroom.sheets.answers.pot import drained_text, home_test_text
from rootroom.sheets.charts.pot import drawing_files, pot_drawings

PLAN = """
plants = [
  { name = "Basil <b>", crop = "basil", count = 30, now = "72-cell tray", to = "4 in square pot", mix = "wet & fine", from = "last frost" },
  { name = "Tomato", crop = "tomato", count = 4, now = "4 in square pot", to = "5 gal bucket", mix = "lab", from = "last frost", stands = "2 ft x 3 ft" },
  { name = "Fig", crop = "fig", count = 1, now = "half barrel", refresh = "1/3", mix = "bag", from = "last frost", people = 2 },
  { name = "Bay", crop = "bay", count = 2, now = "#3", to = "3 gal true", mix = "bag", from = "last frost" },
]
supplies = [ { of = "bag", pack = "2 cu ft", price = 9.00 } ]
[garden]
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-06-06
[mixes."wet & fine"]
parts = { peat = 3, compost = 3 }
[mixes.lab]
parts = { bark = 1, peat = 1 }
measured = { density = "140 kg/m3", curve = { saturated = "85 %", residual = "10 %", alpha = 0.1, n = 2 } }
[mixes.bag]
"""  # noqa: E501


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    """A plan with an estimate, a measured curve, a bought mix and a pot without a height."""
    path = tmp_path_factory.mktemp("pot") / "pots.toml"
    path.write_text(PLAN, encoding="utf-8")
    found, problems = read_plan(path)
    assert found is not None, problems
    return found


@pytest.fixture(scope="module")
def report(plan):
    """Its report."""
    return report_pots(plan)


def test_text_fits_and_says_what_matters(plan, report):
    """The text stays within 80 columns, marks what is unknown, and never promises."""
    text = drained_text(plan, report)
    assert max(map(len, text.splitlines())) <= 80
    assert "? 3 gal true: water and air depend on the height" in text
    assert "estimate from its parts, not measured" in text
    assert "lab: measured, as the plan states" in text
    assert "bought and not measured: the published range of nursery substrates" in text
    assert "no verdict" in text
    assert "Ask the building department and a licensed engineer." in text.replace("\n", " ")
    assert "one person, so there is no index" in text.replace("\n  ", " ")
    assert "no source gives a figure" in text.replace("\n", " ")
    assert "safe" not in text


def test_low_pot_gets_its_remedies(plan, report):
    """A wet mix in a low pot is called out with a deeper pot and a coarser mix."""
    text = " ".join(drained_text(plan, report).split())
    assert "4 in square pot, wet & fine (Basil <b>):" in text
    assert "less air than is usual for container plants in this pot" in text
    assert "a deeper pot: filled" in text
    assert "a coarser mix: 1 part of" in text


def test_measured_curve_leaves_no_doubt(report):
    """A mix with a measured curve has one figure; density too."""
    pair = next(one for one in report.pairs if one.mix == "lab")
    assert pair.water.air.low == pair.water.air.high
    assert report.mixes["lab"].dry_kg_per_m3.likely == 140


def test_json_adds_up(report):
    """Likely air and water make the pores; drained is pot, dry mix and water; ranges in order."""
    found = json.loads(drained_json(report))
    assert list(found) == ["plan", "mixes", "pots", "moves", "packs", "live_loads"]
    assert [one["count"] for one in found["moves"]] == [30, 4, 1, 2]
    for pot in found["pots"]:
        for key, value in pot.items():
            if isinstance(value, dict):
                assert value["low"] <= value["likely"] <= value["high"], key
        if pot["air_share"] is not None:
            pores = pot["air_share"]["likely"] + pot["water_share"]["likely"]
            assert pores == pytest.approx(pot["porosity_share"]["likely"], abs=2e-6)
    assert found["pots"][3]["why_not"].startswith("3 gal true: water and air depend")
    assert found["live_loads"][0]["edition"] == "IRC 2000 table R301.4 and IRC 2009"


def test_load_is_over_the_area_of_the_plan(report):
    """Four soaked buckets on 6 sq ft: their weight over 0.557418 m2."""
    move = next(one for one in report.moves if one.names == ("Tomato",))
    weight = move.pair.weight.saturated.likely
    assert move.floor.over_area.likely == pytest.approx(4 * weight / 0.557418, rel=1e-5)


def test_quick_weight_is_the_likely_weight(plan, report):
    """Sessions get the same likely weight as the report."""
    figures = PotFigures(plan)
    for pair in report.pairs:
        found = figures.drained_kg(pair.mix, pair.container)
        assert found == pytest.approx(pair.weight.drained.likely)
    assert figures.drained_kg(None, report.pairs[0].container) is None


def test_drawings_are_whole_and_escaped(report):
    """Each pot of known height is drawn once, names are escaped, the words tell the same."""
    drawings = pot_drawings(report, "us")
    assert list(drawings) == [
        "4 in square pot, wet & fine",
        "5 gal bucket, lab",
        "half barrel, bag",
    ]
    for svg in drawings.values():
        root = ET.fromstring(svg)
        spaces = {"s": "http://www.w3.org/2000/svg"}
        assert root.find("s:title", spaces).text.endswith("air once drained")
        assert root.find("s:desc", spaces).text.startswith("At the bottom")
    names = list(drawing_files(report, "us"))
    assert names[0] == "pot-01-4-in-square-pot-wet-fine.svg"


def test_same_plan_same_bytes(plan, report):
    """Text, JSON and drawings of the same plan are the same."""
    again = report_pots(plan)
    assert drained_text(plan, report) == drained_text(plan, again)
    assert drained_json(report) == drained_json(again)
    assert pot_drawings(report, "us") == pot_drawings(again, "us")


@pytest.mark.parametrize(
    ("system", "air", "porosity", "height_m"),
    # 2 and 9 of 12 cups, 7 x 0.0254 m; 0.5 and 2.3 of 3 L.
    [("us", 2 / 12, 9 / 12, 0.1778), ("metric", 0.5 / 3, 2.3 / 3, 0.18)],
)
def test_home_test_names_the_keys_of_the_plan(tmp_path, system, air, porosity, height_m):
    """The explanation ends with lines that a plan takes as they stand, in the plan's units."""
    text = home_test_text(system)
    assert (system == "metric") == (" cm" in text)
    assert max(map(len, text.splitlines())) <= 90
    start = text.index("[mixes.allround]")
    lines = text[start : text.index("\n\n", start)]
    path = tmp_path / "plan.toml"
    plants = 'plants = [ { name = "Fig", count = 1, now = "#1", to = "#3", by = 2027-05-01 } ]\n'
    work = '[garden]\nlast_frost = 2027-04-12\n[work]\ndays = ["sat"]\n'
    work += "first = 2027-03-06\nlast = 2027-06-06\n"
    path.write_text(f"{plants}{work}{lines}\nparts = {{ peat = 1 }}\n", encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    measured = plan.mixes["allround"].measured
    assert measured.air_share == pytest.approx(air)
    assert measured.porosity_share == pytest.approx(porosity)
    assert measured.core_height_m == pytest.approx(height_m)


def test_compost_is_checked_before_it_is_mixed(plan):
    """A mix with compost gets the checks of ripeness, each with its source; no manure, no rule."""
    text = " ".join(drained_text(plan, report_pots(plan)).split())
    assert "Before compost or manure goes into wet & fine smell:" in text
    assert "(California Compost Quality Council index, 2001" in text
    assert "(common practice, no source)" in text
    assert "fewer than 80 % as many come up" in text
    assert "above a C:N of about 30 it takes nitrogen from the plants" in text
    assert "raw manure" not in text


def test_raw_manure_has_its_days(tmp_path):
    """Manure in a mix brings the days before harvest and the rule that sets them."""
    file = tmp_path / "plan.toml"
    file.write_text(PLAN.replace("compost = 3", "manure = 3"), encoding="utf-8")
    plan, _ = read_plan(file)
    text = " ".join(drained_text(plan, report_pots(plan)).split())
    assert "at the latest 120 days before harvest where what is eaten touches soil" in text
    assert "else 90 (7 CFR 205.203(c)(1), the US organic rule)" in text


def test_nothing_of_compost_where_there_is_none(tmp_path):
    """Mixes without compost, manure or leaf mold are not lectured."""
    file = tmp_path / "plan.toml"
    file.write_text(PLAN.replace("compost = 3", "perlite = 3"), encoding="utf-8")
    plan, _ = read_plan(file)
    assert "Before compost" not in drained_text(plan, report_pots(plan))
