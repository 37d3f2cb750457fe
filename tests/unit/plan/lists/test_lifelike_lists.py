"""Lists as growers keep them (all invented): moves in columns, ticks, trays, spans, hidden rows."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.plan.lists.grid import Readings
from rootroom.plan.reader import read_plan
from tests.support.lists import messages, read, read_text, values, write_ods, write_xlsx

FIG = {"name": "Fig", "count": 12, "now": "#1", "to": "#3"}
NEXT_YEAR = Readings(year=2027)


def test_moves_in_columns_by_season(tmp_path) -> None:
    """An empty pot of spring makes the one of autumn the first move; nothing is left out."""
    text = "Plant,Count,Pot now,Spring pot,Autumn pot\nFig,12,#1,#3,#5\nBay,6,#1,,#2\n"
    found = read_text(tmp_path, text)

    bay = {"name": "Bay", "count": 6, "now": "#1", "to": "#2"}
    assert [FIG, {"to": "#5"}, bay] == values(found)
    assert '"Autumn pot" read as to of move 2' in found.told


@pytest.mark.parametrize(
    ("head", "keys"),
    [
        ("Plant,Qty,Current pot,1st pot,2nd pot", ("to", "to 2")),
        ("Plant,Qty,Current pot,Move 1,Move 2", ("to", "to 2")),
        ("Plant,Qty,Current pot,New pot,Autumn pot", ("to", "to 2")),
        ("Plant,Qty,Current pot,New pot,2nd new pot", ("to", "to 2")),
        ("Plant,Qty,Current pot,Spring size,Fall size", ("to", "to 2")),
    ],
)
def test_ways_to_number_moves(head, keys, tmp_path) -> None:
    """By ordinals, digits, seasons, after a column of the next pot."""
    found = read_text(tmp_path, head + "\nFig,12,#1,#3,#5\n")

    assert [FIG, {"to": "#5"}] == values(found)
    assert keys == tuple(column.key for column in found.columns[3:])


def test_pot_that_a_plant_ends_up_in_is_asked_about(tmp_path) -> None:
    """It may be a move of this season or of later years; both answers work."""
    text = "Plant,Qty,Current pot,Next pot,Final pot\nFig,12,#1,#3,#7\n"
    found = read_text(tmp_path, text)

    assert ["unclear-heading"] == [problem.code for problem in found.problems]
    hint = 'say which: `--heading "Final pot=to 2"` or `--heading "Final pot=-"`'
    assert hint == found.problems[0].hint
    given = {"Final pot": "to 2"}
    assert [FIG, {"to": "#7"}] == values(read_text(tmp_path, text, headings=given))
    assert [FIG] == values(read_text(tmp_path, text, headings={"Final pot": "-"}))


def test_dates_and_mixes_of_later_moves(tmp_path) -> None:
    """Each move has its own columns; the mix of the row goes for all of them."""
    text = (
        "Plant,Qty,Current pot,Soil,1st move to,1st move date,2nd move to,2nd move date\n"
        "Fig,12,#1,tree,#3,2027-04-10,#5,2027-09-08\n"
    )
    given = {"1st move date": "from", "2nd move date": "by 2"}
    found = read_text(tmp_path, text, headings=given)

    first = {**FIG, "mix": "tree", "from": "2027-04-10"}
    assert [first, {"to": "#5", "by": "2027-09-08", "mix": "tree"}] == values(found)


@pytest.mark.parametrize("cell", ["#1 -> #3", "#1 → #3", "#1 > #3", "#1 to #3", "#1=>#3"])
def test_pots_with_an_arrow(cell, tmp_path) -> None:
    """One column says the pot and where it goes, and where after that."""
    found = read_text(tmp_path, f"Plant;Qty;Pots\nFig;12;{cell}\n")
    assert [FIG] == values(found)

    found = read_text(tmp_path, f"Plant;Qty;Pots\nFig;12;{cell} -> #7\n")
    assert [FIG, {"to": "#7"}] == values(found)


def test_windows_in_one_column(tmp_path) -> None:
    """From one day to another, a month, a week: both ends; a single day is asked about."""
    rows = [
        ("Mar 20 - Apr 10 2027", "2027-03-20", "2027-04-10"),
        ("2027-04-01 to 2027-05-01", "2027-04-01", "2027-05-01"),
        ("20.-25. March 2027", "2027-03-20", "2027-03-25"),
        ("April 5-12", "2027-04-05", "2027-04-12"),
        ("1.4. bis 15.4.2027", "2027-04-01", "2027-04-15"),
        ("April 2027", "2027-04-01", "2027-04-30"),
    ]
    lines = [f'Fig {n};12;#1;#3;"{text}"' for n, (text, _, _) in enumerate(rows)]
    text = "Plant;Qty;Now;To;When\n" + "\n".join(lines) + "\n"
    found = read_text(tmp_path, text, readings=NEXT_YEAR)

    assert [(a, b) for _, a, b in rows] == [(row["from"], row["by"]) for row in values(found)]
    found = read_text(tmp_path, text + "Bay;2;#1;#3;2027-04-01\n", readings=NEXT_YEAR)
    assert ["bad-window"] == [problem.code for problem in found.problems]


@pytest.mark.parametrize(
    ("cell", "opens", "closes"),
    [
        ("mid April", "2027-04-15", "2027-04-15"),
        ("early May", "2027-05-01", "2027-05-10"),
        ("end of April", "2027-04-30", "2027-04-30"),
        ("late April", "2027-04-21", "2027-04-30"),
        ("April", "2027-04-01", "2027-04-30"),
        ("Mitte Mai", "2027-05-15", "2027-05-15"),
        ("mi-avril", "2027-04-15", "2027-04-15"),
        # ISO 8601: week 15 of 2027 begins on Monday 12 April.
        ("week 15", "2027-04-12", "2027-04-18"),
        ("KW 15", "2027-04-12", "2027-04-18"),
        ("2027-W15", "2027-04-12", "2027-04-18"),
        ("week of 5 April", "2027-04-05", "2027-04-11"),
    ],
)
def test_days_that_are_only_near(cell, opens, closes, tmp_path) -> None:
    """A part of a month or a week is its first day or its last, and that is told."""
    text = f"Plant,Qty,Now,To,From,By\nFig,12,#1,#3,{cell},{cell}\n"
    found = read_text(tmp_path, text, readings=NEXT_YEAR)

    assert [{**FIG, "from": opens, "by": closes}] == values(found)
    assert f'"From": `{cell}` as {opens}' in found.told
    assert f'"By": `{cell}` as {closes}' in found.told


def test_days_beside_the_frost_and_in_other_languages(tmp_path) -> None:
    """What is after the frost opens with it; months of German and French are known."""
    cells = ["after frost", "15. März 2027", "1er mai 2027", "Sa, 3.4.2027", "3 août 2027"]
    lines = [f'Fig {n};12;#1;#3;"{cell}"' for n, cell in enumerate(cells)]
    found = read_text(tmp_path, "Plant;Qty;Now;To;Earliest\n" + "\n".join(lines) + "\n")

    days = ["last frost", "2027-03-15", "2027-05-01", "2027-04-03", "2027-08-03"]
    assert days == [row["from"] for row in values(found)]


@pytest.mark.parametrize("cell", ["Apr-27", "Spring", "asap"])
def test_error_days_that_nobody_can_tell(cell, tmp_path) -> None:
    """`Apr-27` may be a day or a month; the hint's own option settles each of them."""
    text = f"Plant,Qty,Now,To,From\nFig,12,#1,#3,{cell}\n"
    found = read_text(tmp_path, text, readings=NEXT_YEAR)

    assert ["bad-window"] == [problem.code for problem in found.problems]
    assert f"`--means '{cell}=2027-04-24'`" in found.problems[0].hint
    for meant, row in (("2027-04-24", {**FIG, "from": "2027-04-24"}), ("-", FIG)):
        settled = Readings(means={cell.casefold(): meant})
        assert [row] == values(read_text(tmp_path, text, readings=settled))


