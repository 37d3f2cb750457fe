"""What somebody types on the command line becomes an event, or is refused with a hint."""

from __future__ import annotations

from typing import Any

import pytest

from rootroom.plan.reader import read_plan
from rootroom.problems import TextError
from rootroom.record.apply import replay
from rootroom.record.noting.written_notes import Noter
from tests.support.recording import event

PLAN = """
plants = [
  { name = "Fig, first pots", count = 18, now = "#1", moves = [
    { to = "#3", mix = "tree" }, { to = "#7", mix = "tree", wait = "4 weeks" } ] },
  { name = "Fig cuttings", count = 12, now = "cutting", to = "#1", mix = "tree" },
  { name = "Half: old = new", count = 1, now = "half barrel", refresh = "1/3", mix = "tree" },
  { name = "Bay", sorts = { "Golden" = 4, "Plain" = 2 }, now = "#1", to = "#3", mix = "tree" },
]
beds = [ { name = "South bed", shape = "8 ft x 4 ft", depth = "11 in", layers = [
  { of = "logs", depth = "3 in" }, { of = "tree" } ] } ]
supplies = [
  { of = "peat", pack = "3.8 cu ft", price = 15.20, from = "Mill Road" },
  { of = "bark", pack = "2 cu ft", price = 6.40, from = "Mill Road" },
  { of = "bark", pack = "0.5 yd3", price = 19.00, from = "Bulk yard" },
]
[garden]
last_frost = 2027-04-12
[work]
scoop = "5 L"
[mixes.tree]
parts = { bark = 5, peat = 1 }
[containers."tall fig pot"]
volume = "20 L"
"""


