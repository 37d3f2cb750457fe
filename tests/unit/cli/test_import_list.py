"""`rootroom import`: what it shows, what it writes, what it asks."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.plan.reader import read_plan
from tests.support.lists import write_xlsx

LIST = """\
Spring list,,,,,,
Plant,Qty,Current pot,New pot,Earliest,Soil,Notes
Fig,12,#1,#3,2027-03-20,tree,water well
Basil,18,72-cell tray,4 in square pot,last frost,tree,
,,,6 in pot,,tree,
Squash,4,4 in square pot,South bed,last frost,,
Lemon,1,#3,,,,
Total,35,,,,,
"""


def run(*arguments: str | Path, **more):
    """Return what a command answers."""
    return CliRunner().invoke(app, ["import", *map(str, arguments)], **more)


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    """Return a list of plants."""
    path = tmp_path / "list.csv"
    path.write_text(LIST)
    return path


def test_what_is_understood_is_shown(listed: Path) -> None:
    """Columns, rows, what is left out, and what can be written, in 80 columns."""
    done = run(listed)

    assert 0 == done.exit_code, done.stderr
    assert done.stdout.startswith('list.csv: 5 rows, 35 plants\n\n  "Plant" read as name\n')
    assert "  row 8: left out, a total of 35\n" in done.stdout
    assert done.stdout.endswith("`--out rows.csv` the rows alone\n")
    assert [] == [line for line in done.stdout.splitlines() if len(line) > 80]


def test_plan_that_is_written_names_only_what_is_missing(listed: Path, tmp_path: Path) -> None:
    """The plan reads without a mistake but for mix, dates and bed, which no list holds."""
    out = tmp_path / "plan.toml"
    done = run(listed, "--out", out)
    _, problems = read_plan(out)

    assert 0 == done.exit_code, done.stderr
    errors = {problem.code for problem in problems if problem.severity == "error"}
    assert {
        "missing-dates", "missing-last-frost", "unknown-mix", "unknown-container"
    } == errors  # fmt: skip
    text = out.read_text()
    assert '  # water well\n  { name = "Fig", count = 12, now = "#1", to = "#3", ' in text
    assert '    { to = "6 in pot", mix = "tree" },\n  ] },\n' in text
    assert "# [mixes.tree]\n" in text
    assert "`South bed` is taken for a bed: describe it under `beds`" in done.stdout

    mended = text.replace("# [mixes.tree]\n# parts", "[mixes.tree]\nparts")
    mended = mended.replace('South bed", from', 'ground", from')
    mended = mended.replace("# last_frost", "last_frost")
    out.write_text(mended)
    plan, problems = read_plan(out)
    assert [] == [str(problem) for problem in problems if problem.severity == "error"]
    assert [("Fig", 12), ("Basil", 18), ("Squash", 4), ("Lemon", 1)] == [
        (group.name, group.count) for group in plan.plants
    ]


def test_rows_that_are_written_say_the_same(listed: Path, tmp_path: Path) -> None:
    """The tidy CSV read by a plan gives the groups and moves of the plan written whole."""
    rows = tmp_path / "rows.csv"
    done = run(listed, "--out", rows)
    assert 0 == done.exit_code, done.stderr
    (tmp_path / "plan.toml").write_text(
        'plants = [ { rows = "rows.csv" } ]\nbeds = [ { name = "South bed", shape = '
        '"8 ft x 4 ft", depth = "8 in" } ]\n[garden]\nlast_frost = 2027-04-24\n'
        "[mixes.tree]\nparts = { bark = 5, peat = 1 }\n"
    )
    plan, problems = read_plan(tmp_path / "plan.toml")

    assert [] == [str(problem) for problem in problems if problem.severity == "error"]
    assert [("Fig", 12), ("Basil", 18), ("Squash", 4), ("Lemon", 1)] == [
        (group.name, group.count) for group in plan.plants
    ]
    assert [1, 2, 1, 0] == [len(group.kind.moves) for group in plan.plants]


def test_nothing_is_written_over_a_file_or_beside_a_mistake(listed: Path, tmp_path: Path) -> None:
    """A file that is there stays; a list with a mistake gives none."""
    out = tmp_path / "plan.toml"
    out.write_text("mine")
    assert 2 == run(listed, "--out", out).exit_code
    assert "mine" == out.read_text()

    listed.write_text(LIST.replace("#3,2027", "7 gal,2027"))
    done = run(listed, "--out", tmp_path / "other.toml")
    assert 1 == done.exit_code
    assert 'list.csv:3:11: error: "New pot": gallons may be' in done.stderr
    assert not (tmp_path / "other.toml").exists()
    assert 2 == run(listed, "--out", tmp_path / "plan.txt").exit_code


def test_choices_settle_what_is_unclear(tmp_path: Path) -> None:
    """Each option stands for an answer."""
    path = write_xlsx(
        tmp_path / "a.xlsx",
        [
            ["Plant", "Pot", "Repot", "When"],
            ["Fig", '4"', "7 gal", "3/4"],
            ["Bay", "1", "2g", "3/5"],
        ],
    )
    done = run(
        path, "--heading", "When=by", "--heading", "Pot=now (in pot)", "--gallons", "class",
        "--means", "1=#1", "--dates", "day-first", "--year", "2027", "--count", "2",
        "--mix", "tree", "--last-frost", "2027-04-12", "--out", tmp_path / "plan.toml",
    )  # fmt: skip
    text = (tmp_path / "plan.toml").read_text()

    assert 0 == done.exit_code, done.stderr
    assert (
        '{ name = "Fig", count = 2, now = "4 in pot", to = "#7", mix = "tree", by = 2027-04-03 }'
    ) in text
    assert '{ name = "Bay", count = 2, now = "#1", to = "#2", mix = "tree", by = 2027-05-03 }' in (
        text
    )
    assert "\nlast_frost = 2027-04-12" in text


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--gallons", "trade"], "unknown word for --gallons: `trade`"),
        (["--heading", "Qty"], "--heading is written as WORDS=MEANING: `Qty`"),
        (["--heading", "Qty=cuont"], "--heading: no column of a list: `cuont`"),
        (["--now", "7 gal"], "--now: gallons may be a nursery class or a true volume: `7 gal`"),
        (["--count", "0"], "--count says nothing: `0`"),
        (["--sheet", "A"], "a text file has no sheets: `A`"),
    ],
)
def test_error_options(options, words, listed: Path) -> None:
    """A slip in an option is told, with a code of its own."""
    done = run(listed, *options)

    assert done.exit_code in (1, 2)
    assert words in done.stderr


def test_unclear_things_are_asked_on_a_terminal(tmp_path: Path, answers) -> None:
    """Headings, a column that is missing, cells; a wrong answer is asked again."""
    path = tmp_path / "list.csv"
    path.write_text('Plant,Quanity,New pot,Date\nFig,2,7 gal,2027-04-01\nBay,1,12",2027-04-02\n')
    asked = answers("", "by", "#1", "trade", "", "12 in", "12 in pot")
    done = run(path, "--out", tmp_path / "rows.csv")

    assert 0 == done.exit_code, done.stderr
    gallons = "  Gallons here are the nursery class or true [class]: "
    assert [
        "  What is it? count, or - to leave it out [count]: ",
        "  What is it? from, by, or - to leave it out [from]: ",
        "What are they in now, all of them: ",
        *(gallons, gallons),
        *('  `12"` is (Enter: leave it): ', '  `12"` is (Enter: leave it): '),
    ] == asked
    assert (
        "name,count,now,to,by\r\nFig,2,#1,#7,2027-04-01\r\nBay,1,#1,12 in pot,2027-04-02\r\n"
    ) == (tmp_path / "rows.csv").read_bytes().decode()


def test_who_leaves_while_asked_writes_nothing(tmp_path: Path, answers) -> None:
    """The end of the answers is no answer."""
    path = tmp_path / "list.csv"
    path.write_text("Plant,Quanity,Now\nFig,2,#1\n")
    answers()
    done = run(path, "--out", tmp_path / "rows.csv")

    assert 1 == done.exit_code
    assert done.stdout.endswith("\nnothing written\n")
    assert not (tmp_path / "rows.csv").exists()


def test_dates_and_decimals_are_asked_once_for_the_list(tmp_path: Path, answers) -> None:
    """Not once for every cell."""
    path = tmp_path / "list.csv"
    path.write_text("Plant;Qty;Now;By\nFig;1.000;#1;3/4/2027\nBay;2.000;#1;5/4/2027\n")
    asked = answers("day", "c")
    done = run(path, "--out", tmp_path / "rows.csv")

    assert 0 == done.exit_code, done.stderr
    assert 2 == len(asked)
    assert "Fig,1000,#1,2027-04-03\r\nBay,2000,#1,2027-04-05" in (
        (tmp_path / "rows.csv").read_bytes().decode()
    )


def test_wide_list_is_shown_in_80_columns(tmp_path: Path) -> None:
    """What is needed most is shown, and the rest is named."""
    path = tmp_path / "list.csv"
    path.write_text(
        "Plant,Variety,Qty,Now in,New pot,Earliest,Latest,Soil,Bench,Label,Notes\n"
        "A fig with a long name,Early black of the old kind,12,4 in square pot,5 gal bag,"
        "2 weeks before last frost,5 weeks after last frost,the tree mix,House 3,A-17,dry\n"
    )
    done = run(path)

    assert 0 == done.exit_code, done.stderr
    assert [] == [line for line in done.stdout.splitlines() if len(line) > 80]
    assert "(read too, with no room here: " in done.stdout


def test_widths_are_asked_about_once_for_a_column(tmp_path: Path, answers) -> None:
    """Not once for every width; an empty answer asks one by one."""
    path = tmp_path / "list.csv"
    path.write_text('Plant;Qty;Now;To\nFig;2;4";#1\nBay;3;9cm;#1\n')
    asked = answers("squ")
    done = run(path)
    assert 0 == done.exit_code, done.stderr
    assert ["  All of them are (Enter: one by one): "] == asked
    assert "4 in square pot" in done.stdout
    assert "9 cm square pot" in done.stdout

    asked = answers("", "4 in pot", "9 cm pan")
    done = run(path)
    assert 0 == done.exit_code, done.stderr
    assert 1 + 3 == len(asked)
    assert "--means" not in done.stdout


def test_hidden_rows_and_ticks_are_asked_about(tmp_path: Path, answers) -> None:
    """Enter leaves hidden rows out, and reads only the rows with yes."""
    import openpyxl

    rows = [["Plant", "Qty", "Pot", "Repot?", "New pot"], ["Fig", 12, "#1", "yes", "#3"],
            ["Bay", 3, "#1", "no", "#3"], ["Rose", 4, "#1", "yes", "#3"]]  # fmt: skip
    path = write_xlsx(tmp_path / "a.xlsx", rows)
    book = openpyxl.load_workbook(path)
    book.active.row_dimensions[4].hidden = True
    book.save(path)
    asked = answers("", "")
    done = run(path)

    assert 0 == done.exit_code, done.stderr
    assert "a.xlsx, sheet `Plants`: 1 row, 12 plants" in done.stdout
    assert ["  leave or read them [leave]: ",
            "  What is it? only yes, or - to leave it out [only yes]: "] == asked  # fmt: skip
