"""A list as entries of a plan: names that repeat, sorts, moves."""

from __future__ import annotations

import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from rootroom.plan.drafts import Draft, draft_text, starter_plan
from rootroom.plan.lists.as_rows import tidy_rows
from rootroom.plan.lists.outcome import draft_of, draft_plants
from rootroom.plan.reader import read_plan_text
from tests.support.lists import read_text


def entries(folder, text):
    """Return the entries of a plan that a list becomes."""
    return [entry for entry, _ in draft_plants(read_text(folder, text))]


def test_names_that_repeat_are_told_apart(tmp_path) -> None:
    """By the pot, else by a number; plants of a plan have a name each."""
    text = "Name,Qty,Now,To\nFig,1,#1,#3\nFig,2,#2,#3\nfig,3,#2,#3\nBay,1,#1,#3\n"
    names = [entry["name"] for entry in entries(tmp_path, text)]

    assert ["Fig, #1", "Fig, #2", "fig, #2 (2)", "Bay"] == names


def test_sorts_of_one_plant_stay_together(tmp_path) -> None:
    """Rows alike but for sort and count lose no plant, whether a plan knows sorts or not."""
    text = "Name,Variety,Qty,Now,To\nFig,Early,6,#1,#3\nBay,,1,#1,#3\nFig,Old,12,#1,#3\n"
    found = entries(tmp_path, text)
    counts = [sum(e["sorts"].values()) if "sorts" in e else e["count"] for e in found]

    assert 19 == sum(counts)
    assert any("Old" in str(entry) for entry in found)


def test_notes_are_comments_of_the_plan_alone(tmp_path) -> None:
    """The tidy rows have columns that a plan knows, and no others."""
    head, rows = tidy_rows(read_text(tmp_path, "Name,Notes,Qty,Now\nFig,dry,2,#1\n"))

    assert (("name", "count", "now"), [("Fig", 2, "#1")]) == (head, rows)


def test_draft_of_nothing_is_the_starter_without_its_lines() -> None:
    """All comments of the starter stay, and only what is known is said."""
    text = draft_text(Draft("made for a test"))

    assert {
        "format": 1, "plants": [], "supplies": [], "garden": {}, "work": {}
    } == tomllib.loads(text)  # fmt: skip
    comments = [line for line in starter_plan().splitlines() if line.startswith("#")][1:]
    assert [] == [line for line in comments if line not in text.splitlines()]


TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(TEXTS, st.integers(1, 99), min_size=1, max_size=4), TEXTS, st.booleans(), TEXTS
)
def test_draft_says_what_it_was_given(plants, mix, known, made) -> None:
    """Whatever the names hold, the text read again has the same values."""
    rows = [({"name": n, "count": c, "now": "#1", "to": "#3"}, made) for n, c in plants.items()]
    parts = {"bark": 5} if known else None
    draft = Draft(made, plants=rows, mixes={mix: parts})
    data = tomllib.loads(draft_text(draft))

    assert [row for row, _ in rows] == data["plants"]
    assert ({mix: {"parts": parts}} if known else None) == data.get("mixes")
    assert read_plan_text(draft_text(draft), "plan.toml")[1]


def test_mix_that_goes_by_its_recipe_has_its_parts(tmp_path) -> None:
    """A column of recipes describes its mixes; a name alone stays to be described."""
    text = 'Name,Qty,Now,To,Mix\nFig,1,#1,#3,"5:1 bark, peat"\nBay,1,#1,#3,tree\n'
    draft = draft_of(read_text(tmp_path, text), "made")

    assert {"5:1 bark, peat": {"bark": 5, "peat": 1}, "tree": None} == draft.mixes
