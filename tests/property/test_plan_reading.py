"""Laws of reading a plan: no text breaks it, every place is true, both forms say the same."""

from __future__ import annotations

import random
import tomllib
from datetime import date, timedelta
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from rootroom.plan.dates import read_window, resolve
from rootroom.plan.drafts import starter_plan
from rootroom.plan.reader import read_plan
from rootroom.plan.toml.spans import Stop, find_places
from rootroom.sheets.problems import render_problems

pytestmark = pytest.mark.property

PLANS = Path(__file__).parents[2] / "plans"
TEXTS = [starter_plan(), *(path.read_text("utf-8") for path in sorted(PLANS.glob("*.toml")))]
MANY = settings(deadline=None, max_examples=150, derandomize=True)


def leaves(value, path=()):
    """Yield every value with its path."""
    items = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    for key, inner in items:
        yield (*path, key), inner
        yield from leaves(inner, (*path, key))


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_every_place_holds_its_value(text):
    """What stands at a value's place reads as that value."""
    values, keys = find_places(text)

    for path, value in leaves(tomllib.loads(text)):
        start, end = values[path]
        shown = text[start:end]
        is_header = shown.startswith("[[" if isinstance(value, list) else "[")
        if not is_header:
            assert value == tomllib.loads(f"x = {shown}")["x"]
        if isinstance(path[-1], str):
            start, end = keys[path]
            assert path[-1] == text[start:end].strip("\"'")


TREES = st.recursive(
    st.one_of(
        st.integers(-(10**9), 10**9),
        st.booleans(),
        st.dates(date(1900, 1, 1), date(2200, 1, 1)),
        st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_characters="\x7f")),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=20,
)


def written(value, spread):
    """Return a value as TOML; `spread` puts lists over several lines with notes between."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(c):08X}" if c in '"\\' or ord(c) < 32 or 127 <= ord(c) < 160
                             else c for c in value) + '"'  # fmt: skip
    if isinstance(value, list):
        mark = ",\n # note [ { \" '\n" if spread else ", "
        return "[" + mark.join(written(each, spread) for each in value) + "]"
    if isinstance(value, dict):
        pairs = (f"{written(key, spread)} = {written(each, spread)}" for key, each in value.items())
        return "{ " + ", ".join(pairs) + " }"
    return str(value)


@MANY
@given(st.dictionaries(st.text(max_size=6), TREES, max_size=6), st.booleans())
def test_every_place_of_a_drawn_text_holds_its_value(table, spread):
    """The same for texts that nobody would write."""
    text = "".join(f"{written(k, spread)} = {written(v, spread)}\n" for k, v in table.items())
    values, _ = find_places(text)

    assert table == tomllib.loads(text)
    for path, value in leaves(table):
        start, end = values[path]
        assert value == tomllib.loads(f"x = {text[start:end]}")["x"]


def read_text(text, folder, rows=None):
    """Read a text as a plan; check that its problems can be shown and lie inside the files."""
    (folder / "plan.toml").write_bytes(text.encode("utf-8", "surrogatepass"))
    if rows is not None:
        (folder / "plants.csv").write_bytes(rows.encode("utf-8", "surrogatepass"))
    plan, problems = read_plan(folder / "plan.toml")
    assert (plan is None) == any(problem.severity == "error" for problem in problems)
    assert bool(problems) == bool(render_problems(problems))
    for problem in problems:
        for where in (problem.where, *(other for other, _ in problem.related)):
            data = Path(where.file).read_bytes().decode("utf-8-sig", "replace")
            lines = data.replace("\r\n", "\n").replace("\r", "\n").split("\n")
            assert 1 <= where.line <= len(lines)
            assert 1 <= where.start <= len(lines[where.line - 1]) + 1
    return plan, problems


SCRAPS = [
    *("“", "”", '"', "'", ",", "=", "[", "]", "{", "}", "#", "\n", "8,99", "4/24/2027", "\\"),
    *("inf", "nan", "-1", "1e99", "99999999999", "[[plants]]", "[mixes.a b]", "now = #1", "½"),
    *("\r", "\0", ":"),
    *("true", "2027-02-30", '"""', "'''", "\u202e", "plants = [", "count = 2.5", "\ufeff", "#3"),
]


@pytest.mark.parametrize("seed", range(60))
def test_error_no_slip_breaks_the_reader(seed, tmp_path):
    """A good plan with a few random slips is read or answered, never a traceback."""
    draw = random.Random(seed)
    text = draw.choice(TEXTS)
    for _ in range(draw.randint(1, 4)):
        at = draw.randrange(len(text))
        cut = draw.choice([0, 0, 1, 1, 3, 20])
        text = text[:at] + draw.choice([*SCRAPS, ""]) + text[at + cut :]

    read_text(text, tmp_path)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(text=st.text(max_size=120))
