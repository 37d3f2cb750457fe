"""Lists as people have them: what is understood, what is told, what is refused."""

from __future__ import annotations

import re
from datetime import date, datetime

import pytest

from rootroom.plan.lists.grid import Readings
from tests.support.lists import messages, read, read_text, values, write_ods, write_xlsx

FIG = {"name": "Fig", "count": 12, "now": "#1", "to": "#3"}
LINE = "Plant,Qty,Current pot,New pot\nFig,12,#1,#3\n"


@pytest.mark.parametrize(
    "data",
    [
        LINE.encode(),
        b"\xef\xbb\xbf" + LINE.encode(),
        LINE.encode("utf-16"),
        LINE.encode("utf-16-le"),
        LINE.encode("utf-16-be"),
        LINE.replace(",", ";").encode(),
        LINE.replace(",", "\t").encode(),
        LINE.replace(",", "|").encode(),
        b"sep=;\n" + LINE.replace(",", ";").encode(),
        LINE.replace("\n", "\r\n").encode(),
        LINE.replace("\n", "\r").encode(),
        LINE.replace("Fig", '"Fig"').encode(),
        b"My spring list,,,\n,,,\n" + LINE.encode() + b",,,\n\n",
        b"My spring list\n\n" + LINE.encode(),
        LINE.replace("\n", ",,,\n").encode(),
        b"," + LINE.replace("\n", "\n,").encode(),
        (LINE + "Total,12,,\n").encode(),
        (LINE + ",12,,\n").encode(),
        LINE.replace("12", "12 plants").encode(),
        LINE.replace("12", "12.0").encode(),
        LINE.replace("Plant,Qty", "PLANT NAME,No. of plants").encode(),
        LINE.replace("Plant,Qty", "Plants,Plants (no.)").encode(),
        LINE.replace("Current pot,New pot", "From,To").encode(),
        LINE.replace("Current pot,New pot", "Pot (old size),Pot up to:").encode(),
        LINE.replace("Current pot,New pot", "NOW_IN,potUpTo").encode(),
        LINE.replace("Current pot,New pot", "Pot (#),New pot (#)").replace("#1,#3", "1,3").encode(),
        LINE.replace("#1,#3", "No. 1,#3 pot").encode(),
    ],
)  # fmt: skip
def test_forms_of_one_list_say_the_same(data: bytes, tmp_path) -> None:
    """Encoding, separator, title and total rows, spellings of headings make no difference."""
    assert [FIG] == values(read_text(tmp_path, data))


def test_older_windows_text_is_read_and_told(tmp_path) -> None:
    """What is no UTF-8 is read as older programs write, with a word to check it by."""
    found = read_text(tmp_path, LINE.replace("Fig", "Café").encode("cp1252"))

    assert ["Café"] == [row["name"] for row in values(found)]
    assert "not UTF-8, so read as older Windows programs write, as `Café`" in found.told


def test_spreadsheets_say_what_a_csv_says(tmp_path) -> None:
    """Numbers as floats, dates as dates, empty rows and columns: .xlsx and .ods alike."""
    rows = [
        [None, "Spring", None, None],
        [],
        [None, "Name", "Count", "Now in", "Pot up to", "Not before", "By"],
        [None, "Fig", 12.0, "#1", "#3", date(2027, 3, 20), "last frost"],
        [],
        [None, "Total", 12],
    ]
    expected = [{**FIG, "from": "2027-03-20", "by": "last frost"}]

    assert expected == values(read(write_xlsx(tmp_path / "a.xlsx", rows)))
    assert expected == values(read(write_ods(tmp_path / "a.ods", rows)))
    # The bytes tell what a file is, not its name.
    assert expected == values(read(write_xlsx(tmp_path / "a.csv", rows)))


def test_each_match_is_told_in_one_line(tmp_path) -> None:
    """What was read as what, and what was left out."""
    found = read_text(
        tmp_path, "Plant,Qty,Now in,Pot (cm),Price\nFig,2,#1,30,3.50\nBay,1,#1,24,2\n"
    )
    assert [
        '"Plant" read as name',
        '"Qty" read as count',
        '"Now in" read as now',
        'left out: "Pot (cm)", "Price"',
    ] == found.told