@pytest.mark.parametrize(
    ("cell", "count", "told"),
    [
        ("x12", 12, False), ("12 pcs", 12, False), ("12 Stück", 12, False), ("dozen", 12, True),
        ("2 dozen", 24, True), ("half a dozen", 6, True), ("~20", 20, True), ("ten", 10, True),
        ("approx. 15", 15, True), ("ca. 15 plants", 15, True), ("1 200", 1200, False),
    ],
)  # fmt: skip
def test_counts_as_people_write_them(cell, count, told, tmp_path) -> None:
    """What is no plain number is told with the number that it is read as."""
    found = read_text(tmp_path, f"Plant,Qty,Now,To\nFig,{cell},#1,#3\n")

    assert [{**FIG, "count": count}] == values(found)
    assert told == (f'"Qty": `{cell}` as {count}' in found.told)


@pytest.mark.parametrize(
    ("cell", "meant"), [("10-12", "12"), ("12+", "12"), ("a few", "12"), ("6 (2 weak)", "6")]
)
def test_error_counts_that_leave_it_open(cell, meant, tmp_path) -> None:
    """A range takes nobody's side; done as the hint says, the list is read."""
    text = f"Plant,Qty,Now,To\nFig,{cell},#1,#3\nBay,2,#1,#3\nMint,3,#1,#3\n"
    found = read_text(tmp_path, text)

    assert ["bad-count"] == [problem.code for problem in found.problems]
    assert f"`--means '{cell}={meant}'`" in found.problems[0].hint
    settled = Readings(means={cell: meant})
    assert int(meant) == values(read_text(tmp_path, text, readings=settled))[0]["count"]


