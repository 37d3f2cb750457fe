"""A list of plants means the same however people write it down."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rootroom.plan.lists.model import Choices, ListRead
from rootroom.plan.lists.reading import read_list
from rootroom.plan.lists.table import heading_data
from rootroom.plan.reader import read_plan
from rootroom.problems import Problem
from tests.support.lists import write_ods, write_xlsx

pytestmark = pytest.mark.property

NAMES = (
    "Fig",
    "Early fig",
    "Bay 'Nobilis'",
    "Café rose",
    "Hosta, blue",
    'Mint "cool"',
    "Über-Tomate",
)
POTS = {
    "#1": ("#1", "No. 1", "#1 pot", "Class #1", "# 1"),
    "#3": ("#3", "no 3", "#3 can", "#3 container"),
    "12 in pot": ("12 in pot", '12" pot', "12-inch pot", "12 inch pot", "12in. pot"),
    "30 cm pot": ("30 cm pot", "30cm pot", "30 cm pots"),
    "4 in square pot": ("4 in square pot", '4" square', '4" sq', "4-in square"),
    "72-cell tray": ("72-cell tray", "72 cell tray", "72 cells", "tray of 72"),
    "7.5 L": ("7.5 L", "7.5L", "7,5 L", "7.5 litre", "7.5 l pot"),
    "5 gal bag": ("5 gal bag", "5gal bag", "5 gallon grow bag"),
}  # fmt: skip
DAYS = (
    lambda day: day.isoformat(),
    lambda day: f"{day.day} {day:%B} {day.year}",
    lambda day: f"{day:%a} {day.day} {day:%b} {day.year}",
    lambda day: f"{day:%B} {day.day}, {day.year}",
    lambda day: f"{day.day}-{day:%b}-{day:%y}",
    lambda day: f"{day.day}.{day.month}.{day.year}",
    lambda day: f"{day.year}/{day.month:02d}/{day.day:02d}",
    lambda day: day,
)  # fmt: skip
COUNTS = (str, lambda n: f"{n}.0", lambda n: f"{n} plants", lambda n: f"x{n}", float, int)
HEADS = {one["key"]: one["words"] for one in heading_data()["column"]}


@st.composite
def lists(draw):
    """Return rows as they should be understood, and cells that say so."""
    keys = ["name", "count", "now", "to", *draw(st.sets(st.sampled_from(["from", "by", "mix"])))]
    keys = list(draw(st.permutations(keys)))
    rows, cells = [], []
    for _ in range(draw(st.integers(1, 6))):
        day = date(2027, 1, 1).replace(month=draw(st.integers(1, 12)), day=draw(st.integers(1, 28)))
        value = {
            "name": draw(st.sampled_from(NAMES)), "count": draw(st.integers(1, 999)),
            "now": draw(st.sampled_from(sorted(POTS))), "to": draw(st.sampled_from(sorted(POTS))),
            "from": day.isoformat(), "by": day.isoformat(), "mix": "tree",
        }  # fmt: skip
        cell = {
            "name": draw(st.sampled_from([value["name"], f" {value['name']} "])),
            "count": draw(st.sampled_from(COUNTS))(value["count"]),
            "now": draw(st.sampled_from(POTS[value["now"]])),
            "to": draw(st.sampled_from(POTS[value["to"]])),
            "from": draw(st.sampled_from(DAYS))(day), "by": draw(st.sampled_from(DAYS))(day),
            "mix": "tree",
        }  # fmt: skip
        rows.append({key: value[key] for key in keys})
        cells.append([cell[key] for key in keys])
    heads = []
    for key in keys:
        word = draw(st.sampled_from(HEADS[key]))
        style = draw(st.sampled_from([str, str.upper, str.title, str.capitalize]))
        heads.append(draw(st.sampled_from(["{}", "{}:", " {}  ", "{}*"])).format(style(word)))
    sheet = [heads, *cells]
    if draw(st.booleans()):
        sheet = [[*row, "9.50"] for row in sheet]
        sheet[0][-1] = "Price"
    shift = [None] if draw(st.booleans()) else []
    sheet = [[*shift, *row] for row in sheet]
    for at in sorted(draw(st.sets(st.integers(1, len(sheet)))), reverse=True):
        sheet.insert(at, [])
    if draw(st.booleans()):
        sheet = [["Spring list, for all of us"], [], *sheet]
    if draw(st.booleans()):
        total = [None] * len(heads)
        total[keys.index("name")] = "Total"
        total[keys.index("count")] = sum(row["count"] for row in rows)
        sheet.append([*shift, *total])
    return rows, sheet


def write_text(path, sheet, mark, encoding, line_end):
    """Write rows as a spreadsheet saves them in a text file."""
    out = io.StringIO()
    csv.writer(out, delimiter=mark, lineterminator=line_end).writerows(
        [["" if cell is None else str(cell) for cell in row] for row in sheet]
    )
    path.write_bytes(out.getvalue().encode(encoding))
    return path


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    lists(),
    st.sampled_from(",;\t|"),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    st.sampled_from(["\n", "\r\n"]),
)
def test_text_files_are_understood(tmp_path, drawn, mark, encoding, line_end) -> None:
    """In whatever order, under whatever headings, between whatever marks."""
    rows, sheet = drawn
    path = write_text(tmp_path / "list.csv", sheet, mark, encoding, line_end)
    found = read_list(path, Choices())

    assert isinstance(found, ListRead), found
    assert [] == [str(problem) for problem in found.problems], sheet
    assert rows == [dict(row.values) for row in found.rows]


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(lists(), st.sampled_from([write_xlsx, write_ods]))
def test_spreadsheets_are_understood(tmp_path, drawn, write) -> None:
    """The same in .xlsx and .ods, where numbers are floats and dates are dates."""
    rows, sheet = drawn
    found = read_list(write(tmp_path / "list", sheet), Choices())

    assert isinstance(found, ListRead), found
    assert [] == [str(problem) for problem in found.problems], sheet
    assert rows == [dict(row.values) for row in found.rows]


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode) | st.lists(
    st.lists(st.sampled_from([
        "", "Name", "Qty", "Now", "To", "Date", "Pot", "No.", "#1", "7 gal", "12", "1.000", "x",
        "3/4/2027", "Total", "-", '"', "=", "Fig\u202e", "\x1b", "last frost", "½", "1e9", "（１）",
    ]), max_size=6).map(",".join), max_size=6).map("\n".join).map(str.encode))  # fmt: skip
def test_anything_is_answered(tmp_path, data) -> None:
    """No text raises; what is understood can be written, and every problem can be shown."""
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    found = read_list(path, Choices())
    problems = [found] if isinstance(found, Problem) else found.problems

    for problem in problems:
        assert str(problem).isprintable()
        assert problem.where.start < problem.where.end or problem.where.end == 1
    if isinstance(found, ListRead) and not problems:
        (tmp_path / "plan.toml").write_text(
            'plants = [ { rows = "list.csv" } ]\n[garden]\nlast_frost = 2027-04-12\n'
        )
        assert read_plan(tmp_path / "plan.toml")