def test_first_sheet_with_a_heading_is_taken_and_said(tmp_path) -> None:
    """Sheets before it are passed over, others are named; --sheet takes another."""
    import openpyxl

    path = write_xlsx(tmp_path / "a.xlsx", [["Prices"], ["Bag", 3.5]])
    book = openpyxl.load_workbook(path)
    for name, count in (("Spring", 12), ("Autumn", 5)):
        sheet = book.create_sheet(name)
        sheet.append(["Name", "Qty", "Current pot", "New pot"])
        sheet.append(["Fig", count, "#1", "#3"])
    book.create_sheet("Old").sheet_state = "hidden"
    book.save(path)

    found = read(path)
    assert [FIG] == values(found)
    assert "sheet `Spring`; others are `Plants`, `Autumn`: `--sheet NAME`" == found.told[0]
    assert [5] == [row["count"] for row in values(read(path, sheet="autumn"))]
    assert ["a.xlsx:1:1: error: no sheet `Summer` [no-sheet]"] == messages(
        read(path, sheet="Summer")
    )


def test_merged_cells_count_in_each_row(tmp_path) -> None:
    """A name over two rows, and a heading of two rows with a group above two columns."""
    rows = [
        ["Plant", "Qty", "Pot", None],
        [None, None, "now", "new"],
        ["Fig", 12, "#1", "#3"],
        [None, 4, "#3", "#7"],
    ]
    found = read(write_xlsx(tmp_path / "a.xlsx", rows, merged=["C1:D1", "A3:A4"]))

    assert [FIG, {"name": "Fig", "count": 4, "now": "#3", "to": "#7"}] == values(found)


def test_total_that_does_not_fit_is_told(tmp_path) -> None:
    """A total row is left out, and compared with what was read."""
    found = read_text(tmp_path, LINE + "Bay,3,#1,#2\nTotal,16,,\n")

    assert ["left out, a total of 16; the rows above come to 15"] == [w for _, w in found.notes]


def test_rows_that_are_no_plants_are_told(tmp_path) -> None:
    """Headlines between the rows, and rows of which there is none."""
    found = read_text(tmp_path, LINE + "Bench 3,,,\nBay,0,#1,#2\n-,-,-,-\n")

    assert [FIG] == values(found)
    assert [
        "left out, `Bench 3` alone",
        "left out, none of `Bay`",
        "left out, marks for nothing",
    ] == [words for _, words in found.notes]


def test_row_without_name_and_pot_is_the_next_move(tmp_path) -> None:
    """As in the rows that a plan reads."""
    found = read_text(tmp_path, LINE + ",,,#7\n")

    assert [FIG, {"to": "#7"}] == values(found)


def test_ditto_marks_and_what_stands_above(tmp_path) -> None:
    """A mark takes the cell above; an empty name does where that is said."""
    text = 'Plant,Qty,Now,To\nFig,12,#1,#3\n"""",4,do.,#5\n'
    assert ["Fig", "Fig"] == [row["name"] for row in values(read_text(tmp_path, text))]

    gap = "Plant,Qty,Now,To\nFig,12,#1,#3\n,4,#3,#5\n"
    assert ["list.csv:3:1: error: row 3: no name [missing-key]"] == messages(
        read_text(tmp_path, gap)
    )
    assert ["Fig", "Fig"] == [row["name"] for row in values(read_text(tmp_path, gap, down=True))]


def dated(cells, **choices):
    """Return a list with these cells under `Earliest`."""
    lines = [f"Fig {n},2,#1,#3,{cell}" for n, cell in enumerate(cells)]
    return "Name,Qty,Now,To,Earliest\n" + "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (["2027-04-03"], ["2027-04-03"]),
        (["13/4/2027", "3/4/2027"], ["2027-04-13", "2027-04-03"]),
        (["4/13/2027", "4/3/2027"], ["2027-04-13", "2027-04-03"]),
        (["3.4.2027"], ["2027-04-03"]),
        (["3 April 2027", "April 3 2027"], ["2027-04-03", "2027-04-03"]),
        (["Sat 3 Apr 2027"], ["2027-04-03"]),
        (["2027/4/3"], ["2027-04-03"]),
        (["3/3/27"], ["2027-03-03"]),
        (["last frost", "2 weeks after last frost"], ["last frost", "2 weeks after last frost"]),
        (["2027-04-03 00:00:00"], ["2027-04-03"]),
    ],
)
def test_dates_in_several_forms(cells, expected, tmp_path) -> None:
    """A date with one reading is read; another of its column may decide about the rest."""
    assert expected == [row["from"] for row in values(read_text(tmp_path, dated(cells)))]