def test_plants_by_their_trays(tmp_path) -> None:
    """3 trays of 72 cells are 216 plants, not 3 and not 72; a count of its own goes first."""
    text = "Plant,Trays,Cells per tray,New pot\nKale,3,72,4 in square pot\n"
    kale = {"name": "Kale", "count": 216, "now": "72-cell tray", "to": "4 in square pot"}
    assert [kale] == values(read_text(tmp_path, text))

    text = "Plant,Trays,Size,New pot\nKale,3,72-cell tray,4 in square pot\n"
    assert [kale] == values(read_text(tmp_path, text))

    text = "Plant,Trays,Cells per tray,Qty,New pot\nKale,3,72,200,4 in square pot\n"
    assert [{**kale, "count": 200}] == values(read_text(tmp_path, text))

    text = "Plant,Qty,Size,New pot\nKale,3 flats,72-cell tray,4 in square pot\nFig,12,#1,#3\n"
    found = read_text(tmp_path, text)
    assert [kale, FIG] == values(found)
    assert '"Qty": `3 flats` as 3 trays, their plants by the cells' in found.told

    found = read_text(tmp_path, "Plant,Trays,Size\nKale,3,4 in square pot\n")
    assert ["list.csv:2:1: error: row 2: no count [missing-key]"] == messages(found)


def test_ticks_that_say_which_rows_there_is_work_with(tmp_path) -> None:
    """A plant that is not to be repotted is not repotted in silence."""
    rows = [
        ["Plant", "Qty", "Pot", "Repot?", "New pot"],
        ["Fig", 12, "#1", True, "#3"],
        ["Bay", 3, "#2", False, "#5"],
        ["Yew", 3, "#2", None, "#5"],
    ]
    path = write_xlsx(tmp_path / "a.xlsx", rows)
    found = read(path)

    hint = 'say which: `--heading "Repot?=only yes"` or `--heading "Repot?=-"`'
    assert [hint] == [problem.hint for problem in found.problems]
    chosen = read(path, headings={"Repot?": "only yes"})
    assert [FIG] == values(chosen)
    assert ["left out, not chosen: `Bay`", "left out, not chosen: `Yew`"] == [
        words for _, words in chosen.notes
    ]
    assert 3 == len(values(read(path, headings={"Repot?": "-"})))

    text = "Plant,Qty,Pot,New pot,Done\nFig,12,#1,#3,no\nBay,3,#2,#5,yes\n"
    assert [FIG] == values(read_text(tmp_path, text, headings={"Done": "only no"}))
    # Other ticks are left out, with the way to choose by them.
    found = read_text(tmp_path, text.replace("Done", "Organic"))
    assert 2 == len(values(found))
    assert any('`--heading "Organic=only yes"`' in line for line in found.told)


