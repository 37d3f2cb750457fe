"""Edits of a plan's text: where they go in each form of writing, and what is refused."""

from __future__ import annotations

import difflib
import time
import tomllib

import pytest

from rootroom.plan import editing
from rootroom.problems import TextError

ODD = """# head   \r
format  =   1\t# odd\r
\r
plants = [   \r
  { name="Fig",count =  3 , now = "#1",   to="#3" },  # first\r
  # between\r
  {name = 'Bay', count = 2, now = "#1", moves=[\r
     { to = "#2" } , # why\r
     { to = "#3" }\r
  ] }\r
]\r
garden.name = "x"   # dotted\r
garden . last_frost=2027-04-01\r
[work]   # w\r
hours = {sat=3,  sun = 0}\r
[[beds]]\r
name="B"\r
\r
[mixes."5:1:1"]\r
parts = { bark = 5,peat=1 , perlite=1}  #p\r
"""
TWO_OF_ONE = 'supplies = [ { of = "peat", price = 1 }, { of = "peat", price = 2 } ]\n'
FIG = '  { name="Fig",count =  3 , now = "#1",   to="#3" },  # first'


def lines_changed(old: str, new: str) -> list[str]:
    """Return the lines that went and came, `-` and `+` before them; each must end as others do."""
    diff = difflib.ndiff(old.splitlines(keepends=True), new.splitlines(keepends=True))
    changed = [line for line in diff if line[0] in "-+"]
    assert all(line.endswith("\r\n") for line in changed)
    return [line[0] + line[2:-2] for line in changed]


SETS = {
    ("plants.Fig.to", "#5"): ["-" + FIG, "+" + FIG.replace("#3", "#5")],
    ("plants.2.moves.1.to", "3 gal true"): [
        '-     { to = "#2" } , # why', '+     { to = "3 gal true" } , # why'],
    ("plants.fig.name", "7"): ["-" + FIG, "+" + FIG.replace('"Fig"', '"7"')],
    ("plants.Fig.crop", '"fig"'): ["-" + FIG, "+" + FIG.replace('"Fig"', '"Fig", crop = "fig"')],
    ("work.people", "2"): ["+people = 2"],
    ("work.hours.fri", "2"): [
        "-hours = {sat=3,  sun = 0}", "+hours = {sat=3,  sun = 0, fri = 2}"],
    ("work.hours", "5"): ["-hours = {sat=3,  sun = 0}", "+hours = 5"],
    ("garden.units", "us"): ['+garden.units = "us"'],
    ("garden.last_frost", "2027-05-01"): [
        "-garden . last_frost=2027-04-01", "+garden . last_frost=2027-05-01"],
    ("buying.sure", "80 %"): ["+[buying]", '+sure = "80 %"', "+"],
    ('mixes."5:1:1".parts.bark', "4"): [
        "-parts = { bark = 5,peat=1 , perlite=1}  #p",
        "+parts = { bark = 4,peat=1 , perlite=1}  #p"],
    ("mixes.5:1:1.add.lime", "4 lb/yd3"): ['+add = { lime = "4 lb/yd3" }'],
    ("beds.B.from", "2027-03-01"): ["+from = 2027-03-01"],
}  # fmt: skip


@pytest.mark.parametrize(("path", "value"), SETS)
def test_a_set_value_changes_its_own_place_alone(path: str, value: str) -> None:
    """A value goes where it was, or where its table is written, in the table's own form."""
    assert SETS[path, value] == lines_changed(ODD, editing.set_value(ODD, path, value))


REMOVED = {
    "plants.1": ["-" + FIG],
    "plants.Bay.moves.2": ['-     { to = "#3" }'],
    "plants.1.count": ["-" + FIG, "+" + FIG.replace("count =  3 , ", "")],
    "plants.1.to": ["-" + FIG, "+" + FIG.replace(',   to="#3"', "")],
    "garden": ['-garden.name = "x"   # dotted', "-garden . last_frost=2027-04-01"],
    "work": ["-[work]   # w", "-hours = {sat=3,  sun = 0}"],
    "beds.B": ["-[[beds]]", '-name="B"'],
    "mixes.5:1:1.parts.bark": [
        "-parts = { bark = 5,peat=1 , perlite=1}  #p", "+parts = { peat=1 , perlite=1}  #p"],
}  # fmt: skip


@pytest.mark.parametrize("path", REMOVED)
def test_what_is_removed_takes_nothing_along(path: str) -> None:
    """A key goes with its comma, a row with its line, a table with its header."""
    assert REMOVED[path] == lines_changed(ODD, editing.remove(ODD, path))


def test_things_are_added_where_their_kind_stands() -> None:
    """A plant goes behind the last one, a bed under its own header, a mix behind the mixes."""
    plant = {"name": "7", "count": "3", "now": "#1", "from": "2027-04-01"}
    row = '+  { name = "7", count = 3, now = "#1", from = 2027-04-01 },'
    supply = {"of": "peat", "pack": "3.8 cu ft", "price": "12.50"}
    good = ["+", "+supplies = [", '+  { of = "peat", pack = "3.8 cu ft", price = 12.50 },', "+]"]

    assert ["-  ] }", "+  ] },", row] == lines_changed(ODD, editing.add_thing(ODD, "plant", plant))
    assert [*good, "+"] == lines_changed(ODD, editing.add_thing(ODD, "supply", supply))
    bed = editing.add_thing(ODD, "bed", {"name": "C"})
    assert ["+[[beds]]", '+name = "C"', "+"] == lines_changed(ODD, bed)
    mix = editing.add_thing(ODD, "mix", {"name": "open", "parts": "{ bark = 1 }"})
    assert ["+", "+[mixes.open]", "+parts = { bark = 1 }"] == lines_changed(ODD, mix)