@pytest.fixture(scope="module")
def noter(tmp_path_factory: pytest.TempPathFactory) -> Noter:
    """Return a reader of notes about an invented plan of which nothing is done."""
    path = tmp_path_factory.mktemp("plan") / "spring.toml"
    path.write_text(PLAN, "utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return Noter(plan, replay(plan, []))


def test_count_of_plants_that_all_have_moved(noter: Noter) -> None:
    """Nobody waits for a move any more, so those that stand in their last pot are counted."""
    done = event("moved", plant="Fig cuttings", move=1, count=12)
    after = Noter(noter.plan, replay(noter.plan, [done]))

    assert ("counted", {"plant": "Fig cuttings", "move": 1, "count": 11}) == noter.read(
        "counted", "Fig cuttings=11"
    )
    for kind in ("counted", "lost"):
        data = {"plant": "Fig cuttings", "move": 2, "count": 11}
        assert (kind, data) == after.read(kind, "Fig cuttings=11")


def test_empty_pots_are_counted_as_other_things_are(noter: Noter) -> None:
    """`--counted` takes a container of the plan: how many of it stand empty."""
    assert ("empty", {"container": "#1", "count": 18}) == noter.read("counted", "#1=18")


@pytest.mark.parametrize(
    ("kind", "text", "data"),
    [
        ("moved", "Fig cuttings=12", {"plant": "Fig cuttings", "move": 1, "count": 12}),
        ("moved", "fig,=3", {"plant": "Fig, first pots", "move": 1, "count": 3}),
        ("moved", "Fig, first pots:2=3", {"plant": "Fig, first pots", "move": 2, "count": 3}),
        ("moved", "Half: old = new=1", {"plant": "Half: old = new", "move": 1, "count": 1}),
        ("lost", "fig c = 2", {"plant": "Fig cuttings", "move": 1, "count": 2}),
        ("counted", "fig c:1=9", {"plant": "Fig cuttings", "move": 1, "count": 9}),
        (
            "not yet",
            "fig c=4 until 2027-04-20",
            {"plant": "Fig cuttings", "move": 1, "count": 4, "until": "2027-04-20"},
        ),
        ("used", "tree=9 scoops", {"mix": "tree", "l": 45.0}),
        ("left", "tree=1/2 scoop", {"mix": "tree", "l": 2.5}),
        ("blended", "tree=70 L", {"mix": "tree", "l": 70.0}),
        ("spilled", "Tree=2 gal", {"mix": "tree", "l": 7.570824}),
        ("taken out", "30 L of half barrel", {"l": 30.0, "of": "half barrel"}),
        ("filled", "South bed=50 %", {"bed": "South bed", "layer": 1, "share": 0.5, "of": "logs"}),
        ("filled", "south:2=100 %", {"bed": "South bed", "layer": 2, "share": 1.0, "of": "tree"}),
        (
            "bought",
            "peat=3 for 45.60 at mill road",
            {
                "of": "peat", "packs": 3, "paid_cents": 4560, "from": "Mill Road", "supply": 1,
                "pack": "3.8 cu ft",
            },
        ),
        ("bought", "bark=0.5", {"of": "bark", "packs": 0.5, "paid_cents": None}),
        (
            "bought",
            "bark=2 for 38 at Bulk yard",
            {
                "of": "bark", "packs": 2, "paid_cents": 3800, "from": "Bulk yard", "supply": 3,
                "pack": "0.5 yd3",
            },
        ),
        ("freed", "#1=18", {"container": "#1", "count": 18}),
        ("broken", "tall=1", {"container": "tall fig pot", "count": 1}),
        ("worked", "2 h 30 min", {"minutes": 150.0}),
        ("measured", "packing=1.2 x 5", {"what": "packing", "of": "", "value": 1.2, "times": 5}),
        ("measured", "fill #7=22 L", {"what": "fill", "of": "#7", "value": 22.0}),
        ("measured", "shrink tree=12 %", {"what": "shrink", "of": "tree", "value": 0.12}),
        ("measured", "spill=3 %", {"what": "spill", "of": "", "value": 0.03}),
        ("measured", "swells peat=1.8", {"what": "swells", "of": "peat", "value": 1.8}),
        (
            "timed",
            "#3=18 in 95 min",
            {"work": "up-pot", "container": "#3", "count": 18, "minutes": 95.0},
        ),
        ("timed", "blend=3 in 40 min", {"work": "blend", "count": 3, "minutes": 40.0}),
        (
            "timed",
            "refresh half barrel=1 in 50 min",
            {"work": "refresh", "container": "half barrel", "count": 1, "minutes": 50.0},
        ),
        ("weather", "rain", {"weather": "rain"}),
        ("note", "aphids", {"text": "aphids"}),
    ],
)  # fmt: skip
def test_a_note_is_read(noter: Noter, kind: str, text: str, data: dict[str, Any]) -> None:
    """Names in any case or cut short, amounts with units or in scoops, become an event's data."""
    assert (kind, data) == noter.read(kind, text)


@pytest.mark.parametrize(
    ("text", "kind", "data"),
    [
        ("peat=1.5", "in stock", {"of": "peat", "supply": 1, "packs": 1.5, "l": None}),
        ("bark=3 at Bulk yard", "in stock", {"of": "bark", "supply": 3, "packs": 3, "l": None}),
        ("tree=9 scoops", "left", {"mix": "tree", "l": 45.0}),
        ("tree=0 L", "left", {"mix": "tree", "l": 0.0}),
        ("fig c:2=9", "counted", {"plant": "Fig cuttings", "move": 2, "count": 9}),
        ("Bay/Golden:2=3", "counted", {"plant": "Bay", "move": 2, "count": 3, "sort": "Golden"}),
    ],
)
def test_a_count_is_of_plants_packs_or_mix(
    noter: Noter, text: str, kind: str, data: dict[str, Any]
) -> None:
    """What was counted over the winter, by its name: plants, packs of a good, a heap of mix."""
    assert (kind, data) == noter.read("counted", text)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("bark=3", "say which with `at Mill Road`, `at Bulk yard`"),
        ("peat=3 cu ft", "write `peat=1.5`, in packs: the plan has no own heap of it"),
        ("tree=3", "write `tree=1.5` packs, or `tree=30 L` of a heap"),
    ],
)
def test_error_a_count_that_may_mean_two_things(noter: Noter, text: str, hint: str) -> None:
    """Of which supply, and in what, is asked for and not guessed."""
    with pytest.raises(TextError) as error:
        noter.read("counted", text)

    assert hint == error.value.hint