def test_cells_over_several_rows(tmp_path) -> None:
    """A category over its sorts counts in each row, in .ods as in .xlsx; a count does not."""
    rows = [
        ["Kind", "Variety", "How many", "In now", "Going into"],
        ["Tomato", "Red", 12, "#1", "#3"],
        [None, "Long", 8, "#1", "#3"],
    ]
    expected = [
        {"name": "Tomato", "sort": sort, "count": count, "now": "#1", "to": "#3"}
        for sort, count in (("Red", 12), ("Long", 8))
    ]
    assert expected == values(read(write_ods(tmp_path / "a.ods", rows, spans={(1, 0): 2})))
    assert expected == values(read(write_xlsx(tmp_path / "a.xlsx", rows, merged=["A2:A3"])))

    rows[2][2] = None
    for path in (
        write_ods(tmp_path / "b.ods", rows, spans={(1, 0): 2, (1, 2): 2}),
        write_xlsx(tmp_path / "b.xlsx", rows, merged=["A2:A3", "C2:C3"]),
    ):
        assert [
            f'{path.name}:Plants:C3: error: "How many": one count over several rows leaves open'
            " which row has how many [bad-count]"
        ] == messages(read(path))


def test_sort_without_a_name_is_told(tmp_path) -> None:
    """In a CSV nothing says that a cell goes over several rows: `--down` does."""
    text = "Kind,Variety,Qty,Now,To\nTomato,Red,12,#1,#3\n,Long,8,#1,#3\n"
    found = read_text(tmp_path, text)

    assert ["Tomato", "Long"] == [row["name"] for row in values(found)]
    assert ["no name, so called `Long`; with `--down` it takes the name above it"] == [
        words for _, words in found.notes
    ]
    assert ["Tomato"] * 2 == [row["name"] for row in values(read_text(tmp_path, text, down=True))]


def test_hidden_rows_and_columns(tmp_path) -> None:
    """A row that a filter hides is neither counted nor dropped in silence."""
    import openpyxl

    rows = [
        ["Plant", "Qty", "Old qty", "Current pot", "New pot"],
        ["Fig", 12, 10, "#1", "#3"],
        ["Dead rose", 7, 7, "#2", "#5"],
    ]
    path = write_xlsx(tmp_path / "a.xlsx", rows)
    book = openpyxl.load_workbook(path)
    book.active.row_dimensions[3].hidden = True
    book.active.column_dimensions["C"].hidden = True
    book.save(path)
    for file in (path, write_ods(tmp_path / "a.ods", rows, hidden=[2])):
        found = read(file)
        assert [
            f"{file.name}:Plants:3: error: hidden rows may be plants or not: 3 [hidden-rows]"
        ] == messages(found)
        assert "`--hidden leave`" in found.problems[0].hint
        left, whole = read(file, hidden="leave"), read(file, hidden="read")
        assert [FIG] == values(left)
        assert "hidden rows left out: 3" in left.told
        assert 2 == len(values(whole))
    assert 'left out: "Old qty" (hidden)' in read(path, hidden="read").told


def test_formulas_without_a_result_are_told(tmp_path) -> None:
    """A program that writes a file need not work out its formulas."""
    rows = [["Plant", "Trays each 18", "Qty", "Pot"], ["Basil", 2, "=B2*18", "18-cell tray"]]
    found = read(write_xlsx(tmp_path / "a.xlsx", rows))

    assert found.told[0].startswith("formulas without a result at C2: open and save")
    assert ["missing-key"] == [problem.code for problem in found.problems]


