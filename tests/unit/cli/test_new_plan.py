"""`rootroom new`: the questions, what they refuse, and the plan that comes of them."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.cli.questions.asking import Interview
from rootroom.plan.drafts import starter_plan
from rootroom.plan.reader import read_plan

TIMES = ("2027-04-24", "weekend", "3", "", "", "")
FIG = ("Black fig", "twelve", "#1", "#3", "4 weeks before last frost", "last frost")
MIX = ("5:1:1 bark peat perlite", "tree mix", "")
PRICES = ("2 cu ft", "6.40", "Mill Road", "3.8 cu ft", "$15.20", "", "", "10", "40", "")


def new(path: Path, *options: str):
    """Return what the command answers."""
    return CliRunner().invoke(app, ["new", str(path), *options])


def test_plan_by_questions(tmp_path: Path, answers) -> None:
    """The answers stand in a commented plan that reads without an error."""
    asked = answers(*TIMES, *FIG, "", *MIX, *PRICES)
    done = new(tmp_path / "a.toml")
    text = (tmp_path / "a.toml").read_text()
    plan, problems = read_plan(tmp_path / "a.toml")

    assert 0 == done.exit_code, done.stdout
    assert plan is not None, problems
    assert {
        "format": 1,
        "plants": [{
            "name": "Black fig", "crop": "fig", "count": 12, "now": "#1", "to": "#3",
            "from": "4 weeks before last frost", "by": "last frost",
        }],
        "supplies": [
            {"of": "bark", "pack": "2 cu ft", "price": 6.40, "from": "Mill Road"},
            {"of": "peat", "pack": "3.8 cu ft", "price": 15.20, "from": "Mill Road"},
            {"of": "#3", "pack": 10, "price": 40.0, "from": "Mill Road"},
        ],
        "garden": {"units": "us", "currency": "USD", "last_frost": date(2027, 4, 24)},
        "work": {"days": ["sat", "sun"], "hours": 3},
        "mixes": {"tree mix": {"parts": {"bark": 5, "peat": 1, "perlite": 1}}},
        "suppliers": {"Mill Road": {}},
    } == tomllib.loads(text)  # fmt: skip
    assert "# `now` is what it stands in" in text
    assert 0 < max(map(len, asked)) <= 80
    assert done.stdout.endswith(f"wrote {tmp_path / 'a.toml'}; next: `rootroom season "
                                f"{tmp_path / 'a.toml'} --out season/`\n")  # fmt: skip


def test_plan_with_a_bed_and_two_moves(tmp_path: Path, answers) -> None:
    """`4 in square pot then #2` is asked about move by move; a plant may go into the bed told."""
    times = TIMES[:-1]
    bed = ("South bed", "8 ft x 4 ft", "10 in", "3 in", "2027-03-20", "last frost", "")
    wrong = "4 in square pot then #7 gal"
    basil = ("Basil", "12", "72-cell tray", wrong, "4 in square pot then #2",
             "2 weeks before last frost", "last frost", "3 weeks later", "2027-06-01")  # fmt: skip
    squash = ("Squash", "4", "4 in square pot", "south bed", "2 weeks after last frost", "")
    asked = answers(*times, *bed, *basil, *squash, "", "2:1 peat perlite", "", "n")
    done = new(tmp_path / "a.toml")
    plan, problems = read_plan(tmp_path / "a.toml")
    found = tomllib.loads((tmp_path / "a.toml").read_text())

    assert 0 == done.exit_code, done.stdout
    assert "unknown container: `#7 gal`" in done.stdout
    assert plan is not None, problems
    assert [
        {"to": "4 in square pot", "from": "2 weeks before last frost", "by": "last frost"},
        {"to": "#2", "wait": "3 weeks", "by": date(2027, 6, 1)},
    ] == found["plants"][0]["moves"]
    assert [{
        "name": "South bed", "shape": "8 ft x 4 ft", "depth": "10 in", "already": "3 in",
        "from": date(2027, 3, 20), "by": "last frost",
    }] == found["beds"]  # fmt: skip
    assert "South bed" == plan.plants[1].kind.moves[0].place
    assert 0 < max(map(len, asked)) <= 80


def test_enter_alone_makes_a_plan(tmp_path: Path, answers) -> None:
    """What stands in brackets is enough but for a plant, its count, its pots and a package."""
    answers("2027-04-24", "", "", "", "", "", "Basil", "6", "72-cell tray", "6 in pot", "", "", "",
            "", "", "2 cu ft", "14", "", "")  # fmt: skip
    done = new(tmp_path / "a.toml")
    plan, problems = read_plan(tmp_path / "a.toml")

    assert 0 == done.exit_code, done.stdout
    assert [] == [str(one) for one in problems if one.severity == "error"]
    assert plan.supplies[0].of == "potting mix"


def test_without_frost_the_work_dates_are_asked(tmp_path: Path, answers) -> None:
    """They are needed then, and the last may not come before the first."""
    asked = answers("", "2027-03-13", "2027-03-01", "2027-06-13", "", "", "", "", "",
                    "Fig", "2", "#1", "", "")  # fmt: skip
    done = new(tmp_path / "a.toml")
    data = tomllib.loads((tmp_path / "a.toml").read_text())

    assert 0 == done.exit_code
    assert "before the first day, 2027-03-13: `2027-03-01`" in done.stdout
    assert (date(2027, 3, 13), date(2027, 6, 13)) == (data["work"]["first"], data["work"]["last"])
    assert not any("mix" in question for question in asked)


@pytest.mark.parametrize(
    ("wrong", "after", "words"),
    [
        ("3/4/2027", (), "write `2027-03-04` or `2027-04-03`"),
        ("fredag", TIMES[:1], "unknown weekday: `fredag`"),
        ("25", TIMES[:2], "a day has 24 hours"),
        ("imperial", TIMES[:3], "`us` or `metric` belongs here"),
        ("dollars", TIMES[:4], "a currency is a code of three capitals"),
        ("", TIMES, "an answer belongs here"),
        ("many", (*TIMES, "Fig"), "a count is a whole number: `many`"),
        ("7 gal", (*TIMES, "Fig", "2"), "write `#7` for the nursery class"),
        ("#1", (*TIMES, "Fig", "2", "#3"), "no place for mix: the ball from `#3`"),
        ("soon", (*TIMES, *FIG[:4]), "cannot read the date: `soon`"),
        ("2029-01-01", (*TIMES, *FIG[:4]), "lies outside the work dates"),
        ("2027-03-01", (*TIMES, *FIG[:5]), "the window closes before it opens"),
        ("black FIG", (*TIMES, *FIG), "two plants of one name: `black FIG`"),
        ("5:1 bark peat perlite", (*TIMES, *FIG, ""), "2 numbers for 3 parts"),
        ("3 peet", (*TIMES, *FIG, ""), "did you mean `peat`?"),
        ("peat", (*TIMES, *FIG, "", MIX[0]), "an ingredient of this name is there"),
        ("a bag", (*TIMES, *FIG, "", *MIX), "does not start with a number"),
        ("12,50", (*TIMES, *FIG, "", *MIX, "2 cu ft"), "a plain number belongs here"),
    ],
)
def test_error_answers_are_told_and_asked_again(wrong, after, words, tmp_path, answers) -> None:
    """Each mistake is told at once with the plan's own words, and the question comes again."""
    asked = answers(*after, wrong)
    done = new(tmp_path / "a.toml")

    assert " ".join(words.split()) in " ".join(done.stdout.split())
    assert asked[-2] == asked[-1]
    assert (1, False) == (done.exit_code, (tmp_path / "a.toml").exists())


