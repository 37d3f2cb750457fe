"""Which heading is which column: what is sure, what is asked, what is left out."""

from __future__ import annotations

import pytest

from rootroom.plan.lists.headings import find_head
from rootroom.plan.lists.model import ListRead
from rootroom.plan.lists.table import heading_data, key_meant, list_keys, plain
from rootroom.problems import TextError
from tests.support.lists import messages, read_text, values

ROWS_IN_ORDER = ("1,Fig,#1", "2,Bay,#1", "3,Mint,#1")


def columns(folder, head, *rows, **choices):
    """Return what each heading of a list is read as, and the questions about the others."""
    text = "\n".join([head, *rows]) + "\n"
    found = read_text(folder, text, **choices)
    assert isinstance(found, ListRead), found
    read = {column.heading: column.key for column in found.columns if column.key}
    return read, {one.column.heading: one.keys for one in found.questions}


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("  No. of Plants ", "number plant"), ("# plants", "number plant"),
        ("NewPot", "new pot"), ("new_pots:", "new pot"), ("Pot (cm)", "pot"),
        ("The pots", "pot"), ("(Qty)", "qty"), ("Glass", "glass"), ("No.", "number"),
    ],
)  # fmt: skip
def test_headings_have_one_form(heading, expected) -> None:
    """Case, punctuation, plural, brackets and ways to write `number` make no difference."""
    assert expected == plain(heading)[0]


def test_no_word_means_two_columns_by_itself() -> None:
    """Only weak words, or those that contents tell apart, stand for two columns."""
    seen: dict[str, tuple[str, str]] = {}
    for column in heading_data()["column"]:
        for word in column["words"]:
            key, holds = seen.setdefault(plain(word)[0], (column["key"], column["holds"]))
            assert key == column["key"] or holds != column["holds"], word


def test_each_word_of_the_table_is_understood(tmp_path) -> None:
    """A column with that heading alone beside the others is read as the table says."""
    cells = {"text": "tree", "whole": "3", "container": "#3", "date": "2027-04-01",
             "days": "10 days", "flag": "yes", "any": "B1", "span": "2027-04-01 to 2027-05-01",
             "steps": "#1 -> #3", "counted": "12 x Fig"}  # fmt: skip
    base = {"name": ("Name", "Fig"), "count": ("Count", "2"), "now": ("Now", "#1")}
    for column in heading_data()["column"]:
        own = {"counted": ("name", "count")}.get(column["key"], (column["key"],))
        others = [pair for key, pair in base.items() if key not in own]
        for word in (*column["words"], *column["weak"]):
            cell = "Fig" if column["key"] == "name" else cells[column["holds"]]
            head = ",".join([word, *(one for one, _ in others)])
            row = ",".join([cell, *(one for _, one in others)])
            found, asked = columns(tmp_path, head, row)
            assert column["key"] in (found.get(word), *asked.get(word, ())), word


@pytest.mark.parametrize(
    ("head", "row", "expected"),
    [
        ("Plant,Plants,Pot,Repot", "Fig,3,#1,#3", {"Plant": "name", "Plants": "count"}),
        ("Plants,Pots,Size,To", "Fig,3,#1,#3", {"Plants": "name", "Pots": "count"}),
        ("Name,Pots,Pot,Repot", "Fig,3,#1,#3", {"Pots": "count", "Pot": "now", "Repot": "to"}),
        ("Name,Qty,From,To,By", "Fig,3,#1,#3,2027-04-01", {"From": "now", "To": "to"}),
        ("Name,Qty,Now,To,From", "Fig,3,#1,#3,2027-04-01", {"From": "from", "Now": "now"}),
        ("No.,Plant,Qty,Now,To", "1,Fig,3,#1,#3", {"Qty": "count", "Plant": "name"}),
        ("Crop,Qty,Now,To", "Fig,3,#1,#3", {"Crop": "name"}),
        ("Name,Crop,Qty,Now,To", "Old one,Fig,3,#1,#3", {"Name": "name", "Crop": "crop"}),
        ("Variety,Qty,Now,To", "Early,3,#1,#3", {"Variety": "name"}),
        ("Name,Qty,Tray,Trays", "Fig,3,72-cell tray,2", {"Tray": "now"}),
    ],
)  # fmt: skip
def test_cells_tell_apart_what_a_word_leaves_open(head, row, expected, tmp_path) -> None:
    """`Plants` over numbers is a count, over names it is a name."""
    found, asked = columns(tmp_path, head, row)

    assert {} == asked
    assert expected == {heading: found[heading] for heading in expected}