def test_cells_that_one_option_settles_are_one_problem(tmp_path) -> None:
    """Thirty sizes in gallons are one mistake with one cure."""
    lines = "".join(f"Fig {n},2,#1,{n} gal\n" for n in (1, 2, 3, 5, 7, 10, 15))
    found = read_text(tmp_path, "Plant,Qty,Now,To\n" + lines)

    assert [
        'list.csv:2:12: error: "To": gallons may be a nursery class or a true volume: `1 gal`,'
        " `2 gal`, `3 gal`, `5 gal`, `7 gal`, `10 gal` and 1 more (and 6 more: D3, D4, D5, ...)"
        " [ambiguous-container]"
    ] == messages(found)
    assert 7 == len(found.unread)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("3 trade gal", "#3"), ("3 gal trade", "#3"), ("7 gal fabric pot", "7 gal bag"),
        ("grow bag 5 gal", "5 gal bag"), ("plug tray 72", "72-cell tray"), ("72 plugs",
        "72-cell tray"), ("½ barrel", "half barrel"), ("9 cm Topf", "9 cm pot"),
        ("Topf 9 cm", "9 cm pot"), ("11 Liter", "11 L"), ("#3 (trade)", "#3"), ("72s",
        "72-cell tray"), ("15 gal (#15)", "#15"), ("#15 / 15 gal", "#15"), ("9x9 cm",
        "9 cm square pot"), ("trade gallon", "#1"), ('10" terracotta', "10 in clay pot"),
    ],
)  # fmt: skip
def test_more_pots_as_people_write_them(cell, expected, tmp_path) -> None:
    """The noun may stand first, and in German; `trade` settles what gallons are."""
    found = read_text(tmp_path, f"Plant;Qty;Now;To\nFig;12;{cell};25 L\n")

    assert [expected] == [row["now"] for row in values(found)]


@pytest.mark.parametrize("cell", ["3 to 5 gal", "#3 or #5", "#15 / 7 gal", "air-prune 5 gal"])
def test_error_pots_that_are_two_or_none(cell, tmp_path) -> None:
    """The hint's own option names the cell as it stands in the list."""
    text = f"Plant;Qty;Now;To\nFig;12;{cell};25 L\n"
    found = read_text(tmp_path, text)

    assert ["unknown-container"] == [problem.code for problem in found.problems]
    assert f"`--means '{cell}=15 L'`" in found.problems[0].hint
    settled = Readings(means={cell.casefold(): "15 L"})
    assert "15 L" == values(read_text(tmp_path, text, readings=settled))[0]["now"]


@pytest.mark.parametrize(
    ("heading", "cell", "expected"),
    [("Pot size L", "12", "12 L"), ("Pot in litres", "12", "12 L"), ("Pot gal", "3", "#3")],
)
def test_units_behind_the_words_of_a_heading(heading, cell, expected, tmp_path) -> None:
    """`Pot gal` is `Pot (gal)`."""
    text = f"Plant,Qty,{heading},To\nFig,12,{cell},25 L\n"
    found = read_text(tmp_path, text, readings=Readings(gallons="class"))

    assert [expected] == [row["now"] for row in values(found)]


@pytest.mark.parametrize(
    ("cell", "expected"), [("in the ground", "ground"), ("Bed 3", "Bed 3"), ("Sold", "sold")]
)
def test_places_that_a_move_goes_to(cell, expected, tmp_path) -> None:
    """Beds keep their names, numbers in them are no sizes."""
    found = read_text(tmp_path, f"Plant,Qty,Now,To\nFig,12,#1,{cell}\n")

    assert [expected] == [row["to"] for row in values(found)]


def test_fractions_with_the_unit_in_the_heading(tmp_path) -> None:
    """`4 1/2` and `6½` are bare numbers like 4.5."""
    text = "Plant;Qty;Pot (in pot);New pot (in pot)\nFig;12;4 1/2;6½\nBay;3;4,5;7\n"
    pots = [(row["now"], row["to"]) for row in values(read_text(tmp_path, text))]

    assert [("4.5 in pot", "6.5 in pot"), ("4.5 in pot", "7 in pot")] == pots


