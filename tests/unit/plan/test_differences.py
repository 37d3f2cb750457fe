"""What differs between two plans, whatever the order of their rows."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.plan.differences import Difference, differences
from rootroom.plan.editing import move_row

PLANS = sorted((Path(__file__).parents[3] / "plans").glob("*.toml"))

PLAN = """\
plants = [
  { name = "Fig", count = 8, now = "#1", to = "#3" },
  { name = "Bay", count = 2, now = "#1" },
]
[work]
people = { default = 1, "2027-03-20" = 2 }
"""


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_plan_differs_from_itself_in_nothing(path):
    """Neither as it is nor with its first plant moved to the end of the list."""
    text = path.read_text("utf-8")

    assert () == differences(text, text)
    if "plants = [" in text:
        assert () == differences(text, move_row(text, ("plants", 0), 3))


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ('"#3"', '"#5"', Difference("plants.Fig.to", "#3", "#5")),
        ("count = 8", "count = 8.0", None),
        ('to = "#3"', 'moves = [ { to = "#3" } ]', None),
        (', to = "#3"', "", Difference("plants.Fig.to", "#3", "")),
        (
            '  { name = "Bay", count = 2, now = "#1" },\n',
            "",
            Difference("plants.Bay", "name Bay, count 2, now #1", ""),
        ),
        (
            'people = { default = 1, "2027-03-20" = 2 }',
            "people = 3",
            Difference("work.people", "default 1, 2027-03-20 2", "3"),
        ),
        ('name = "Fig"', 'name = "5.1"', None),
    ],
)
def test_one_change_is_one_difference(old, new, found):
    """Told by the name of its row; another way to write the same is none."""
    changed = PLAN.replace(old, new)
    assert changed != PLAN

    if new == 'name = "5.1"':
        assert ["plants.Fig", 'plants."5.1"'] == [one.at for one in differences(PLAN, changed)]
    else:
        assert ((found,) if found else ()) == differences(PLAN, changed)
        back = Difference(found.at, found.there, found.here) if found else None
        assert ((back,) if back else ()) == differences(changed, PLAN)


def test_rows_of_one_name_are_told_apart_by_number():
    """The second supply of a good is the second, and moves go by number."""
    plan = """\
plants = [ { name = "Fig", moves = [ { to = "#3" }, { to = "#5" } ] } ]
supplies = [ { of = "bark", price = 6 }, { of = "bark", price = 19 } ]
"""
    changed = plan.replace("19", "20").replace('"#5"', '"#7"')

    assert (
        Difference("plants.Fig.moves.2.to", "#5", "#7"),
        Difference("supplies.bark (2).price", "19", "20"),
    ) == differences(plan, changed)


def test_plants_of_which_some_stay_keep_both_counts():
    """The count of the only move does not stand for that of the plant."""
    plan = 'plants = [ { name = "Fig", count = 8, moves = [ { to = "#3", count = 5 } ] } ]'

    assert (Difference("plants.Fig.count", "8", "9"),) == differences(plan, plan.replace("8", "9"))