@pytest.mark.parametrize(
    ("head", "row", "asked"),
    [
        ("Name,Date,Qty,Now", "Fig,2027-04-01,2,#1", {"Date": ("from", "by")}),
        ("Name,Qty,Quantity,Now", "Fig,2,3,#1", {"Qty": ("count",), "Quantity": ("count",)}),
        ("Name,Quanity,Now", "Fig,2,#1", {"Quanity": ("count",)}),
        ("Name,Qty,Now,Latset", "Fig,2,#1,2027-04-01", {"Latset": ("by",)}),
        ("Plant;Quanity;Curent pot;New pott", "Fig;2;#1;#3",
         {"Quanity": ("count",), "Curent pot": ("now",), "New pott": ("to",)}),
    ],
)  # fmt: skip
def test_near_misses_and_rivals_are_asked_about(head, row, asked, tmp_path) -> None:
    """Nothing is guessed; where nobody can be asked, it is an error that says how to answer."""
    assert asked == columns(tmp_path, head, row)[1]


def test_question_as_an_error_says_how_to_answer(tmp_path) -> None:
    """Done as the hint says, the list is understood."""
    text = "Name,Qty,Now,To,Date\nFig,2,#1,#3,2027-04-01\n"
    found = read_text(tmp_path, text)

    assert ['list.csv:1:17: error: "Date" may be `from` or `by` [unclear-heading]'] == messages(
        found
    )
    assert (
        'say which: `--heading "Date=from"` or `--heading "Date=by"`; `--heading "Date=-"` '
        "leaves it out"
    ) == found.problems[0].hint
    for answer, expected in (("by", {"by"}), ("-", set())):
        row = values(read_text(tmp_path, text, headings={"Date": answer}))[0]
        assert expected == {"from", "by"} & set(row)


def test_rows_that_are_only_numbered(tmp_path) -> None:
    """1, 2, 3 under `No.` may number the rows; other numbers count."""
    head = "No.,Plant,Now"
    found, asked = columns(tmp_path, head, *ROWS_IN_ORDER)
    assert {"No.": ("-", "count")} == asked

    # The answer is taken, and where another column may be the count there is nothing to ask.
    found, asked = columns(tmp_path, head, *ROWS_IN_ORDER, headings={"No.": "count"})
    assert ({}, "count") == (asked, found["No."])
    found, asked = columns(tmp_path, "No.,Plant,Now,Quanity", *(f"{r},4" for r in ROWS_IN_ORDER))
    assert {"Quanity": ("count",)} == asked

    found, asked = columns(tmp_path, head, "12,Fig,#1", "2,Bay,#1", "3,Mint,#1")
    assert ({}, "count") == (asked, found["No."])


def test_headings_of_another_language_are_told_by_their_owner(tmp_path) -> None:
    """Every heading may be said to be any column, by a known word, with a unit."""
    text = "Pflanze;Anzahl;Topf;Neuer Topf;Wert\nFeige;3;1;30;9\n"
    given = {"Pflanze": "name", "anzahl": "Qty", "Topf": "now (#)", "Neuer Topf": "to (cm pot)"}
    assert [{"name": "Feige", "count": 3, "now": "#1", "to": "30 cm pot"}] == values(
        read_text(tmp_path, text, headings=given)
    )


def test_list_without_headings_goes_by_letters(tmp_path) -> None:
    """Columns are named by their letters, and the first row is a plant."""
    given = {"A": "name", "B": "count", "C": "now", "D": "to"}
    found = read_text(tmp_path, "Fig,2,#1,#3\nBay,1,#1,#3\n", headings=given)

    assert ["Fig", "Bay"] == [row["name"] for row in values(found)]


def test_error_no_heading(tmp_path) -> None:
    """A file without one is refused with the nearest row and how to say what is what."""
    found = read_text(tmp_path, "Kasvi;Paljonko;Ruukku\nViikuna;3;#1\n")

    assert [
        "list.csv:1:1: error: no row says what the columns are; nearest is `Kasvi`, `Paljonko`,"
        " `Ruukku` [no-heading]"
    ] == messages(found)
    assert '`--heading "Kasvi=name"`' in found.hint


@pytest.mark.parametrize(
    ("head", "row", "key", "hint"),
    [
        ("Name,Now,To", "Fig,#1,#3", "count", "`--count 1`"),
        ("Name,Qty,New pot", "Fig,2,#3", "now", "`--now '#1'`"),
        ("Name,Qty,Herkunft,To", "Fig,2,#1,#3", "now", '`--heading "Herkunft=now"`'),
    ],
)
def test_error_missing_columns(head, row, key, hint, tmp_path) -> None:
    """A column that is needed is named, with the columns that could be it."""
    found = read_text(tmp_path, f"{head}\n{row}\n")

    assert ["missing-column"] == [problem.code for problem in found.problems]
    assert found.problems[0].message.endswith(f": `{key}`")
    assert hint in found.problems[0].hint
    given = {"count": "1", "now": "#1"}
    assert 1 == len(values(read_text(tmp_path, f"{head}\n{row}\n", instead=given)))