def test_lists_in_german_and_french(tmp_path) -> None:
    """Headings of both are known; a decimal comma beside `1.000` has both readings named."""
    german = (
        "Pflanze;Sorte;Anzahl;Topf jetzt;Neuer Topf;ab;bis;Bemerkung\n"
        "Feige;Süße;1.000;C1,5;18,5 L;20.03.2027;1. Mai 2027;stark\n"
    )
    found = read_text(tmp_path, german.encode("cp1252"))
    assert ['list.csv:2:12: error: "Anzahl": may be 1000 or 1: `1.000` [ambiguous-number]'] == (
        messages(found)
    )
    comma = Readings(decimal="comma")
    feige = {
        "name": "Feige", "sort": "Süße", "count": 1000, "now": "C1.5", "to": "18.5 L",
        "from": "2027-03-20", "by": "2027-05-01", "note": "stark",
    }  # fmt: skip
    assert [feige] == values(read_text(tmp_path, german.encode("cp1252"), readings=comma))

    french = "Plante;Variété;Quantité;Pot actuel;Nouveau pot;À partir du;Avant le\n"
    found = read_text(tmp_path, french + "Figuier;Brune;12;1,5 L;7,5 L;20/03/2027;15/04/2027\n")
    assert [("1.5 L", "7.5 L", "2027-03-20", "2027-04-15")] == [
        (row["now"], row["to"], row["from"], row["by"]) for row in values(found)
    ]


def test_genus_and_species_are_one_name(tmp_path) -> None:
    """They are joined where no other column is the name, and any second column may be."""
    text = "Genus,Species,Cultivar,Qty,Size,To\nFicus,carica,Brown,12,#1,#3\n"
    assert ["Ficus carica"] == [row["name"] for row in values(read_text(tmp_path, text))]

    text = "Name,Label,Qty,Now\nFig,old,2,#1\n"
    given = {"Name": "name", "Label": "name 2"}
    assert ["Fig old"] == [row["name"] for row in values(read_text(tmp_path, text, headings=given))]


def test_totals_of_sections_and_with_parted_thousands(tmp_path) -> None:
    """A total may be of a section, and need not say that it is one."""
    text = "Plant;Qty;Now;To\nShrubs\nFig;1200;#1;#3\nHerbs\nBay;14;#1;#2\nSub-total;14\n;1.214;;\n"
    found = read_text(tmp_path, text)

    assert [1200, 14] == [row["count"] for row in values(found)]
    assert ["left out, a total of 14", "left out, a total of 1214"] == [
        words for _, words in found.notes if "total" in words
    ]


def test_table_drawn_with_bars(tmp_path) -> None:
    """The line below the heading of such a table is no plant."""
    text = "| Plant | Qty | Now | New pot |\n|:--|--:|---|---|\n| Fig | 12 | #1 | #3 |\n"
    assert [FIG] == values(read_text(tmp_path, text))


def test_spreadsheet_beside_a_plan_may_name_its_containers_and_beds(tmp_path) -> None:
    """What a plan calls its own needs no known word in a spreadsheet, as in a CSV."""
    rows = [
        ["Plant", "Qty", "Now", "To", "By"],
        ["Fig", 2, "#1", "Granny's tub", date(2027, 4, 1)],
        ["Squash", 2, "#1", "Long strip", date(2027, 4, 1)],
    ]
    write_xlsx(tmp_path / "plants.xlsx", rows)
    (tmp_path / "plan.toml").write_text(
        'plants = [ { rows = "plants.xlsx" } ]\n[mixes.tree]\nparts = { bark = 5, peat = 1 }\n'
        '[containers."Granny\'s tub"]\nvolume = "30 L"\n'
        '[[beds]]\nname = "Long strip"\nshape = "8 ft x 4 ft"\ntop_up = "2 in"\n'
        "by = 2027-04-01\nfrom = 2027-03-01\n[garden]\nlast_frost = 2027-04-12\n"
    )
    _, problems = read_plan(tmp_path / "plan.toml")

    assert [] == [str(problem) for problem in problems if problem.severity == "error"]


