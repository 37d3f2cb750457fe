"""Drawn changes on the page's desk: any of them can be shown and undone, whatever they break."""

from __future__ import annotations

import json
import random
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from rootroom.page.desk import Desk
from rootroom.plan.tables.csv_splicing import read_list_text
from rootroom.plan.toml import splicing
from rootroom.problems import TextError
from tests.property.test_plan_editing import TEXTS, at, noted, paths

pytestmark = pytest.mark.property

ACTS = 70
WORDS = ("", "7", "#5", "12 in pot", "last frost", "<b>", "a, b", '"quoted" text', "{ a = 1 }", "½")


def drawn(draw: random.Random, data: Any) -> tuple[str, dict[str, Any]]:
    """Return something to do on a plan, sensible or not."""
    found = paths(data) or [("plants",)]
    path = draw.choice(found)
    value = draw.choice(WORDS)
    what = draw.choice(("set", "set", "set", "add", "remove", "move", "further", "rename", "undo"))
    given = {"path": list(path), "value": value, "to": draw.randrange(4)}
    if what == "add":
        table = draw.choice(("plants", "supplies", "beds", "mixes", "suppliers"))
        given |= {"path": [table], "key": "name" if table != "supplies" else "of"}
    if what in ("move", "further"):
        rows = [
            p for p in found if p[-1] in ("plants", "supplies") and isinstance(at(data, p), list)
        ]
        if rows:
            given["path"] = [*draw.choice(rows), draw.randrange(3)]
    if what == "rename":
        given["path"] = ["mixes", draw.choice([*data.get("mixes", {}), "none"])]
    return what, given


@pytest.mark.parametrize("name", TEXTS)
def test_every_change_is_shown_and_undone(name: str, tmp_path: Path) -> None:
    """After any changes the state is JSON, problems stand at paths that are there, undo ends it."""
    draw = random.Random(name)
    path = tmp_path / "plan.toml"
    path.write_bytes(TEXTS[name].encode())
    desk = Desk.open(path)
    for _ in range(ACTS):
        data = splicing.read(desk.text).data
        what, given = drawn(draw, data)
        with suppress(TextError):
            desk.act("w", what, given)
        state = json.loads(json.dumps(desk.state("w")))
        assert state["readable"]
        for problem in state["problems"]:
            at(splicing.read(desk.text).data, tuple(problem["path"]))
    while desk.past:
        desk.act("w", "undo", {})

    assert TEXTS[name].encode() == desk.text.encode() == path.read_bytes()
    assert not desk.kept.draft_path.exists()


LISTED = """\
# a plan with a list
plants = [
  { rows = "plants.csv", mix = "tree" }, # ours
  { name = "Bay", count = 3, now = "#2", to = "#3", mix = "tree" }, # from Ada
]
[garden] # the yard
last_frost = 2027-04-12
[mixes.tree] # for trees
parts = { bark = 5, peat = 1 }
"""
ROWS = (
    "\ufeff# no;Name;Count;now;to;our notes\r\n1;Fig;2;#1;#3;from Ada, never cold\r\n"
    '2;"Lemon; old"; 1 ;#5;#7;"# no, ""yes"""\r\n3;;;;#10;\r\n'
)


def test_plan_and_list_keep_all_but_the_edited_cells(tmp_path: Path) -> None:
    """200 drawn edits of both: comments and every byte outside of the edited cell stay."""
    draw = random.Random("plan and list")
    path = tmp_path / "plan.toml"
    path.write_text(LISTED, "utf-8")
    path.with_name("plants.csv").write_bytes(ROWS.encode())
    desk = Desk.open(path)
    made = 0
    while made < 200:
        desk.state("w")
        work = desk.whole_work(desk.work)
        text = work.lists["plants.csv"]
        value = draw.choice(WORDS)
        if draw.random() < 0.5:
            page = read_list_text(text)
            row = draw.randrange(2, len(page.rows) + 1)
            column = draw.choice(("name", "count", "now", "to"))
            at_cell = page.rows[row - 1].cells[page.columns.index(column)]
            desk.act("w", "set", {"path": ["plants", 0, "rows", row, column], "value": value})
            new = desk.whole_work(desk.work)
            assert new.text == work.text
            assert new.lists["plants.csv"].startswith(text[: at_cell.start])
            assert new.lists["plants.csv"].endswith(text[at_cell.end :])
        else:
            where = draw.choice((["plants", 1, "to"], ["plants", 1, "count"], ["garden", "name"]))
            with suppress(TextError):
                desk.act("w", "set", {"path": where, "value": value})
            new = desk.whole_work(desk.work)
            assert new.lists["plants.csv"] == text
            assert noted(work.text) == noted(new.text)
        made += 1
    desk.act("w", "save", {})
    while desk.past:
        desk.act("w", "undo", {})
    desk.act("w", "save", {})

    assert (LISTED.encode(), ROWS.encode()) == (
        path.read_bytes(), path.with_name("plants.csv").read_bytes(),
    )  # fmt: skip
