"""Plans side by side: their figures, what differs, and how a variant is asked for."""

from __future__ import annotations

import csv
import io
import json
from datetime import date

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.comparing import Compared, Setting, compare, read_settings, with_settings
from rootroom.plan.differences import Difference
from rootroom.plan.reader import read_plan_text
from rootroom.problems import TextError
from rootroom.sheets.answers.comparing import comparison_csv, comparison_text
from rootroom.sheets.charts.bars import comparison_chart

# An invented yard. 8 pots of 10 L from bare roots, packed 1:1, nothing spilt: 80 L, two bags of
# 50 L at 5.00, eight pots at 1.00; 8 x 6 min and 20 min of setup.
PLAN = """\
format = 1
plants = [
  { name = "Fig", count = 8, now = "bare root", to = "10 L", mix = "tree", from = 2027-03-06, by = 2027-03-28 },
]
supplies = [
  { of = "tree", pack = "50 L", price = 5.00, from = "Shop" },
  { of = "10 L", pack = 1, price = 1.00, from = "Shop" },
]
[garden]
name = "Made-up yard"
units = "metric"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-03-28
hours = 2
spare = "0 %"
setup = "20 min"
mix_setup = "0 min"
[minutes]
"10 L" = 6
[factors]
packing = 1
spill = "0 %"
ball = 1
[mixes.tree]
"""  # noqa: E501


def variant(name, *settings):
    """Return the plan with values set."""
    text = with_settings(PLAN, [Setting(*one) for one in settings])
    plan, problems = read_plan_text(text, "plan.toml")
    assert plan is not None, problems
    return Compared(name, text, plan)


@pytest.fixture(scope="module")
def outcomes():
    """Return the plan, twice the plants, and half an hour a day in place of two hours."""
    return compare(
        [
            variant("as it is"),
            variant("twice", ("plants.Fig.count", "16")),
            variant("short days", ("work.hours", "0.5"), ("plants.Fig.by", "")),
        ]
    )


def test_figures_by_hand(outcomes):
    """Litres, cents, pots, minutes, days and what is left out, all worked out by hand.

    Twice: 160 L, 4 bags and 16 pots, 20 + 16 x 6 = 116 min. Short days: of 30 min 10 are left
    beside the setup, which do for one plant (6 min) on each of four Saturdays, 4 x 26 = 104 min;
    4 plants are left out, so 4 pots, and still 2 bags for all 80 L.
    """
    assert [
        (80.0, 1800, 8, 1, 68.0, date(2027, 3, 6), date(2027, 3, 6), 0),
        (160.0, 3600, 16, 1, 116.0, date(2027, 3, 6), date(2027, 3, 6), 0),
        (80.0, 1400, 4, 4, 104.0, date(2027, 3, 6), date(2027, 3, 27), 4),
    ] == [
        (
            pytest.approx(one.mixes["tree"].median), one.cost_cents, one.pots_bought,
            one.sessions, pytest.approx(one.minutes), one.first, one.last, one.left_out,
        )
        for one in outcomes
    ]  # fmt: skip


def test_what_differs_is_what_was_set(outcomes):
    """A value set, and one taken away."""
    assert [
        (),
        (Difference("plants.Fig.count", "8", "16"),),
        (Difference("plants.Fig.by", "2027-03-28", ""), Difference("work.hours", "2", "0.5")),
    ] == [one.differs for one in outcomes]


TABLE = """\
                        as it is       twice       short days
  tree, plan on             80 L       160 L             same
  cost [EUR]               18.00       36.00            14.00
  pots to buy                  8          16                4
  sessions                     1        same                4
  first and last day       6 Mar        same  6 Mar to 27 Mar
  work                1 h 10 min  1 h 55 min       1 h 45 min
  heaviest to lift       5.25 kg        same             same
  moved in all             42 kg     84.5 kg            21 kg
  late                      none        same             same
  left out                  none        same         4 plants

twice differs in:
  plants.Fig.count: 8 -> 16

short days differs in:
  plants.Fig.by: 2027-03-28 -> not given
  work.hours: 2 -> 0.5"""


def test_the_table(outcomes):
    """What is as in the first plan is told by one word."""
    assert TABLE == comparison_text(outcomes)


def test_a_plan_beside_itself_shows_nothing_different():
    """Every figure is the same, and nothing differs."""
    found = compare([variant("one"), variant("other")])
    one, other = found

    assert "other differs in nothing." in comparison_text(found)
    assert () == one.differs == other.differs
    lines = comparison_text(found).partition("\n\n")[0].splitlines()
    assert all(line.endswith("same") for line in lines[1:])
    rows = [line.split(",") for line in comparison_csv(found).splitlines()[1:]]
    assert rows
    assert all(row[-1] == row[-2] for row in rows)
    read = list(csv.DictReader(io.StringIO(comparison_csv(found))))
    figures = ("mix tree, plan on", "bought_kg")
    units = [[one["unit"] for one in read if one["figure"] == each] for each in figures]
    assert [["L", "gal"], ["kg", "lb"]] == units


