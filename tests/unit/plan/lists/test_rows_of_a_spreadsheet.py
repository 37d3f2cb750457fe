"""`rows = "plants.xlsx"`: a spreadsheet beside the plan, read as a list and then as rows."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.plan.reader import read_plan
from rootroom.sheets.problems import render_problems
from tests.support.lists import write_ods, write_xlsx

PLAN = """
plants = [ { rows = "%s" } ]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 5, peat = 1 }
"""
ROWS = [
    ["Spring list"],
    ["Plant", "Variety", "Qty", "Current pot", "New pot", "Not before", "Price"],
    ["Fig", "Early", 12.0, "#1", "#3", date(2027, 3, 20), 3.5],
    ["Basil", None, 18, "72-cell tray", "4 in square pot", "last frost"],
    [None, None, None, None, "6 in pot", None],
    ["Total", None, 30],
]


def read(folder, name, rows, plan=PLAN):
    """Return plan and problems with these rows beside it."""
    (write_ods if name.endswith(".ods") else write_xlsx)(folder / name, rows)
    (folder / "plan.toml").write_text(plan.replace("%s", name))
    return read_plan(folder / "plan.toml")


@pytest.mark.parametrize("name", ["plants.xlsx", "plants.ods"])
def test_spreadsheet_gives_the_groups_that_its_csv_gives(name, tmp_path) -> None:
    """Free headings, dates as dates, next moves, totals; sorts where the plan has them."""
    plan, problems = read(tmp_path, name, ROWS)
    (tmp_path / "plants.csv").write_text(
        "name,sort,count,now,to,from\nFig,Early,12,#1,#3,2027-03-20\n"
        "Basil,,18,72-cell tray,4 in square pot,last frost\n,,,,6 in pot,\n"
    )
    (tmp_path / "plan.toml").write_text(PLAN.replace("%s", "plants.csv"))
    other, _ = read_plan(tmp_path / "plan.toml")

    assert [] == [str(problem) for problem in problems if problem.severity == "error"]
    assert [(g.name, g.count) for g in other.plants] == [(g.name, g.count) for g in plan.plants]
    assert [[m.to.text for m in g.kind.moves] for g in other.plants] == [
        [m.to.text for m in g.kind.moves] for g in plan.plants
    ]
    assert [m.opens for m in other.plants[0].kind.moves] == [
        m.opens for m in plan.plants[0].kind.moves
    ]
    assert ['"Price" is no column of a plan and is left out'] == [
        problem.message for problem in problems if problem.code == "unknown-column"
    ]


def test_keys_beside_rows_stand_for_columns(tmp_path) -> None:
    """What the entry says need not stand in the spreadsheet."""
    plan, problems = read(
        tmp_path,
        "plants.xlsx",
        [["Plant", "Qty"], ["Fig", 12], ["Bay", 2]],
        PLAN.replace('"%s"', '"%s", now = "#1", to = "#3", from = "last frost"'),
    )

    assert plan is not None, problems
    assert [("Fig", "#1"), ("Bay", "#1")] == [(g.name, g.kind.now.text) for g in plan.plants]


def test_error_cells_have_their_addresses(tmp_path) -> None:
    """What the list's reader finds, and what only the plan's finds, has the cell's address."""
    rows = [["Plant", "Qty", "Current pot", "New pot", "Mix"], [], ["Fig", 12, "#3", "#1", "fine"]]
    _, problems = read(tmp_path, "plants.xlsx", rows)
    text = render_problems(problems).replace(f"{tmp_path}/", "")

    assert text.startswith(
        'plants.xlsx:Plants:D3: error: "New pot": no place for mix: the ball from `#3` '
    )
    assert 'plants.xlsx:Plants:E3: error: "Mix": unknown mix: `fine` [unknown-mix]' in text
    assert "    Fig | 12 | #3 | #1 | fine\n                    ^^\n" in text

    rows[2] = ["Fig", 12.5, "7 gal", "#1"]
    _, problems = read(tmp_path, "plants.xlsx", rows)
    assert problems[1].hint.endswith(
        "(`rootroom import plants.xlsx --out rows.csv` takes options, and a plan its rows)"
    )
    assert ["plants.xlsx:Plants:B3", "plants.xlsx:Plants:C3"] == [
        str(problem.where).rpartition("/")[2] for problem in problems
    ]


def test_error_spreadsheet_that_cannot_be_read(tmp_path) -> None:
    """Damaged, or with headings that are unclear: an error each, no traceback."""
    (tmp_path / "plan.toml").write_text(PLAN.replace("%s", "plants.xlsx"))
    (tmp_path / "plants.xlsx").write_bytes(b"PK\x03\x04 nothing")
    assert ["bad-workbook"] == [problem.code for problem in read_plan(tmp_path / "plan.toml")[1]]

    _, problems = read(tmp_path, "plants.xlsx", [["Plant", "Quanity", "Now"], ["Fig", 2, "#1"]])
    assert ["unclear-heading"] == [problem.code for problem in problems]
