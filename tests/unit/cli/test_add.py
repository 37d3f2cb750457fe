"""`rootroom add`: by options and by questions; what stood in the plan stays."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.plan.reader import read_plan

PLAN = """\
# our plan
plants = [
  { name = "Fig", count = 2, now = "#1", to = "#3" },   # by the wall
  # { name = "Bay", count = 1, now = "#1" },
]
[garden]
last_frost = 2027-04-24   # late
[mixes."potting mix"]
parts = { bark = 5, peat = 1 }
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Return a plan with comments."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    return path


def add(*arguments: str | Path):
    """Return what the command answers."""
    return CliRunner().invoke(app, ["add", *map(str, arguments)])


def data(path: Path):
    """Return what a plan says."""
    return tomllib.loads(path.read_text())


def test_plant_by_options(plan: Path) -> None:
    """One line more; the answer shows it."""
    done = add(plan, "plant", "--name", "Old fig", "--count", "six", "--now", "#1", "--to", "#3",
               "--from", "last frost", "--by", "2027-5-20", "--also", "harden=10 days")  # fmt: skip
    line = (
        '  { name = "Old fig", count = 6, now = "#1", to = "#3", from = "last frost", '
        'by = 2027-05-20, harden = "10 days" },\n'
    )

    assert 0 == done.exit_code, done.stderr
    assert PLAN.replace("by the wall\n", "by the wall\n" + line) == plan.read_text()
    assert done.stdout.startswith(f'added to {plan}:\n  {{ name = "Old fig", count = 6,')
    assert [] == [one for one in done.stdout.splitlines()[1:] if len(one) > 80]


def test_supply_and_mix_by_options(plan: Path) -> None:
    """The kind is clear from what is told; what took the only mix keeps it."""
    assert 0 == add(plan, "--of", "#3", "--pack", "10", "--price", "40", "--from", "Shop").exit_code
    done = add(plan, "--name", "fine", "--parts", "2:1 peat perlite")
    found = data(plan)

    assert 0 == done.exit_code, done.stderr
    assert [{"of": "#3", "pack": 10, "price": 40.0, "from": "Shop"}] == found["supplies"]
    assert {"peat": 2, "perlite": 1} == found["mixes"]["fine"]["parts"]
    assert "potting mix" == found["plants"][0]["mix"]
    assert (
        '`mix = "potting mix"` now stands on what took the only mix until now: `Fig`\n'
    ) in done.stdout
    assert "# by the wall" in plan.read_text()
    read, problems = read_plan(plan)
    assert read is not None, problems


def test_plan_with_errors_may_grow_out_of_them(plan: Path) -> None:
    """What was wrong before is told, and only what would be new is refused."""
    plan.write_text(PLAN.partition("[mixes")[0].replace("last_frost", "# last_frost"))
    done = add(plan, "--name", "tree", "--parts", "5 bark, 1 peat")

    assert 0 == done.exit_code, done.stderr
    assert done.stdout.endswith(f"the plan still has 1 error: `rootroom check {plan}`\n")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ([], "nothing to add was said"),
        (["plant", "--name", "Bay"], "a plant needs --count"),
        (["--of", "peat", "--count", "2"], "a supply has no --count"),
        (["pot", "--name", "Bay"], "`plant`, `supply`, `mix` or `bed` belongs here: `pot`"),
        (["--name", "fig", "--count", "2", "--now", "#1"], "two plants of one name: `fig`"),
        (["--name", "Bay", "--count", "2", "--now", "7 gal"], "gallons may be a nursery class"),
        (["--name", "Bay", "--count", "2", "--now", "#3", "--to", "#1"], "no place for mix"),
        (["--name", "Bay", "--count", "no", "--now", "#1"], "--count: a count is a whole number"),
        (["--name", "a", "--count", "2", "--now", "#1", "--by", "3/4/2027"], "--by: a date is"),
        (["--name", "a", "--count", "2", "--now", "#1", "--also", "wiat=2"], "unknown key: `wiat`"),
        (["--name", "a", "--count", "2", "--now", "#1", "--also", "x"], "KEY=VALUE: `x`"),
        (["--of", "peet", "--pack", "2 cu ft", "--price", "9"], "unknown good: `peet`"),
        (["--of", "peat", "--pack", "2 cu ft", "--price", "9,50"], "--price: a plain number"),
        (["mix", "--name", "potting MIX", "--parts", "1 peat, 1 bark"], "a mix of that name"),
        (["mix", "--name", "b", "--parts", "peat"], "--parts: a part is a number and a name"),
    ],
)
def test_error_nothing_is_written_beside_a_mistake(options, words, plan: Path) -> None:
    """A slip is told in the plan's own words, and the plan stays as it is."""
    done = add(plan, *options)

    assert done.exit_code in (1, 2), done.stdout
    assert words in done.stderr or words in str(done.exception)
    assert PLAN == plan.read_text()


