"""Drawn changes on the page's desk: any of them can be shown and undone, whatever they break."""

from __future__ import annotations

import json
import random
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from rootroom.page.desk import Desk
from rootroom.plan.toml import splicing
from rootroom.problems import TextError
from tests.property.test_plan_editing import TEXTS, at, paths

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