def test_back_asks_the_question_before_again(tmp_path: Path, answers) -> None:
    """`<` takes back one answer at a time, over the bounds of a plant too."""
    asked = answers("<", *TIMES, "Fig", "2", "#1", "<", "<", "<", *FIG, "<", "2027-05-01", "",
                    *MIX, "", "", "", "")  # fmt: skip
    done = new(tmp_path / "a.toml")
    data = tomllib.loads((tmp_path / "a.toml").read_text())

    assert 0 == done.exit_code, done.stdout
    assert "this is the first question" in done.stdout
    assert [("Black fig", 12, date(2027, 5, 1))] == [
        (row["name"], row["count"], row["by"]) for row in data["plants"]
    ]
    assert 3 == sum("Last frost" in question for question in asked) + 1


@pytest.mark.parametrize("end", [(), ("^C",)])
@pytest.mark.parametrize("given", [0, 3, 8, 13])
def test_who_leaves_leaves_nothing_behind(given, end, tmp_path: Path, answers) -> None:
    """The end of the answers: some words, code 1; Ctrl-C: code 130 as everywhere. No file."""
    answers(*(*TIMES, *FIG, "", *MIX)[:given], *end)
    done = new(tmp_path / "a.toml")

    assert (130 if end else 1) == done.exit_code
    words = "\nnothing written; `rootroom new --plain` writes a starter plan to change\n"
    assert done.stdout.endswith("" if end else words)
    assert [] == list(tmp_path.iterdir())


def test_plain_writes_the_starter_and_asks_nothing(tmp_path: Path, answers) -> None:
    """With --plain on a terminal, and without it where there is none."""
    assert 0 == new(tmp_path / "b.toml").exit_code
    asked = answers()
    assert 0 == new(tmp_path / "a.toml", "--plain").exit_code

    assert [] == asked
    assert starter_plan() == (tmp_path / "a.toml").read_text() == (tmp_path / "b.toml").read_text()


def test_error_file_that_is_there_is_told_before_the_questions(tmp_path: Path, answers) -> None:
    """Nobody answers twenty questions for nothing."""
    (tmp_path / "a.toml").write_text("mine")
    asked = answers(*TIMES)
    done = new(tmp_path / "a.toml")

    assert (2, [], "mine") == (done.exit_code, asked, (tmp_path / "a.toml").read_text())


def test_interview_takes_given_answers_without_asking(answers) -> None:
    """A step back goes through what was answered before in silence."""
    asked = answers("1", "2", "<", "3", "4")
    told = Interview().run(lambda ask: [ask.need(name, int) for name in "abc"])

    assert [1, 3, 4] == told
    assert ["a: ", "b: ", "c: ", "b: ", "c: "] == asked
