"""Drawn edits of shipped plans and of an oddly written one: what must not change does not."""

from __future__ import annotations

import random
import re
import tomllib
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from rootroom.plan import editing
from rootroom.plan.toml import splicing
from rootroom.problems import TextError
from tests.unit.plan.test_editing import ODD

pytestmark = pytest.mark.property

FOLDER = Path(__file__).parents[2] / "plans"
TEXTS = {path.stem: path.read_text("utf-8") for path in sorted(FOLDER.glob("*.toml"))} | {
    "odd": ODD,
    "odd with a mark": "\ufeff" + ODD,
    "headers": """# all under headers
[[plants]] # one
name = "A" # its name
count = 2

# of the move
  [[plants.moves]]
  to = "#2" # here
  [[plants.moves]]
  to = "#3"
[[plants]] # two
name = 'B'

[work]
hours = 3 # a day
[mixes]
tree = { parts = { bark = 1, peat = 2, }, flex = "5 %" } # in braces
allround.parts.peat = 3 # dotted
""".replace("peat = 2, }", "peat = 2 }"),
}
VALUES = ("7", "a text", '"#5"', "2027-04-01", '[ "a, b", # c\n "d" ]', "{ low = 1, high = 2 }", "")
LISTS = ("plants", "moves", "supplies", "beds")
EDITS = 200


def paths(data: Any, path: editing.Path = ()) -> list[editing.Path]:
    """Return the path of everything in a plan."""
    if not isinstance(data, dict | list):
        return []
    inside = data if isinstance(data, dict) else range(len(data))
    return [p for key in inside for p in ((*path, key), *paths(data[key], (*path, key)))]


def outside(old: str, new: str) -> tuple[str, str]:
    """Return what two texts begin with alike, and what the rest of them ends with alike."""
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        end += 1
    return old[:start], old[len(old) - end :]


@pytest.mark.parametrize("name", TEXTS)
def test_what_is_set_back_is_as_it_was(name: str) -> None:
    """Only the value's own bytes change, and setting the old one again gives the same file."""
    draw = random.Random(name)
    text = TEXTS[name]
    for _ in range(EDITS // len(TEXTS) + 1):
        page = splicing.read(text)
        values = [path for path in paths(page.data) if page.is_value(path)]
        path = draw.choice(values)
        raw, value = page.text[slice(*page.scan.values[path])], draw.choice(VALUES)

        new = editing.set_value(text, path, value)

        before, after = outside(text, new)
        plain = (before + after).removeprefix("\ufeff").replace("\r\n", "\n")
        start, end = page.scan.values[path]
        assert page.text[:start] == plain[:start]
        assert page.text[end:] == plain[len(plain) - len(page.text) + end :]
        if raw == editing.toml_value(raw, str(path[-1])):
            assert text == editing.set_value(new, path, raw)


@pytest.mark.parametrize("name", TEXTS)
def test_drawn_edits_one_after_the_other_keep_all_else(name: str) -> None:
    """Rows are added and taken away again without a trace, and any edit leaves what it should.

    What an edit says is compared with what was meant inside; here, that all else stays written.
    """
    draw = random.Random(name)
    text = TEXTS[name]
    for number in range(EDITS):
        data = splicing.read(text).data
        found = paths(data)
        lists = [p for p in found if p[-1] in LISTS and isinstance(at(data, p), list)]
        rows = [(*path, index) for path in lists for index in range(len(at(data, path)))]
        choice = draw.randrange(4)
        if choice == 0 and len(rows) > 4:
            row = draw.choice(rows)
            with suppress(TextError):  # a row whose parts stand in several places
                text = editing.move_row(text, row, draw.randrange(len(at(data, row[:-1]))))
        elif choice == 1 and lists:
            path = draw.choice(lists)
            index = draw.randrange(len(at(data, path)) + 1)
            grown = editing.add_row(text, path, {"name": f"new {number}"}, index)
            assert noted(text) == noted(grown)
            shrunk = editing.remove(grown, (*path, index))
            assert text == shrunk or index == len(at(data, path))
            text = grown
        elif choice == 2:
            tables = [path for path in found if isinstance(at(data, path), dict)]
            where = (*draw.choice(tables), f"key {number}")
            grown = editing.set_value(text, where, draw.choice(VALUES[:4]))
            assert noted(text) == noted(grown)
            text = editing.remove(grown, where)
            assert splicing.read(text).data == data
        elif len(rows) > 4:
            text = editing.remove(text, draw.choice(rows))
        tomllib.loads(text.removeprefix("\ufeff"))


def noted(text: str) -> list[str]:
    """Return the comments of a text."""
    bare = [re.sub("\"[^\"]*\"|'[^']*'", "", line) for line in text.splitlines()]
    return [line.partition("#")[2] for line in bare if "#" in line]


def at(data: Any, path: editing.Path) -> Any:
    """Return what stands at a path."""
    for step in path:
        data = data[step]
    return data