def test_a_moved_row_takes_its_comment_along() -> None:
    """A row changes its place with the comment behind it; the comment above another stays."""
    moved = editing.move_row(ODD, "plants.Fig", 1).replace("\r\n", "\n")

    assert moved.index("# between") < moved.index("'Bay'") < moved.index("},  # first")


def test_an_empty_text_takes_a_plan() -> None:
    """A plan can be written from nothing, thing by thing."""
    text = editing.set_value("", "format", "1")
    text = editing.add_thing(text, "plant", {"name": "Fig", "count": "2"})
    text = editing.set_value(text, "work.hours", "3")
    text = editing.set_value(text, "suppliers.Mill Road.trip", "4.50", make=True)

    assert (
        'format = 1\n\nplants = [\n  { name = "Fig", count = 2 },\n]\n\n'
        '[work]\nhours = 3\n\n[suppliers."Mill Road"]\ntrip = 4.50\n'
    ) == text


REFUSED = {
    ("plants.Bay.to", ODD): "this plant has several moves: `to`"
    " | it stands on a move: `plants.2.moves.1.to`",
    ("plants.Figg.to", ODD): "nothing of this name in `plants`: `Figg` | did you mean `Fig`?",
    ("plants.3.to", ODD): "nothing of this name in `plants`: `3`"
    " | they go from `plants.1` to `plants.2`",
    ("work.peple", ODD): "nothing of this name in `work`: `peple` | did you mean `people`?",
    ("wrok.people", ODD): "nothing of this name: `wrok` | did you mean `work`?",
    ("mixes.5:2:1.flex", ODD): "nothing of this name in `mixes`: `5:2:1` | did you mean `5:1:1`?",
    ("plants.Fig.moves.1.to", ODD): "not given in `plants.1`: `moves` | set the whole of it first",
    ("plants.Fig.to.more", ODD): "`plants.1.to` holds one value, and nothing by the name `more` | ",
    ("supplies.peat.price", TWO_OF_ONE): "more than one of this name in `supplies`: `peat`"
    " | say which: `supplies.1`, `supplies.2`",
    ("work..people", ODD): "this is no place in a plan: `work..people`"
    ' | write it as `plants.Fig.to`; a name with a dot goes in quotes: `mixes."5.1".flex`',
    ("work.people", "work = {\n"): "the plan cannot be read from line 1 on, so nothing in it can"
    " be set | `rootroom check` says what is wrong there",
}  # fmt: skip


@pytest.mark.parametrize(("path", "text"), REFUSED)
def test_error_where_a_path_leads_nowhere(path: str, text: str) -> None:
    """What a path cannot mean is refused with the near names."""
    with pytest.raises(TextError) as refused:
        editing.set_value(text, path, "1")

    assert REFUSED[path, text] == f"{refused.value.message} | {refused.value.hint}"


def test_a_comma_on_the_next_line_stays_one_comma() -> None:
    """Rows that begin with the comma of the one before can be taken away and moved."""
    text = 'beds = [\n  { name = "a" } # one\n  , { name = "b" }\n  , { name = "c" }\n]\n'

    assert ["b", "c"] == names(editing.remove(text, "beds.a"))
    assert ["a", "c"] == names(editing.remove(text, "beds.b"))
    assert ["b", "c", "a"] == names(editing.move_row(text, "beds.a", 2))


def names(text: str) -> list[str]:
    """Return the names of all beds."""
    return [bed["name"] for bed in tomllib.loads(text)["beds"]]


def test_error_what_no_splice_can_change_is_refused() -> None:
    """A value in place of a row under a header of its own is refused in words."""
    with pytest.raises(TextError, match="cannot be changed by itself"):
        editing.set_value("[[plants]]\nname = 1\n", ("plants", 0), "7")


def test_300_rows_are_edited_at_once() -> None:
    """An edit of 300 rows is far quicker than anyone can see."""
    rows = "".join(f'  {{ name = "P{n}", count = 3, now = "#1" }},\n' for n in range(300))
    started = time.perf_counter()
    editing.set_value(f"plants = [\n{rows}]\n", "plants.P150.now", "#2")

    assert time.perf_counter() - started < 2


@pytest.mark.parametrize(
    ("key", "hint"),
    [
        ("count", "it is a key of a plant, which is named first, as in `plants.Fig.to`"),
        ("hours", "it stands in [work]: `work.hours`"),
    ],
)
def test_error_key_without_the_thing_that_it_is_of(key, hint) -> None:
    """A key alone is told where it stands."""
    with pytest.raises(TextError) as refused:
        editing.find_path({"plants": [{"name": "Fig"}], "work": {}}, key)
    assert hint == refused.value.hint
