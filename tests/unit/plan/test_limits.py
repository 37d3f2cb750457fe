"""Plans that no garden has: refused with their own codes, in time and memory in line with size."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan

HEAD = """format = 1
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 5, peat = 1 }
"""
FIG = '[[plants]]\nname = "Fig"\ncount = 3\nnow = "#1"\nto = "#3"\nby = "last frost"\n'
MOST_S, MOST_MB = 60, 500
"""A machine with other work took 2 s; before there were limits, these took up to ten minutes."""


def nested(number: int) -> str:
    """Return so many mixes, each in the next."""
    return "".join(
        f"[mixes.m{i}]\nparts = {{ {f'm{i - 1}' if i else 'peat'} = 1, perlite = 1 }}\n"
        for i in range(number)
    )


PLANS = {
    "one dotted key": (HEAD + FIG + ".".join(["a"] * 50_000) + " = 1\n", "nested-too-deep"),
    "one dotted header": (HEAD + FIG + "[" + ".".join(["a"] * 50_000) + "]\n", "nested-too-deep"),
    "dotted and quoted": (HEAD + FIG + ".".join(['"a"'] * 9_000) + " = 1\n", "nested-too-deep"),
    "many dotted keys": (
        HEAD + FIG + "".join(f"a{i}{'.b' * 9} = 1\n" for i in range(200_000)),
        "too-many-things",
    ),
    "empty plants": (HEAD + "[[plants]]\n" * 890_000, "too-many-things"),
    "too many plants": (HEAD + FIG * 11_000, "too-many-things"),
    "unknown keys": (
        HEAD + FIG + "".join(f"k{i} = {i}\n" for i in range(300_000)),
        "too-many-things",
    ),
    "fewer unknown keys": (
        HEAD + FIG + "".join(f"k{i} = {i}\n" for i in range(9_000)),
        "too-many-mistakes",
    ),
    "unknown headers": (
        HEAD + FIG + "".join(f"[k{i}]\na = 1\n" for i in range(60_000)),
        "too-many-things",
    ),
    "nested mixes": (HEAD + FIG + nested(900), "mixes-too-deep"),
    "more nested mixes": (HEAD + FIG + nested(2_000), "too-many-things"),
    "unknown parts": (
        HEAD + FIG + "[mixes.b]\nparts = { " + ", ".join(f"p{i} = 1" for i in range(9_999)) + " }",
        "too-many-mistakes",
    ),
    "near misses of many mixes": (
        HEAD
        + "".join(f"[mixes.blend{i}]\nparts = {{ peat = 1 }}\n" for i in range(900))
        + FIG.replace("by", 'mix = "blemd17"\nby') * 2_000,
        "too-many-mistakes",
    ),
    "a long list": (
        HEAD + FIG + "[work]\ndays = [" + '"sax",' * 90_000 + "]\n",
        "too-many-things",
    ),
    "a long text": (HEAD + FIG + f'x = "{"a " * 4_000_000}"\n', "text-too-long"),
    "a long number": (HEAD + FIG + f"x = {'3' * 9_000_000}.5\n", "text-too-long"),
    "a long key": (HEAD + FIG + "a" * 9_000_000 + " = 1\n", "text-too-long"),
    "a long text of lines": (HEAD + FIG + 'x = """' + "a\n" * 900_000 + '"""', "text-too-long"),
    "an open text of lines": (HEAD + FIG + 'x = """' + "a\n" * 4_800_000, "open-quote"),
    "lists in lists": (HEAD + FIG + "x = " + "[" * 90_000 + "]" * 90_000, "nested-too-deep"),
}

ROWS = {
    "columns": (
        "name,count,now,to" + "".join(f",c{i}" for i in range(200_000)) + "\n",
        "too-many-columns",
    ),
    "a long cell": ("name,count,now\n" + "F" * 131_073 + ",3,#1\n", "text-too-long"),
    "a long row": ("name,count,now\nFig,3,#1" + ",x" * 4_000_000 + "\n", "text-too-long"),
    "a long head": ("name" * 50_000 + ",count,now\nFig,3,#1\n", "text-too-long"),
    "a quote left open": ('name,count,now\n"Fig,3,#1\n' + "Bay,3,#1\n" * 20_000, "text-too-long"),
}


@pytest.mark.parametrize("case", PLANS)
def test_error_no_plan_takes_minutes(case, tmp_path):
    """A plan beyond any garden is refused by its code."""
    text, code = PLANS[case]
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")

    plan, problems = read_plan(tmp_path / "plan.toml")
    assert plan is None
    assert code in [problem.code for problem in problems]
    assert len(problems) <= 201


@pytest.mark.parametrize(
    ("case", "spreadsheet"), [("too many plants", True), ("more nested mixes", False)]
)
def test_error_only_plants_are_sent_to_a_spreadsheet(case, spreadsheet, tmp_path):
    """A spreadsheet takes plants, so who has too many mixes is not told to use one."""
    (tmp_path / "plan.toml").write_text(PLANS[case][0], encoding="utf-8")

    (problem,) = read_plan(tmp_path / "plan.toml")[1]
    assert spreadsheet == ("spreadsheet" in problem.hint)
    assert problem.hint


@pytest.mark.parametrize("case", ROWS)
def test_error_no_list_takes_minutes(case, tmp_path):
    """A list of plants beyond any garden is refused by its code."""
    rows, code = ROWS[case]
    (tmp_path / "plants.csv").write_text(rows, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(f'{HEAD}[[plants]]\nrows = "plants.csv"\n')

    plan, problems = read_plan(tmp_path / "plan.toml")
    assert plan is None
    assert [code] == [problem.code for problem in problems]


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_all_of_these_take_little_time_and_memory(tmp_path):
    """All in one process stay below the time and memory of one (the limits are set far off)."""
    for number, (text, _) in enumerate(PLANS.values()):
        (tmp_path / f"{number:02}.toml").write_text(text, encoding="utf-8")
    script = (
        "import sys, resource, pathlib\n"
        "from rootroom.plan.reader import read_plan\n"
        "for path in sorted(pathlib.Path(sys.argv[1]).glob('*.toml')):\n"
        "    read_plan(path)\n"
        "used = resource.getrusage(resource.RUSAGE_SELF)\n"
        "status = pathlib.Path('/proc/self/status').read_text()\n"
        "print(used.ru_utime, int(status.partition('VmHWM:')[2].split()[0]) / 1024)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, check=True
    )
    seconds, megabytes = map(float, ran.stdout.split())
    assert seconds < MOST_S
    assert megabytes < MOST_MB


def test_a_comment_or_text_may_hold_what_looks_like_a_long_key(tmp_path):
    """Dots in a comment or a text are no parts of a key."""
    dots = "a.b.c.d.e.f.g.h.i.j.k.l.m"
    text = f"# {dots} = 1\n{HEAD}{FIG.replace('Fig', f'Fig {dots}')}"
    (tmp_path / "plan.toml").write_text(text)

    plan, _ = read_plan(tmp_path / "plan.toml")
    assert plan is not None
    assert [f"Fig {dots}"] == plan.plants.names


def test_as_many_as_are_allowed_are_read(tmp_path):
    """Ten thousand plants in the plan file are read."""
    plants = "".join(FIG.replace("Fig", f"Fig {i}") for i in range(10_000))
    (tmp_path / "plan.toml").write_text(HEAD + plants)

    plan, problems = read_plan(tmp_path / "plan.toml")
    assert [] == [p for p in problems if p.severity == "error"]
    assert len(plan.plants.names) == 10_000