def test_error_two_columns_said_to_be_one(tmp_path) -> None:
    """What is told by the owner is checked too."""
    given = {"Name": "name", "Label": "name"}
    found = read_text(tmp_path, "Name,Label,Qty,Now\nFig,a,2,#1\n", headings=given)
    assert ["column-twice"] == [problem.code for problem in found.problems]

    found = read_text(tmp_path, "Name,Qty,Now\nFig,2,#1\n", headings={"Qnty": "count"})
    assert [
        "list.csv:1:1: error: --heading: no column of this heading: `Qnty` [unknown-column]"
    ] == messages(found)


def test_error_column_that_no_list_has() -> None:
    """The nearest column is named."""
    with pytest.raises(TextError) as refused:
        key_meant("cuont")
    assert "did you mean `count`?" == refused.value.hint
    assert {"name", "count", "now", "to", "from", "by", "mix", "note"} <= set(list_keys())
    assert callable(find_head)


@pytest.mark.parametrize(
    ("head", "row", "expected"),
    [
        ("Desired container size", "#3", "to"), ("Pot currently in", "#1", "now"),
        ("Earliest date to repot", "2027-04-01", "from"), ("Must be done by", "2027-04-01", "by"),
        ("Number of plants to repot", "3", "count"), ("Next pot size", "#3", "to"),
    ],
)  # fmt: skip
def test_headings_made_of_known_words(head, row, expected, tmp_path) -> None:
    """A heading that no table holds whole is understood by its words."""
    others = {"name": ("Name", "Fig"), "count": ("Qty", "2"), "now": ("Now", "#1")}
    pairs = [pair for key, pair in others.items() if key != expected]
    found, asked = columns(
        tmp_path, ",".join([head, *(a for a, _ in pairs)]), ",".join([row, *(b for _, b in pairs)])
    )
    assert ({}, expected) == (asked, found[head])


def test_sheet_of_plants_goes_before_a_sheet_of_names(tmp_path) -> None:
    """Addresses have names and notes too, but neither pots nor counts."""
    import openpyxl

    from tests.support.lists import read

    book = openpyxl.Workbook()
    book.active.append(["Name", "Notes"])
    book.active.append(["A. Example", "brings trays"])
    sheet = book.create_sheet("Figs")
    sheet.append(["Name", "Qty", "Pot"])
    sheet.append(["Fig", 2, "#1"])
    book.save(tmp_path / "a.xlsx")

    assert ["Fig"] == [row["name"] for row in values(read(tmp_path / "a.xlsx"))]


def test_cells_are_checked_beside_unclear_headings(tmp_path) -> None:
    """All is told at once: a heading that is asked about, and a pot that is unknown."""
    found = read_text(tmp_path, "Name,Qty,Now,Date\nFig,2,#44,2027-04-01\n")

    assert ["unclear-heading", "unknown-container"] == [p.code for p in found.problems]
    assert [] == found.rows


def test_units_in_a_row_below_the_heading(tmp_path) -> None:
    """A row of units belongs to the heading, and says what bare numbers are."""
    text = "Plant,Qty,Pot,New pot\n,(pcs),#,L\nFig,3,1,15\n"
    found = read_text(tmp_path, text)

    assert [{"name": "Fig", "count": 3, "now": "#1", "to": "15 L"}] == values(found)


def test_error_column_whose_heading_is_known_and_whose_cells_are_not(tmp_path) -> None:
    """Numbers under `Plant` count nothing beside a count; the hint says how to take them."""
    found = read_text(tmp_path, "Plant,Qty,Pot\n101,3,#1\n102,4,#1\n")
    assert 'say which: `--heading "Plant=name"`' in found.problems[0].hint

    found = read_text(tmp_path, "Plant,Qty,Pot\n101,3,#1\n", headings={"Plant": "name"})
    assert ["101"] == [row["name"] for row in values(found)]


def test_columns_of_one_heading_go_by_their_letters(tmp_path) -> None:
    """Two tables side by side: each column that is asked about can be told from its twin."""
    text = "Plant,Qty,Pot,,Plant,Qty,Pot\nFig,2,#1,,Bay,3,#1\n"
    found = read_text(tmp_path, text)

    assert '"Plant" (column A) may be `name`, as may "Plant" (column E)' in messages(found)[0]
    given = {"E": "-", "F": "-", "G": "-"}
    found = read_text(
        tmp_path, "Plant,Qty,Pot,,Plant,Qty,Pot\nFig,2,#1,,Bay,3,#1\n", headings=given
    )
    assert 'left out: "Plant" (column E), "Qty" (column F), "Pot" (column G)' in found.told
