"""What a plan without mistakes is told: its size, and what it leaves to the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.season import agree
from rootroom.sheets.answers.buying import buying_text
from rootroom.sheets.answers.check import check_text

PLAN = """\
format = 1
plants = [
  { name = "Fig", count = 18, now = "1 L", to = "10 L", mix = "tree", by = 2027-05-01 },
  { name = "Bay", count = 2, now = "1 L", to = "#7", mix = "tree", by = 2027-05-01 },
]
supplies = [{ of = "peat", pack = "100 L", price = 9 }]
[garden]
units = "metric"
last_frost = 2027-04-12
[mixes.tree]
parts = { peat = 1 }
"""


@pytest.mark.worked
def test_size_and_what_is_taken_for_granted(tmp_path: Path) -> None:
    """18 pots of 10 L are 180 L; the class from memory, the bale and the minutes are named."""
    path = tmp_path / "yard.toml"
    path.write_text(PLAN.replace('{ name = "Bay"', '# { name = "Bay"'), "utf-8")
    small, _ = read_plan(path)
    path.write_text(PLAN, "utf-8")
    plan, _ = read_plan(path)
    assert small is not None
    assert plan is not None
    text = " ".join(check_text(plan).split())

    assert (
        "yard.toml: fine, 1 plant group (18 plants), 0 beds, 18 pots to fill, 180 L to their fill "
        "lines"
    ) == " ".join(check_text(small).split("Taken")[0].split())
    assert "what `#7` holds is from memory" in text
    # fsa6097 (grade A): a compressed bale expands by 50 to 100 %, so 100 L are 150 to 200 L.
    assert "`peat 100 L` (150 L to 200 L loose) counts as a pressed bale" in text
    assert "how long work takes is the shipped table" in text
    assert "no supplier charges a trip" in text


def test_what_the_plan_says_is_not_named(tmp_path: Path) -> None:
    """Own volume, swelling, minutes and suppliers leave nothing that is taken for granted."""
    path = tmp_path / "yard.toml"
    text = PLAN.replace("price = 9", "swells = 1.5, price = 9, from = 'Mill'")
    path.write_text(
        f'{text}[containers."#7"]\nvolume = "23 L"\n[minutes]\n"#7" = 9\n'
        "[suppliers.Mill]\ntrip = 2\n",
        "utf-8",
    )
    plan, _ = read_plan(path)
    assert plan is not None

    assert "Taken for granted" not in check_text(plan)


SUPPLIES = {
    '"3.8 cu ft"': "swells",  # S91 lists bales of 1, 2.2 and 3.8 cu ft
    '"1 cu ft"': "swells",
    '"6 cu ft"': "swells",
    '"20 L"': "",  # a bag, loose: common practice, no source
    '"1 yd3"': "",  # bulk
    '"3.8 cu ft", swells = 1': "",
    '"3.8 cu ft", yields = "180 L"': "",
}


@pytest.mark.parametrize("pack", SUPPLIES)
def test_peat_in_a_bale_swells_unless_the_plan_says_else(tmp_path: Path, pack: str) -> None:
    """A pack of 1 to 6 cu ft is a bale of the shipped range; any other is as full as bags are."""
    path = tmp_path / "yard.toml"
    path.write_text(PLAN.replace('"100 L"', pack), "utf-8")
    plan, _ = read_plan(path)
    assert plan is not None
    [supply] = plan.supplies
    assert supply.loose_l is not None
    assert supply.pack is not None

    assert SUPPLIES[pack] == supply.assumed
    if supply.assumed:
        packed = float(supply.pack.litres or 0)
        ratios = [x / packed for x in (supply.loose_l.low, supply.loose_l.high)]
        # fsa6097 (grade A): expands by 50 to 100 %.
        assert pytest.approx([1.5, 2.0]) == ratios


def test_the_list_says_what_was_taken_for_a_bale_or_a_block(tmp_path: Path) -> None:
    """Peat without `swells` and coir without `yields` are named, those with are not."""
    path = tmp_path / "yard.toml"
    text = PLAN.replace("peat = 1 }", "peat = 1, coir = 1 }")
    text = text.replace("price = 9 }", "price = 9 }, {c}")
    block = '{ of = "coir", pack = "5 kg", price = 9 }'
    path.write_text(text.replace("{c}", block), "utf-8")
    plan, _ = read_plan(path)
    path.write_text(
        text.replace("{c}", block.replace("5 kg", '5 kg", yields = "65 L')).replace(
            '"100 L"', '"100 L", swells = 1'
        ),
        "utf-8",
    )
    told, _ = read_plan(path)
    assert plan is not None
    assert told is not None
    shown = " ".join(buying_text(agree(plan).shopping).split())

    assert "`peat 100 L` (150 L to 200 L loose) counts as a pressed bale" in shown
    # coir-blocks: 57 L (5 kg at 11.4) is the least listed, 80 L the most.
    assert "`coir 5 kg` (57 L to 80 L loose) counts as a pressed block" in shown
    assert "counts as a pressed" not in buying_text(agree(told).shopping)
    assert "counts as a pressed" not in check_text(told)


def test_a_volume_outside_its_class_is_told(tmp_path: Path) -> None:
    """9.0 L lies in a gap of the classes (ANSI Z60.1-2004): check says it."""
    path = tmp_path / "yard.toml"
    path.write_text(f'{PLAN}[containers."#7"]\nvolume = "9.0 L"\n', "utf-8")
    plan, _ = read_plan(path)
    assert plan is not None

    assert "it fits no class; your own volume counts" in " ".join(check_text(plan).split())