def test_many_plans_go_into_tables_of_four(outcomes):
    """Five plans stand in two tables, both with the first one, and no line is over 80 columns."""
    first, twice, short = outcomes
    text = comparison_text([first, twice, short, twice, short])

    assert 2 == text.count("tree, plan on")
    assert 2 == text.count("as it is")
    assert all(len(line) <= 80 for line in text.splitlines())


def test_the_chart_has_a_bar_for_each_plan(outcomes):
    """Of mix, cost, sessions, work, the two weights and what is left out; names are escaped."""
    from attrs import evolve

    svg = comparison_chart([evolve(outcomes[0], name="<b>"), *outcomes[1:]])

    assert "&lt;b&gt;" in svg
    assert "<b>" not in svg
    assert 3 + 7 * 3 == svg.count('stroke-width="1.2"/>') - svg.count('H8" stroke')


def test_settings_of_one_name_make_one_variant():
    """Without a name they are the one that is called changed."""
    assert {
        "changed": [Setting("work.people", "2"), Setting("plants.Fig.by", "")],
        "big pots": [Setting('plants."a = b: c".to', "#5")],
        "2: days": [],
    } == {
        **read_settings(["work.people=2", 'big pots: plants."a = b: c".to = #5', "plants.Fig.by="]),
        "2: days": [],
    }


def test_error_nothing_to_set():
    """A setting without a sign says how it is written."""
    with pytest.raises(TextError) as refused:
        read_settings(["plants.Fig"])

    assert "nothing to set: `plants.Fig`" == refused.value.message
    assert (
        "write what and how, as `plants.Fig.to=#5` or `big pots: plants.Fig.to=#5`"
        == refused.value.hint
    )


def run(tmp_path, *arguments):
    """Run the command on the plan."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    return CliRunner().invoke(app, ["compare", str(path), *arguments])


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (
            (),
            2,
            "error: nothing to set beside the plan\n\n"
            'hint: name another plan, or what to change: `--set "plants.Fig.to=#5"`\n',
        ),
        (
            ("--set", "plants.Figg.to=#5"),
            2,
            "error: nothing of this name in `plants`: `Figg` [unknown-name]\n\n"
            "hint: did you mean `Fig`?\n",
        ),
        (
            ("--set", "big: plants.Fig.to=10 Lx"),
            1,
            "with what is set for `big`:\n\nplan.toml:3:54: error: unknown container: `10 Lx` "
            '[unknown-container]\n    ...ow = "bare root", to = "10 Lx", mix = "tree", '
            "from = 2027-03-06, by = ...\n                              ^^^^^^^\n\n"
            "hint: write it as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`,\n"
            "      `5 gal bag`, `C10`, `15 L`, or give it a table under [containers]\n\n1 error\n",
        ),
    ],
)
def test_error_of_the_command(tmp_path, monkeypatch, arguments, code, said):
    """What is wrong with a setting is told in the words of the plan that it makes."""
    done = run(tmp_path, *arguments)

    assert (code, "") == (done.exit_code, done.stdout)
    assert said == done.stderr.replace(f"{tmp_path}/", "")


def test_the_command_writes_json_and_files(tmp_path):
    """JSON in base units on stdout, and text, table and chart in the folder."""
    out = tmp_path / "out"
    done = run(tmp_path, "--set", "work.people=2", "--json", "--out", str(out))
    plans = json.loads(done.stdout)["plans"]

    assert 0 == done.exit_code
    assert ["as it is", "changed"] == [one["name"] for one in plans]
    assert [{"at": "work.people", "here": "", "there": "2"}] == plans[1]["differs"]
    assert [1800, 68.0] == [plans[0]["cost_cents"], plans[0]["minutes"]]
    assert {"compare.txt", "compare.csv", "compare.svg"} <= {path.name for path in out.iterdir()}


def test_nothing_fits_in_any_plan(tmp_path):
    """Where no plan is feasible the exit code says so, and the table stands all the same."""
    done = run(tmp_path, "--set", "work.people=1")
    short = CliRunner().invoke(
        app,
        ["compare", str(tmp_path / "plan.toml"), "--set", "work.hours=0.5"],
    )

    assert (0, 0) == (done.exit_code, short.exit_code)
    (tmp_path / "plan.toml").write_text(PLAN.replace("hours = 2", "hours = 0.5"))
    both = CliRunner().invoke(
        app, ["compare", str(tmp_path / "plan.toml"), "--set", "work.people=1"]
    )
    assert 3 == both.exit_code
    assert "4 plants" in both.stdout