def test_order_of_dates_may_be_told(tmp_path) -> None:
    """What the column leaves open is refused with both readings, or settled by a choice."""
    text = dated(["3/4/2026"])

    assert [
        'list.csv:2:15: error: "Earliest": may be 2026-03-04 or 2026-04-03: `3/4/2026`'
        " [ambiguous-date]"
    ] == messages(read_text(tmp_path, text))
    for order, day in (("day-first", "2026-04-03"), ("month-first", "2026-03-04")):
        found = read_text(tmp_path, text, readings=Readings(dates=order))
        assert [day] == [row["from"] for row in values(found)]
    for head, day in (("Earliest (dd/mm/yyyy)", "2026-04-03"), ("From (m/d)", "2026-03-04")):
        found = read_text(tmp_path, text.replace("Earliest", head))
        assert [day] == [row["from"] for row in values(found)]


def test_error_order_of_dates_that_contradict_each_other(tmp_path) -> None:
    """Where two dates of a column can only be in different orders, neither decides."""
    found = read_text(tmp_path, dated(["13/4/2026", "4/13/2026", "3/4/2026"]))

    assert 1 == len(found.problems)
    assert "ambiguous-date" == found.problems[0].code


def test_dates_without_a_year(tmp_path) -> None:
    """They are refused, until the year is told."""
    text = dated(["3 April", "Apr 20", "13/4"])

    problems = read_text(tmp_path, text).problems
    assert [
        'list.csv:2:15: error: "Earliest": a date without a year: `3 April`, `Apr 20`, `13/4`'
        " (and 2 more: E3, E4) [bad-window]"
    ] == [re.sub(r"^\S*/", "", str(one)) for one in problems]
    assert "`--year 2027`" in problems[0].hint
    found = read_text(tmp_path, text, readings=Readings(year=2027))
    assert ["2027-04-03", "2027-04-20", "2027-04-13"] == [row["from"] for row in values(found)]


def pots(cells):
    """Return a list with these cells under `New pot`."""
    return "Name;Qty;Now;New pot\n" + "\n".join(f"Fig {n};2;#1;{c}" for n, c in enumerate(cells))


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ('12" pot', "12 in pot"), ("12 in. pot", "12 in pot"), ("30cm pot", "30 cm pot"),
        ("No. 7", "#7"), ("15L", "15 L"), ("2,5 L", "2.5 L"), ("C7,5", "C7.5"),
        ("5gal bag", "5 gal bag"), ("Ground", "ground"), ("South bed", "South bed"),
        ("4 inch square", "4 in square pot"), ("half barrel", "half barrel"),
    ],
)  # fmt: skip
def test_pots_as_people_write_them(cell, expected, tmp_path) -> None:
    """What has one reading is understood, and spelled as the plan does."""
    assert [expected] == [row["to"] for row in values(read_text(tmp_path, pots([cell])))]


@pytest.mark.parametrize(
    ("cell", "code", "word"),
    [
        ("7 gal", "ambiguous-container", "`--gallons class`"),
        ("7g", "ambiguous-container", "`--gallons class`"),
        ('12"', "ambiguous-container", '`--heading "New pot=to (pot)"`'),
        ("30cm", "ambiguous-container", '`--heading "New pot=to (pot)"`'),
        ("7", "missing-unit", '"New pot=to (in pot)"'),
        ("1.000 L", "ambiguous-number", "write `1000` or `1`"),
        ("bucket", "unknown-container", "`5 gal bag`"),
    ],
)
def test_error_pots_with_two_readings(cell, code, word, tmp_path) -> None:
    """A size that may mean two things is refused, with how to say it for one and for all."""
    found = read_text(tmp_path, pots([cell, "#3", cell]))

    assert [code] == [problem.code for problem in found.problems]
    assert "(and 1 more: D4)" in found.problems[0].message
    assert word in found.problems[0].hint


def test_pots_settled_for_the_whole_list(tmp_path) -> None:
    """Gallons, a text's meaning, a unit in the heading."""
    settled = Readings(gallons="class", means={'12"': "12 in azalea pot"})
    found = read_text(tmp_path, pots(["7 gal", "3g", '12"']), readings=settled)
    assert ["#7", "#3", "12 in azalea pot"] == [row["to"] for row in values(found)]

    found = read_text(tmp_path, pots(["7 gal"]), readings=Readings(gallons="true"))
    assert ["7 gal true"] == [row["to"] for row in values(found)]

    text = pots(["12", '10"', "6 in pot"])
    given = {"New pot": "to (in pot)"}
    found = read_text(tmp_path, text, headings=given)
    assert ["12 in pot", "10 in pot", "6 in pot"] == [row["to"] for row in values(found)]
    found = read_text(tmp_path, text.replace("New pot", "New pot (in pot)"))
    assert ["12 in pot", "10 in pot", "6 in pot"] == [row["to"] for row in values(found)]


