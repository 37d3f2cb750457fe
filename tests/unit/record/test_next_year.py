"""Next year's plan: what moves on by a year, what stands where, and what is left."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.plan.differences import differences
from rootroom.plan.reader import read_plan_text
from rootroom.record.next_year.new_plan import in_a_year, next_name, next_year
from tests.support.recording import event, moved

PLANS = sorted((Path(__file__).parents[3] / "plans").glob("*.toml"))

# An invented yard.
PLAN = """\
format = 1
# our figs
plants = [
  { name = "Fig", crop = "fig", count = 18, now = "#1", moves = [
    { to = "#3", mix = "tree", from = 2027-03-06, by = "last frost" },
    { to = "#7", mix = "tree", wait = "8 weeks", count = 6, by = 2027-06-05 } ] },  # by the wall
  { name = "Bay", crop = "bay", count = 3, now = "#2", since = 2026-04-01 },
  { name = "Tomato", crop = "tomato", count = 4, now = "50-cell tray", to = "5 gal bag", mix = "tree", from = "1 week after last frost", by = "5 weeks after last frost" },
  { name = "Squash", crop = "rhubarb", count = 2, now = "4 in square pot", to = "ground", by = "5 weeks after last frost" },
]
supplies = [
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Shop" },
  { of = "compost", have = "9 cu ft" },
  { of = "#3", pack = 10, price = 18.00, from = "Shop", on_hand = 1 },
]
beds = [
  { name = "South bed", shape = "8 ft x 4 ft", depth = "11 in", already = "3 in", layers = [ { of = "straw", depth = "1 in" }, { of = "tree" } ], by = "last frost" },
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-06-06
people = { default = 1, "2027-03-20" = 2 }
off = [2027-04-04]
[mixes.tree]
parts = { bark = 3, compost = 1 }
shrink = "0 %"
"""  # noqa: E501

EVENTS = [
    moved("Fig", 1, 16, date(2027, 3, 20)),
    moved("Fig", 2, 6, date(2027, 5, 22)),
    event("lost", date(2027, 6, 1), plant="Fig", move=3, count=1),
    moved("Tomato", 1, 4, date(2027, 4, 24)),
    moved("Squash", 1, 2, date(2027, 5, 1)),
    event("filled", date(2027, 4, 3), bed="South bed", layer=1, share=1.0, of="straw"),
    event("filled", date(2027, 4, 3), bed="South bed", layer=2, share=1.0, of="tree"),
    event("bought", date(2027, 3, 19), of="bark", supply=1, packs=3, paid_cents=2100),
    event("blended", date(2027, 3, 20), mix="tree", l=100.0, loose_l={"bark": 75.0, "compost": 25.0}),  # noqa: E501
]  # fmt: skip


def made(text=PLAN, events=(), **more):
    """Return the draft of next year's plan, and the plan that it is read as."""
    plan, problems = read_plan_text(text, "this.toml")
    assert plan is not None, problems
    draft = next_year(text, plan, events, Path("this.toml"), **more)
    found, problems = read_plan_text(draft.text, "next.toml")
    assert found is not None, [str(one) for one in problems]
    return draft, found


@pytest.mark.parametrize("as_planned", [False, True])
@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_next_plan_of_a_shipped_plan_is_right(path, as_planned):
    """Each plan in plans/ leads to a plan without mistakes, and that to another, and so on."""
    text = path.read_text("utf-8")
    for _ in range(3):
        plan, problems = read_plan_text(text, path)
        assert plan is not None, [str(one) for one in problems]
        text = next_year(text, plan, (), path, as_planned=as_planned).text


def test_an_unrecorded_plan_differs_in_its_dates_alone():
    """52 weeks on where people work, so a Saturday stays one; frost and the end keep their day."""
    draft, found = made()

    assert {
        "plants.Fig.moves.1.from": ("2027-03-06", "2028-03-04"),
        "plants.Fig.moves.2.by": ("2027-06-05", "2028-06-03"),
        "garden.last_frost": ("2027-04-12", "2028-04-12"),
        "work.first": ("2027-03-06", "2028-03-04"),
        "work.last": ("2027-06-06", "2028-06-06"),
        "work.off": ("2027-04-04", "2028-04-02"),
        "work.people.2027-03-20": ("2", ""),
        "work.people.2028-03-18": ("", "2"),
    } == {one.at: (one.here, one.there) for one in differences(PLAN, draft.text)}
    assert [1, 2] == [day.people for day in found.work.days if day.date.month == 3][3:5]
    assert "# our figs" in draft.text
    assert "# by the wall" in draft.text


def test_plants_stand_where_they_were_moved_to():
    """16 of 18 figs went into #3, 6 of these into #7, one of which was lost.

    So 5 stand in #7 since 22 May, 10 in #3 since 20 March, 2 in #1 with the first move to do; the
    second move's six are done. The bay stands as before, tomatoes are sown anew, and what went
    into the ground is out of the plan.
    """
    draft, found = made(events=EVENTS)
    rows = {row["name"]: row for row in tomllib.loads(draft.text)["plants"]}

    assert [
        ("Fig", 5, "#7", date(2027, 5, 22), []),
        ("Fig, in #3", 10, "#3", date(2027, 3, 20), []),
        ("Fig, in #1", 2, "#1", None, ["#3"]),
        ("Bay", 3, "#2", date(2026, 4, 1), []),
        ("Tomato", 4, "50-cell tray", None, ["5 gal bag"]),
    ] == [
        (
            one.name, one.count, one.kind.now.text, one.kind.since,
            [move.to.text for move in one.kind.moves],
        )
        for one in found.plants
    ]  # fmt: skip
    assert date(2028, 3, 4) == rows["Fig, in #1"]["moves"][0]["from"]
    assert "# by the wall" in draft.text


def test_due_plants_are_marked_with_what_to_accept():
    """Two years after April 2026 the bay is due; the figs of 2027 are in 2029."""
    draft, _ = made(events=EVENTS)

    assert (
        """\
  # in #2 since 2026-04-01: roots are due every 2 years, so in 2028
  #   to accept: to = "#3", by = "2 weeks before last frost"
  #   or: refresh = "1/3", by = "2 weeks before last frost"
  { name = "Bay\""""
        in draft.text
    )
    assert "  # in #7 since 2027-05-22: roots are due every 2 years, so in 2029\n" in draft.text
    assert {
        "Squash: none of 2 stands in a pot any more; taken out",
        "due: Bay, in #2 since 2026-04-01",
    } <= set(draft.notes)


def test_what_is_to_accept_is_right():
    """Each line to accept, written on its row, makes a plan without mistakes."""
    draft, _ = made(events=EVENTS)
    for offered in ('to = "#3", by = "2 weeks before last frost"',
                    'refresh = "1/3", by = "2 weeks before last frost"'):  # fmt: skip
        text = draft.text.replace(
            'now = "#2", since = 2026-04-01', f'now = "#2", since = 2026-04-01, {offered}'
        )
        plan, problems = read_plan_text(text, "next.toml")
        assert plan is not None, problems
        assert 1 == len(plan.plants[3].kind.moves)


def test_stock_goods_prices_and_beds_are_what_is_left():
    """Three packs of 2 cu ft less 75 L of bark, 9 cu ft less 25 L of compost, the paid 7.00.

    75 L are 2.6486 cu ft: 1.3243 packs are used, 1.68 are left; 25 L are 0.8829 cu ft, 8.12 are
    left. Of #3 10 were there and 16 filled, 6 went on and left theirs: none is left over. 16 #1
    are empty, and so are the tomatoes' 4 bags.
    """
    draft, found = made(events=EVENTS)
    data = tomllib.loads(draft.text)

    assert [
        {"of": "bark", "pack": "2 cu ft", "price": 7.0, "from": "Shop", "on_hand": 1.68},
        {"of": "compost", "have": "8.12 cu ft"},
        {"of": "#3", "pack": 10, "price": 18.0, "from": "Shop"},
    ] == data["supplies"]
    assert (0, 16, 4) == tuple(found.stock.get(text, 0) for text in ("#3", "#1", "5 gal bag"))
    assert [
        {
            "name": "South bed", "shape": "8 ft x 4 ft", "by": "last frost",
            "top_up": "1 in", "mix": "tree",
        }
    ] == data["beds"]  # fmt: skip


def test_own_heaps_are_what_is_left_of_them():
    """Of 20 lb of lime 5 go into 100 L, 15 are left; of 25.6 L of compost 0.6, 0.0212 cu ft.

    Of straw there were fewer than the 75.5 L of its layer, 1 in of 8 ft x 4 ft: none is left.
    """
    text = PLAN.replace('have = "9 cu ft"', 'have = "25.6 L"').replace(
        'shrink = "0 %"', 'shrink = "0 %"\nadd = { lime = "5 lb per 100 L" }'
    )
    text = text.replace(
        '  { of = "#3", pack = 10',
        '  { of = "lime", have = "20 lb" },\n  { of = "straw", have = "70 L" },\n'
        '  { of = "#3", pack = 10',
    )
    draft, _ = made(text, events=EVENTS)
    heaps = [row for row in tomllib.loads(draft.text)["supplies"] if "have" in row]

    assert [{"of": "compost", "have": "0.0212 cu ft"}, {"of": "lime", "have": "15 lb"}] == heaps
    assert "straw: the own heap was used up; write what is there" in draft.notes


def test_what_is_left_of_a_heap_is_written_in_full():
    """Of 1500 L the 25 L of above are used, 1475 L are left; a mL that is left is nothing."""
    text = PLAN.replace('have = "9 cu ft"', 'have = "1500 L"').replace(
        "[garden]", '[garden]\nunits = "metric"'
    )
    heaps = tomllib.loads(made(text, events=EVENTS)[0].text)["supplies"]
    emptied = made(text.replace("1500 L", "25.0009 L"), events=EVENTS)[0]

    assert {"of": "compost", "have": "1475 L"} in heaps
    assert "compost: the own heap was used up; write what is there" in emptied.notes


def test_goods_by_another_spelling_of_their_name_are_carried_too():
    """Pine bark is bark: packs that are left and the price that was paid are those of above."""
    text = PLAN.replace('{ of = "bark"', '{ of = "pine bark"').replace(
        "supplies = [",
        'supplies = [\n  { of = "peat moss", pack = "3 cu ft", price = 15.20, swells = 1.7 },',
    )
    events = [one for one in EVENTS if one.kind != "bought"]
    bought = event("bought", date(2027, 3, 19), of="bark", supply=2, packs=3, paid_cents=2100)
    swelled = event("measured", what="swells", of="peat", value=1.9)
    draft, found = made(text, [*events, bought, swelled])
    bark = tomllib.loads(draft.text)["supplies"][1]

    assert ("pine bark", 7.0, 1.68) == (bark["of"], bark["price"], bark["on_hand"])
    assert 1.75 < found.supplies[0].swells.likely < 1.9


def test_names_with_a_space_at_their_end_are_carried_too():
    """A name is tidied where a plan is read, so that bed and plants are those of the record."""
    text = PLAN.replace('"South bed"', '"South bed "').replace('"Fig"', '"Fig "')
    draft, found = made(text, EVENTS)

    assert "1 in" == tomllib.loads(draft.text)["beds"][0]["top_up"]
    assert [("Fig", 5, "#7")] == [
        (one.name, one.count, one.kind.now.text) for one in found.plants if one.name == "Fig"
    ]


def test_carrying_a_pot_gives_its_roots_no_new_room():
    """Figs that came into #3 in April and under cover in October stand in #3 since April."""
    text = PLAN.replace(
        '{ name = "Bay", crop = "bay", count = 3, now = "#2", since = 2026-04-01 },',
        '{ name = "Bay", crop = "bay", count = 3, now = "#2", moves = [\n'
        '    { to = "outdoors", from = 2027-03-06, by = 2027-04-10 },\n'
        '    { to = "#3", mix = "tree", by = 2027-05-01 },\n'
        '    { to = "shelter", by = 2027-06-05 } ] },',
    )
    told = [moved("Bay", n, 3, date(2027, n + 2, 10)) for n in (1, 2, 3)]
    _, found = made(text, told)

    [bay] = [one for one in found.plants if one.name == "Bay"]
    assert ("#3", date(2027, 4, 10)) == (bay.kind.now.text, bay.kind.since)


def test_pots_filled_in_stages_are_full_and_come_back():
    """An annual in a bag that was filled in two stages leaves the bag; other pots count as full."""
    text = PLAN.replace(
        'to = "5 gal bag", mix = "tree", from = "1 week after last frost", '
        'by = "5 weeks after last frost" },',
        'moves = [ { to = "5 gal bag", fill = "1/2", mix = "tree", from = "last frost", '
        'by = 2027-05-01 }, { fill = "full", mix = "tree", wait = "1 week", by = 2027-06-05 } ] },',
    )
    _, found = made(text, as_planned=True)

    assert 4 == found.stock["5 gal bag"]


def test_learned_figures_are_written_in():
    """A measured packing is in the plan; what cannot be written is told."""
    draft, found = made(events=[*EVENTS, event("measured", what="packing", of="", value=1.3)])

    assert found.factors.packing.likely > 1.15
    assert "packing" in tomllib.loads(draft.text)["factors"]


def test_dates_of_a_list_beside_the_plan_move_too(tmp_path):
    """The list goes into one of a new name, and the plan names that."""
    (tmp_path / "plants 2027.csv").write_text("name,count,now,to,from\nFig,3,#1,#3,2027-03-06\n")
    text = PLAN.replace("plants = [", 'plants = [\n  { rows = "plants 2027.csv", mix = "tree" },')
    text = text.replace('name = "Fig"', 'name = "Old fig"')
    path = tmp_path / "this.toml"
    path.write_text(text)
    done = CliRunner().invoke(app, ["next", str(path)])

    assert 0 == done.exit_code, done.stderr
    assert "Fig,3,#1,#3,2028-03-04\n" in (tmp_path / "plants 2028.csv").read_text()
    checked = CliRunner().invoke(app, ["check", str(tmp_path / "this-2028.toml")])
    assert (0, "") == (checked.exit_code, checked.stderr)


@pytest.mark.parametrize(
    ("name", "year", "other"),
    [
        ("spring-2027.toml", 2028, "spring-2028.toml"),
        ("spring.toml", 2028, "spring-2028.toml"),
        ("plants.csv", None, "plants-next.csv"),
        ("plan", 2028, "plan-2028"),
    ],
)
def test_the_name_of_the_next_file(name, year, other):
    """A year in it goes on by one, else the year is written behind."""
    assert other == next_name(name, year)


def test_a_leap_day_becomes_the_day_before():
    """29 February 2028 is 28 February 2029."""
    assert date(2029, 2, 28) == in_a_year(date(2028, 2, 29))


def test_the_command_writes_a_new_file_only(tmp_path):
    """The second time there is a file already; the first one is fine."""
    path = tmp_path / "this.toml"
    path.write_text(PLAN)
    first = CliRunner().invoke(app, ["next", str(path)])
    again = CliRunner().invoke(app, ["next", str(path)])

    assert 0 == first.exit_code
    assert "Nothing was noted" in first.stdout
    assert (2, "") == (again.exit_code, again.stdout)
    assert again.stderr.startswith("error: there is a file already: ")
    assert again.stderr.endswith("\n\nhint: give another name with --out\n")


LIST = """\
name,sort,count,now,to,from,by,wait,place
Bay,,5,#1,#2,2027-03-06,last frost,,
Sage,Purple,8,4 in square pot,#1,last frost,,,bench 1
Sage,Broad,6,4 in square pot,#1,last frost,,,bench 1
Olive,,9,#1,#3,2027-03-06,,,
,,,,#5,,,8 weeks,
Mint,,4,#1,ground,2027-03-06,,,
Box,,3,#2,,,,,
"""


def listed(tmp_path, *told, name="plants 2027.csv", text=LIST, **more):
    """Return the draft of a plan whose other plants stand in a list beside it."""
    (tmp_path / name).write_text(text)
    plan = PLAN.replace("plants = [", f'plants = [\n  {{ rows = "{name}", mix = "tree" }},')
    path = tmp_path / "plan.toml"
    path.write_text(plan)
    read, problems = read_plan_text(plan, path)
    assert read is not None, [str(problem) for problem in problems]
    return next_year(plan, read, told, path, **more)


def test_list_of_plants_follows_its_record(tmp_path) -> None:
    """Each plant stands where it was moved to, by sorts; what is gone is taken out and told."""
    day = date(2027, 3, 20)
    sage = event("moved", day, plant="Sage", move=1, count=8, sort="Purple")
    draft = listed(tmp_path, moved("Bay", 1, 5, day), sage, moved("Olive", 1, 9, day),
                   moved("Mint", 1, 4, day))  # fmt: skip
    (tmp_path / "plants 2028.csv").write_text(draft.lists["plants 2028.csv"])
    plan, problems = read_plan_text(draft.text, tmp_path / "plan-2028.toml")

    assert {"plants 2028.csv": """\
name,sort,count,now,to,from,by,wait,place,since
Bay,,5,#2,,,,,,2027-03-20
Sage,Purple,8,#1,,,,,bench 1,2027-03-20
Sage,Broad,6,4 in square pot,#1,last frost,,,bench 1,
Olive,,9,#3,#5,,,,,2027-03-20
Box,,3,#2,,,,,,
"""} == draft.lists  # fmt: skip
    assert "plants 2028.csv: none stands in a pot any more of `Mint`" in draft.notes
    assert plan is not None, [str(problem) for problem in problems]
    assert ["Bay", "Sage", "Sage", "Olive", "Box"] == [group.name for group in plan.plants][:5]


def test_list_without_a_record_moves_its_dates_alone(tmp_path) -> None:
    """Nobody noted anything: plants are as they were, windows a year later."""
    draft = listed(tmp_path)
    moved_on = LIST.replace("2027-03-06", "2028-03-04")

    assert {"plants 2028.csv": moved_on} == draft.lists


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        (6, "`Kale 0`, `Kale 1`, `Kale 2`, `Kale 3`, `Kale 4`, `Kale 5`"),
        (7, "`Kale 0`, `Kale 1`, `Kale 2`, `Kale 3`, `Kale 4`, `Kale 5` and 1 more"),
    ],
)
def test_plants_that_are_gone_are_told_in_one_line(tmp_path, gone, words) -> None:
    """Six by name, the others by their number."""
    text = "name,count,now,to,by\n" + "".join(
        f"Kale {number},2,#1,ground,2027-05-01\n" for number in range(gone)
    )
    told = [moved(f"Kale {number}", 1, 2, date(2027, 4, 3)) for number in range(gone)]
    draft = listed(tmp_path, *told, text=text)

    assert f"plants 2028.csv: none stands in a pot any more of {words}" in draft.notes


def test_list_under_a_name_that_is_free(tmp_path) -> None:
    """A list that lies there already is never written over, nor stands in the way of the plan."""
    (tmp_path / "list-next.csv").write_text("mine")
    draft = listed(tmp_path, name="list.csv")

    assert ["list-2-next.csv"] == list(draft.lists)
    assert 'rows = "list-2-next.csv"' in draft.text


def test_spreadsheet_becomes_a_tidy_list(tmp_path) -> None:
    """Dates of an .xlsx move on too: its rows stand in a CSV of the next year."""
    from tests.support.lists import write_xlsx

    rows = [
        ["Plant", "Qty", "Pot", "New pot", "Earliest"],
        ["Bay", 5, "#1", "#2", date(2027, 3, 6)],
    ]
    write_xlsx(tmp_path / "list.xlsx", rows)
    plan = PLAN.replace("plants = [", 'plants = [\n  { rows = "list.xlsx", mix = "tree" },')
    read, _ = read_plan_text(plan, tmp_path / "plan.toml")
    draft = next_year(plan, read, (), tmp_path / "plan.toml")

    assert {"list-next.csv": "name,count,now,to,from\nBay,5,#1,#2,2028-03-04\n"} == draft.lists