def test_plant_by_questions(plan: Path, answers) -> None:
    """Checked as in a new plan, against this one; a second mix is asked for."""
    add(plan, "--name", "fine", "--parts", "2:1 peat perlite")
    asked = answers("", "fig", "Lemon", "2", "#3", "#1", "#5", "", "", "fnie", "fine")
    done = add(plan)

    assert 0 == done.exit_code, done.stdout
    assert "two plants of one name: `fig`" in done.stdout
    assert "no place for mix" in done.stdout
    assert "did you mean `fine`?" in done.stdout
    assert {
        "name": "Lemon", "crop": "lemon", "count": 2, "now": "#3", "to": "#5", "mix": "fine"
    } == data(plan)["plants"][1]  # fmt: skip
    assert "  with which mix: potting mix, fine [potting mix]: " == asked[-1]
    assert max(map(len, asked)) <= 80


def test_supply_and_mix_by_questions(plan: Path, answers) -> None:
    """What can be had, and the recipe in one line."""
    answers("peet", "#3", "10", "45", "Pot shop")
    assert 0 == add(plan, "supply").exit_code
    answers("peat", "fine", "2:1 peat perlite")
    assert 0 == add(plan, "mix").exit_code
    found = data(plan)

    assert [{"of": "#3", "pack": 10, "price": 45.0, "from": "Pot shop"}] == found["supplies"]
    assert {"peat": 2, "perlite": 1} == found["mixes"]["fine"]["parts"]


def test_bed_by_options_and_by_questions(plan: Path, answers) -> None:
    """A list of beds begins with the first of them; the second is checked like a new plan's."""
    done = add(plan, "--name", "Long bed", "--shape", "8 ft x 4 ft", "--depth", "10 in",
               "--by", "last frost")  # fmt: skip
    assert 0 == done.exit_code, done.stderr
    asked = answers("long bed", "Round bed", "5 ft", "round 5 ft", "1 ft", "2 ft", "3 in", "", "")
    done = add(plan, "bed")
    plan_read, problems = read_plan(plan)

    assert 0 == done.exit_code, done.stdout
    assert "two beds of one name: `long bed`" in done.stdout
    assert "does not fit" in done.stdout or "shape" in done.stdout
    assert plan_read is not None, problems
    assert [
        {"name": "Long bed", "shape": "8 ft x 4 ft", "depth": "10 in", "by": "last frost"},
        {"name": "Round bed", "shape": "round 5 ft", "depth": "1 ft", "already": "3 in"},
    ] == data(plan)["beds"]
    assert max(map(len, asked)) <= 80


def test_plant_with_two_moves_by_questions(plan: Path, answers) -> None:
    """`then` parts the moves; the second one may be so long after the first."""
    answers("plant", "Lemon", "2", "#1", "#2, then #5", "last frost", "", "4 weeks later", "")
    done = add(plan)
    lemon = data(plan)["plants"][1]

    assert 0 == done.exit_code, done.stdout
    assert [
        {"to": "#2", "from": "last frost"}, {"to": "#5", "wait": "4 weeks"}
    ] == lemon["moves"]  # fmt: skip


@pytest.mark.parametrize("given", [(), ("",), ("", "Lemon", "2"), ("", "Lemon", "^C")])
def test_who_leaves_changes_nothing(given, plan: Path, answers) -> None:
    """The plan is written once all is answered."""
    answers(*given)
    done = add(plan)

    assert done.exit_code in (1, 130)
    assert PLAN == plan.read_text()


def test_error_files_that_are_no_plan(tmp_path: Path) -> None:
    """One that is not there, and one that is no TOML."""
    options = ("--name", "a", "--count", "2", "--now", "#1")
    assert 0 != add(tmp_path / "none.toml", *options).exit_code
    (tmp_path / "a.toml").write_text("plants = [")
    done = add(tmp_path / "a.toml", *options)
    assert 0 != done.exit_code
    assert "plants = [" == (tmp_path / "a.toml").read_text()
    (tmp_path / "b.toml").write_bytes(b"# caf\xe9\n")
    assert 0 != add(tmp_path / "b.toml", *options).exit_code