@pytest.mark.parametrize(
    ("cell", "expected"),
    [("1.000", "1000 or 1"), ("1,000", "1000 or 1"), ("12.000", "12000 or 12")],
)
def test_error_numbers_with_two_readings(cell, expected, tmp_path) -> None:
    """A mark before three digits may part thousands or decimals; both readings are named."""
    text = f"Name;Qty;Now;To;Price\nFig;{cell};#1;#3;2,50\n"
    found = read_text(tmp_path, text)

    assert [f'list.csv:2:5: error: "Qty": may be {expected}: `{cell}` [ambiguous-number]'] == (
        messages(found)
    )
    counts = {}
    for decimal in ("point", "comma"):
        settled = read_text(tmp_path, text, readings=Readings(decimal=decimal))
        counts[decimal] = values(settled)[0]["count"]
    assert set(map(int, expected.split(" or "))) == set(counts.values())


@pytest.mark.parametrize("cell", ["12.5", "-3", "many", "1e3", "12/2", '"1.234,567"', "99999999"])
def test_error_counts(cell, tmp_path) -> None:
    """What is no whole number is refused at its place."""
    found = read_text(tmp_path, f"Name,Qty,Now,To\nFig,{cell},#1,#3\n")

    assert ["bad-count"] == [problem.code for problem in found.problems]
    assert (2, 5) == (found.problems[0].where.line, found.problems[0].where.start)


def test_error_all_mistakes_at_once_with_their_cells(tmp_path) -> None:
    """Each mistake has the address of its cell, and the row with it marked."""
    rows = [
        ["Name", "Qty", "Now in", "New pot", "Latest"],
        ["Fig", 2.5, "#1", "#3", date(2027, 4, 1)],
        ["Bay", 2, "#44", "7 gal", "soon"],
        [None, 2, "#1", "#3", 46113.0],
    ]
    found = read(write_xlsx(tmp_path / "plants.xlsx", rows))

    assert [
        'plants.xlsx:Plants:B2: error: "Qty": a count is a whole number from 1 to 10,000,000:'
        " `2.5` [bad-count]",
        'plants.xlsx:Plants:C3: error: "Now in": no such container class: `#44`'
        " [unknown-container]",
        'plants.xlsx:Plants:D3: error: "New pot": gallons may be a nursery class or a true'
        " volume: `7 gal` [ambiguous-container]",
        'plants.xlsx:Plants:E3: error: "Latest": cannot read the date: `soon` [bad-window]',
        'plants.xlsx:Plants:E4: error: "Latest": a number, and no date: `46113` [not-a-date]',
    ] == messages(found)
    assert "Bay | 2 | #44 | 7 gal | soon" == found.problems[1].line
    where = found.problems[1].where
    assert "#44" == found.problems[1].line[where.start - 1 : where.end - 1]


def test_time_of_day_goes_with_its_date(tmp_path) -> None:
    """A cell with date and time is that date."""
    rows = [["Name", "Qty", "Now", "By"], ["Fig", 1, "#1", datetime(2027, 4, 1, 12, 30)]]

    assert ["2027-04-01"] == [
        row["by"] for row in values(read(write_xlsx(tmp_path / "a.xlsx", rows)))
    ]


def test_totals_between_and_headings_once_more(tmp_path) -> None:
    """Printed lists add up each part and repeat their heading; wrong sums are told."""
    text = LINE + "Fig total,12,,\n" + LINE.partition("\n")[0] + "\nBay,3,#1,#3\nSubtotal,4,,\n"
    found = read_text(tmp_path, text + "Grand total,15,,\n")

    assert [
        "left out, a total of 12",
        "left out, the heading once more",
        "left out, a total of 4; the rows above come to 3",
        "left out, a total of 15",
    ] == [words for _, words in found.notes]


@pytest.mark.parametrize(
    ("cell", "expected"),
    [("20-Mar-27", "2027-03-20"), ("20-Mar-2027", "2027-03-20"), ("20 Mar. 27", "2027-03-20")],
)
def test_dates_as_spreadsheets_show_them(cell, expected, tmp_path) -> None:
    """Day, month in letters, year of two digits."""
    assert [expected] == [row["from"] for row in values(read_text(tmp_path, dated([cell])))]


@pytest.mark.parametrize("cell", ["1 gal pot", "1 gallon can", "1-gal", "1 gal.", "1 trade gallon"])
def test_gallons_of_a_class_in_many_spellings(cell, tmp_path) -> None:
    """Said once for the whole list."""
    found = read_text(tmp_path, pots([cell]), readings=Readings(gallons="class"))

    assert ["#1"] == [row["to"] for row in values(found)]
