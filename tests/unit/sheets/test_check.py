"""What a plan without mistakes is told: its size, and what it leaves to the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.sheets.check import check_text

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
    assert "`peat 100 L` does not swell" in text
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