@pytest.mark.parametrize(
    ("kind", "text", "message", "hint"),
    [
        (
            "moved",
            "Fig=3",
            "more than one plant: `Fig`",
            "it begins `Fig cuttings`, `Fig, first pots`; write one of them whole",
        ),
        (
            "moved",
            "Fig cutings=3",
            "unknown plant: `Fig cutings`",
            "did you mean `Fig cuttings`?",
        ),
        ("moved", "Fig cuttings", "cannot be read: `Fig cuttings`",
         "write `Fig=12`, `Fig:2=12` for its second move, or `Fig/Old gold=4` for one sort"),
        ("moved", "fig c=many", "a whole number belongs behind the sign: `fig c=many`", "as `=12`"),
        ("not yet", "fig c=1 until soon", "a date is written year-month-day: `soon`",
         "as 2027-05-01 for the first of May"),
        ("not yet", "fig c=1 until 20.4.2027", "a date is written year-month-day: `20.4.2027`",
         "write `2027-04-20`"),
        ("bought", "peat=three", "cannot be read: `peat=three`",
         "write `peat=3 for 45.60 at Mill Road`"),
        ("bought", "peat=1 for 1.005", "money has at most two decimals: `peat=1 for 1.005`", ""),
        ("bought", "peat=0", "no packs were bought: `peat=0`", "leave it out"),
        ("bought", "peat=1e3", "cannot be read: `peat=1e3`",
         "write `peat=3 for 45.60 at Mill Road`"),
        ("bought", "peat=1 for 1e3", "a price is a plain number: `peat=1 for 1e3`",
         "write `for 45.60`, in the garden's currency"),
        ("bought", "peat=1 for $30", "a price is a plain number: `peat=1 for $30`",
         "write `for 30`, in the garden's currency"),
        ("bought", "peat=1 for 30,40", "a price is a plain number: `peat=1 for 30,40`",
         "write `for 30.40`, in the garden's currency"),
        ("moved", "fig c:0=1", "`Fig cuttings` has 1 move: `fig c:0=1`",
         "moves are counted from 1 in the order of the plan"),
        ("moved", "fig c:2=1", "`Fig cuttings` has 1 move: `fig c:2=1`",
         "moves are counted from 1 in the order of the plan"),
        ("lost", "fig c:3=1", "`Fig cuttings` has 1 move: `fig c:3=1`",
         "moves are counted from 1 in the order of the plan"),
        ("used", "tree=9 scops", "unknown unit `scops`: `9 scops`",
         "write `9 scoops`, `70 L` or `2.5 cu ft`"),
        ("note", " ", "an empty text: ` `",
         "write what belongs there; a key that may be without goes as a whole"),
        ("note", "a\u202eb", "a character that cannot be printed: `a\\u202eb`",
         "type the text anew on one line: line breaks, tabs and marks that turn the direction of "
         "writing cannot stand in a name"),
        ("note", "x" * 501,
         f"a text has at most 500 characters, this one 501: `{'x' * 57}...`", ""),
        ("bought", "peat=-1", "cannot be read: `peat=-1`",
         "write `peat=3 for 45.60 at Mill Road`"),
        ("filled", "South bed:3=1", "`South bed` has 2 layers: `South bed:3=1`",
         "layers are counted from below, from 1"),
        ("counted", "Bay/Golden:3=1", "`Bay` has 1 move: `Bay/Golden:3=1`",
         "moves are counted from 1 in the order of the plan"),
        ("measured", "shrink tref=12 %", "unknown mix: `tref`", "did you mean `tree`?"),
        ("measured", "weight=3", "cannot be read: `weight=3`",
         "write `packing=1.2`, `fill #7=22 L`, `shrink tree=12 %` or `swells peat=1.8`"),
        ("timed", "#3=18", "cannot be read: `#3=18`",
         "write `#3=18 in 95 min`, `blend=3 in 40 min` or `refresh half barrel=1 in 50 min`"),
        ("weather", "hail", "unknown weather: `hail`",
         "known are `dry`, `rain`, `wind`, `frost`, `heat`"),
    ],
)  # fmt: skip
def test_error_note_that_cannot_be_read(
    noter: Noter, kind: str, text: str, message: str, hint: str
) -> None:
    """A note that cannot be read is refused with the text and how to write it."""
    with pytest.raises(TextError) as refused:
        noter.read(kind, text)

    assert message == refused.value.message
    assert hint == refused.value.hint