def test_what_goes_nowhere_or_into_the_ground_needs_no_mix(tmp_path) -> None:
    """What a filled-down column says of plants that it cannot be about is left out and told."""
    text = (
        "Plant,Qty,Pot,New pot,Soil,By\nFig,12,#1,#3,tree,2027-04-01\n"
        "Bay,2,#1,,tree,2027-04-01\nSquash,3,#1,ground,tree,2027-05-01\n"
    )
    found = read_text(tmp_path, text)

    assert [
        {**FIG, "mix": "tree", "by": "2027-04-01"},
        {"name": "Bay", "count": 2, "now": "#1"},
        {"name": "Squash", "count": 3, "now": "#1", "to": "ground", "by": "2027-05-01"},
    ] == values(found)
    assert [
        "`Bay` goes nowhere, so not read: mix, by", "`ground` takes no mix, so not read: mix"
    ] == [words for _, words in found.notes]  # fmt: skip


def test_numbers_before_the_names(tmp_path) -> None:
    """`12 x Fig` is a count and a name where no column counts; beside one it is a name."""
    text = "Plants to pot up,Current,Next\n12 x Fig,#1,#3\n3 Bay,#1,#3\n"
    bay = {"name": "Bay", "count": 3, "now": "#1", "to": "#3"}
    found = read_text(tmp_path, text)
    assert [FIG, bay] == values(found)
    assert '"Plants to pot up" read as count and name' in found.told

    text = "Name,Qty,Current,Next\n3 sisters,12,#1,#3\n"
    assert [("3 sisters", 12)] == [
        (row["name"], row["count"]) for row in values(read_text(tmp_path, text))
    ]


def test_waits_between_moves(tmp_path) -> None:
    """Weeks in the heading are weeks; a bare number without is asked about."""
    text = "Plant,Qty,Now,First pot,Second pot,Weeks between\nFig,12,#1,#3,#5,3\n"
    assert [FIG, {"to": "#5", "wait": "3 weeks"}] == values(read_text(tmp_path, text))

    text = text.replace("Weeks between", "Wait")
    found = read_text(tmp_path, text)
    assert ["missing-unit"] == [problem.code for problem in found.problems]
    assert '`--heading "Wait=wait 2 (weeks)"`' in found.problems[0].hint
    given = {"Wait": "wait 2 (weeks)"}
    assert "3 weeks" == values(read_text(tmp_path, text, headings=given))[1]["wait"]


def test_words_in_brackets_say_which_pot(tmp_path) -> None:
    """`Pot (now)` and `Pot (next)` are told apart, `Pot (cm)` has a unit."""
    text = "Plant,Qty,Pot (now),Pot (next)\nFig,12,#1,#3\n"
    assert [FIG] == values(read_text(tmp_path, text))


def test_pots_that_nobody_moves_into(tmp_path) -> None:
    """A column of pots is not left out in silence where it may be the one to move into."""
    text = "Plant,Qty,Pot,Bigger one\nFig,12,#1,#3\nBay,3,#1,#3\n"
    found = read_text(tmp_path, text)
    assert [
        'list.csv:1:15: error: "Bigger one" holds pots, and no column says where plants go'
        " [unclear-heading]"
    ] == messages(found)
    assert FIG == values(read_text(tmp_path, text, headings={"Bigger one": "to"}))[0]

    found = read_text(tmp_path, "Plant,Qty,Pot,Price\nFig,12,#1,3\nBay,3,#1,4\n")
    assert "no column says where plants go, so none of them moves" in found.told


def test_sheet_that_says_most_of_plants_is_taken(tmp_path) -> None:
    """A store has names and counts too; the sheet with pots is the list."""
    import openpyxl

    book = openpyxl.Workbook()
    book.active.title = "Store"
    for row in (["Item", "In stock"], ["#3 pot", 40]):
        book.active.append(row)
    sheet = book.create_sheet("Plants")
    for row in (["Plant", "How many", "Pot", "To"], ["Fig", 12, "#1", "#3"]):
        sheet.append(row)
    book.save(tmp_path / "a.xlsx")

    assert [FIG] == values(read(tmp_path / "a.xlsx"))