def test_error_no_text_breaks_the_reader(text, tmp_path_factory):
    """Any text at all is answered."""
    read_text(text, tmp_path_factory.getbasetemp())


HEAD = "[garden]\nlast_frost = 2027-04-12\n\n[mixes.tree]\nparts = { bark = 5, peat = 1 }\n\n"


@settings(deadline=None, max_examples=200, derandomize=True)
@given(
    rows=st.text(st.sampled_from('name,count;now\n\r"#123to \t½\u202e\udcff=x'), max_size=80),
    head=st.sampled_from(["", "name,count,now\n", "name;count;now;to\n"]),
)
def test_error_no_list_of_plants_breaks_the_reader(rows, head, tmp_path_factory):
    """Any list of plants is answered."""
    folder = tmp_path_factory.getbasetemp()
    read_text(HEAD + '[[plants]]\nrows = "plants.csv"\n', folder, head + rows)


@pytest.mark.parametrize("seed", range(10))
def test_spreadsheet_and_plan_file_say_the_same(seed, tmp_path):
    """A list of plants gives the same groups as TOML and as CSV, in whatever order of columns."""
    draw = random.Random(seed)
    columns = ["name", "count", "now", "to", "from", "by", "per_pot", "crop"]
    plants = [
        {
            "name": f"Plant {i}",
            "count": str(draw.randint(1, 40)),
            "now": draw.choice(["#1", "72-cell tray", "bare root"]),
            "to": draw.choice(["#3", "#7", "ground"]),
            "from": draw.choice(["last frost", "2 weeks before last frost"]),
            "by": draw.choice(["", "3 weeks after last frost"]),
            "per_pot": draw.choice(["", "2"]),
            "crop": draw.choice(["", "fig", "tomato"]),
        }
        for i in range(400)
    ]
    draw.shuffle(columns)
    rows = "\n".join([",".join(columns), *(",".join(p[c] for c in columns) for p in plants)])
    bare = ("count", "per_pot")
    tables = "".join(
        "[[plants]]\n"
        + "".join(f"{k} = {v if k in bare else repr(v)}\n" for k, v in plant.items() if v)
        for plant in plants
    )
    listed, _ = read_text(HEAD + '[[plants]]\nrows = "plants.csv"\n', tmp_path, rows)
    typed, _ = read_text(HEAD + tables, tmp_path)

    assert listed is not None
    assert typed is not None
    for one, other in zip(listed.plants, typed.plants, strict=True):
        assert (one.name, one.count, one.kind.now) == (other.name, other.count, other.kind.now)
        assert [(m.to, m.place, m.opens, m.due, m.per_pot) for m in one.kind.moves] == [
            (m.to, m.place, m.opens, m.due, m.per_pot) for m in other.kind.moves
        ]


@MANY
@given(
    st.dates(date(1950, 1, 1), date(2150, 1, 1)),
    st.integers(0, 400),
    st.sampled_from(["days", "weeks"]),
    st.sampled_from(["before", "after"]),
)
def test_windows_agree_with_a_calendar_library(frost, number, unit, side):
    """Days and weeks from the last frost are those of python-dateutil."""
    sign = -1 if side == "before" else 1
    expected = frost + relativedelta(**{unit: sign * number})

    assert expected == resolve(read_window(f"{number} {unit} {side} last frost"), frost)
    assert expected - frost == timedelta(days=sign * number * (7 if unit == "weeks" else 1))


PIECES = (
    *("a", "b", '"c d"', "'e'", "a.b", "f-g", "=", " = ", "[", "]", "[[", "]]", "{", "}", ","),
    *("\n", "\n", "1", "08", "-3", "+1.5", "1_000", "1__0", "0x1F", "0xG", "1e5", "1e", ".5", "5."),
    *("nan", "true", "True", "2027-04-12", "2027-02-30", "2027-4-1", "09:00", "09:00:00", "inf"),
    *('"', "'", '"x"', "'y'", '"\\n"', '"\\q"', '"\\u00e9"', '"\\ud800"', '"""', "'''", "\\"),
    *("\u00a0", "\x07", "é", "2027-04-12T09:00:00Z", "2027-04-12 25:00:00", "x = 1\n", "# c", "\t"),
    *("y.z = 2\n", "[[l]]\n", "l = [1, 2,]\n", "t = { u = 1, v = [ 1 ] }\n", "[t.u]\n", "[l.m]\n"),
    *("[t]\n", " "),
)


@MANY
@given(st.lists(st.sampled_from(PIECES), max_size=14).map("".join))
def test_the_scanner_stops_where_the_reader_does(text):
    """Own scanner and standard library take the same texts (a place is all that they differ in)."""
    try:
        tomllib.loads(text)
        fine = True
    except ValueError:
        fine = False
    try:
        find_places(text)
        found = True
    except Stop:
        found = False
    assert fine == found, text
