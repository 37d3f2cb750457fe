"""The CSV list beside the plan on the desk: edited, undone, kept in the draft, saved, followed."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from rootroom.page import lists
from rootroom.page.desk import Desk
from rootroom.page.keeping import MOST_BYTES
from rootroom.problems import TextError

PLAN = """\
plants = [
  { name = "Old fig", count = 1, now = "half barrel", refresh = "1/3" },
  { rows = "plants.csv", mix = "tree" }, # ours
]
[garden]
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
[mixes.tree]
parts = { bark = 5, peat = 1 }
"""
LIST = (
    "\ufeffName;Count;now;to;by;our notes\r\n"
    '"Fig; old";18;#1;#3;last frost;from Ada\r\n;6;;#5;; \r\nBay; 2 ;#2;#3;last frost;x\r\n'
)
ROWS = ["plants", 1, "rows"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a plan with a list beside it."""
    found = tmp_path / "spring.toml"
    found.write_text(PLAN, "utf-8")
    found.with_name("plants.csv").write_bytes(LIST.encode())
    return found


def do(desk: Desk, what: str, **given: Any) -> None:
    """Do one thing in the first window."""
    desk.act("first", what, given)


def listed(path: Path) -> bytes:
    """Return what the list's file says."""
    return path.with_name("plants.csv").read_bytes()


def shown(desk: Desk) -> list[dict[str, Any]]:
    """Return the lines of the list as the page shows them."""
    rows = desk.state("first")["tables"]["plants"]
    return [row for row in rows if row.get("below") == "listed"]


def test_rows_are_shown_with_what_holds_for_all(path: Path) -> None:
    """Each row has its number in the spreadsheet, the plan's own columns, and what is usual."""
    rows = shown(Desk.open(path))

    assert [(*ROWS[:2], "rows", n) for n in (2, 3, 4)] == [row["path"] for row in rows]
    assert {"name": "Bay", "count": "2", "now": "#2", "to": "#3", "by": "last frost"} == (
        rows[2]["cells"]
    )
    assert {"mix": "tree"} == rows[2]["usual"]


def test_an_edit_is_answered_undone_and_saved_by_the_cell(path: Path) -> None:
    """The plan reads what is being written; nothing but the cell changes in the file."""
    desk = Desk.open(path)
    do(desk, "set", path=[*ROWS, 4, "count"], value="7")

    plan, _ = desk.plan()
    assert plan is not None
    assert [1, 18, 7] == list(plan.plants.counts)
    assert LIST.encode() == listed(path)
    do(desk, "undo")
    assert [1, 18, 2] == list(desk.plan()[0].plants.counts)  # type: ignore[union-attr]
    assert not path.with_name("spring.toml.draft").exists()
    do(desk, "redo")
    before = path.stat().st_mtime_ns
    do(desk, "save")
    assert LIST.replace(" 2 ", " 7 ").encode() == listed(path)
    assert (PLAN, before) == (path.read_text("utf-8"), path.stat().st_mtime_ns)
    do(desk, "undo")
    assert not desk.state("first")["saved"]
    do(desk, "save")
    assert LIST.encode() == listed(path)


def test_rows_are_added_and_taken_away(path: Path) -> None:
    """A new row goes last; a further move goes below its plant, and with its plant away."""
    desk = Desk.open(path)
    do(desk, "add", path=ROWS, key="name", value="Quince")
    do(desk, "set", path=[*ROWS, 5, "count"], value="4")
    do(desk, "further", path=[*ROWS, 2])
    do(desk, "set", path=[*ROWS, 4, "to"], value="#7")
    do(desk, "save")
    more = LIST.replace(";; \r\n", ';; \r\n"Fig; old";;;#7;;\r\n') + "Quince;4;;;;\r\n"
    assert more.encode() == listed(path)
    do(desk, "remove", path=[*ROWS, 2])
    do(desk, "save")
    assert LIST.splitlines()[0] in listed(path).decode()
    assert b"Fig" not in listed(path)
    assert b"#5" not in listed(path)


def test_a_new_name_goes_into_the_list_too(path: Path) -> None:
    """A mix or container under another name is that in the cells of the list as well."""
    text = LIST.replace("our notes", "mix").replace("from Ada", "tree").replace(";x", ";")
    path.with_name("plants.csv").write_bytes(text.encode())
    desk = Desk.open(path)
    do(desk, "rename", path=["mixes", "tree"], value="bark; mix")

    assert ["bark; mix", "", ""] == [row["cells"]["mix"] for row in shown(desk)]
    assert "error" not in {one["severity"] for one in desk.state("first")["problems"]}
    do(desk, "undo")
    assert ["tree", "", ""] == [row["cells"]["mix"] for row in shown(desk)]


def test_a_problem_stands_at_its_cell(path: Path) -> None:
    """Row and column of the list are the path, behind padded and quoted cells too."""
    desk = Desk.open(path)
    do(desk, "set", path=[*ROWS, 4, "to"], value="#33")
    do(desk, "set", path=[*ROWS, 2, "count"], value="many")
    found = {one["code"]: tuple(one["path"]) for one in desk.state("first")["problems"]}

    assert (*ROWS, 4, "to") == found["unknown-container"]
    assert (*ROWS, 2, "count") == found["bad-count"]


def test_the_draft_holds_the_list(path: Path) -> None:
    """A desk that was left without a word is found again, the half-typed cell set."""
    left = Desk.open(path)
    do(left, "set", path=[*ROWS, 4, "count"], value="7")
    do(left, "typing", typed='{"path":["plants",1,"rows",4,"to"]}', value="#5")
    do(left, "typing", typed='{"path":["plants",1,"rows"],"key":"listed"}', value="Quin")
    desk = Desk.open(path)
    assert desk.state("first")["offered"]
    do(desk, "draft")

    cells = [row["cells"] for row in shown(desk)]
    assert [("7", "#5"), ("", "")] == [(one["count"], one["to"]) for one in cells[2:]]
    assert "Quin" == cells[3]["name"]
    assert LIST.encode() == listed(path)


def test_a_list_that_nobody_edited_here_is_followed(path: Path) -> None:
    """What a spreadsheet saves is in the answers at the next look, with a word about it."""
    desk = Desk.open(path)
    number = desk.state("first")["number"]
    path.with_name("plants.csv").write_bytes(LIST.replace("18", "19").encode())
    short = desk.short_state("first")

    assert (True, []) == (short["number"] > number, short["elsewhere"])
    state = desk.state("first")
    assert "plants.csv was changed elsewhere, and is read anew." == state["told"]
    assert "19" == shown(desk)[0]["cells"]["count"]


def test_a_list_changed_here_and_elsewhere_keeps_both(path: Path) -> None:
    """It is noticed; saving needs a word, and then keeps the other text beside."""
    desk = Desk.open(path)
    do(desk, "set", path=[*ROWS, 4, "count"], value="7")
    other = LIST.replace("18", "19").encode()
    path.with_name("plants.csv").write_bytes(other)

    assert ["plants.csv"] == desk.state("first")["elsewhere"]
    with pytest.raises(TextError, match="changed elsewhere"):
        do(desk, "save")
    assert other == listed(path)
    do(desk, "save", beside=True)
    assert LIST.replace(" 2 ", " 7 ").encode() == listed(path)
    assert other == path.with_name("plants.csv.elsewhere-1").read_bytes()


def test_what_a_list_says_now_can_be_taken(path: Path) -> None:
    """Then what was written here is kept beside it."""
    desk = Desk.open(path)
    do(desk, "set", path=[*ROWS, 4, "count"], value="7")
    path.with_name("plants.csv").write_bytes(LIST.replace("18", "19").encode())
    do(desk, "take-file")

    assert "19" == shown(desk)[0]["cells"]["count"]
    assert LIST.replace(" 2 ", " 7 ").encode() == path.with_name("plants.csv.mine-1").read_bytes()
    assert desk.state("first")["saved"]


def test_both_files_are_written_or_none(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the second file is refused its name, the first one is as it was."""
    desk = Desk.open(path)
    do(desk, "set", path=[*ROWS, 4, "count"], value="7")
    do(desk, "set", path=["plants", 0, "count"], value="2")
    real = os.replace

    def refused(old: Any, new: Any) -> None:
        if Path(new) == path:
            raise OSError(28, "no space left")
        real(old, new)

    monkeypatch.setattr(os, "replace", refused)
    with pytest.raises(OSError, match="no space"):
        do(desk, "save")
    assert (LIST.encode(), PLAN) == (listed(path), path.read_text("utf-8"))
    monkeypatch.undo()
    assert ["plants.csv", "spring.toml", "spring.toml.draft"] == sorted(os.listdir(path.parent))
    do(desk, "save")
    assert b" 7 " in listed(path)
    assert "count = 2" in path.read_text("utf-8")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("plants.xlsx", b"PK\x03\x04", "save the sheet as CSV UTF-8 beside the plan"),
        ("plants.csv", b"#" * (MOST_BYTES + 1), "change it in a spreadsheet"),
        ("plants.csv", "näme,count\n".encode("cp1252"), "save the file as UTF-8"),
        ("plants.csv", b'name,count\n"Fig"x,2\n', "change it in a spreadsheet"),
    ],
)
def test_a_list_that_is_not_changed_here_says_what_to_do(
    path: Path, name: str, content: bytes, words: str
) -> None:
    """A spreadsheet, a list that is too long or broken: one line, and nothing is written."""
    path.write_text(PLAN.replace("plants.csv", name), "utf-8")
    path.with_name(name).write_bytes(content)
    desk = Desk.open(path)
    (told,) = (r for r in desk.state("first")["tables"]["plants"] if r.get("below") == "told")

    assert words in told["words"]
    with pytest.raises(TextError):
        do(desk, "set", path=[*ROWS, 2, "count"], value="3")
    assert content == path.with_name(name).read_bytes()


def test_a_long_list_is_shown_in_part(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first rows are shown; a line says how many there are, and where the others change."""
    monkeypatch.setattr(lists, "MOST_SHOWN", 2)
    desk = Desk.open(path)
    assert 2 == len(shown(desk))
    lines = desk.state("first")["tables"]["plants"]
    (told,) = (row["words"] for row in lines if row.get("below") == "told")
    assert told.startswith("These are 2 rows of 3 in plants.csv")


def test_error_a_column_that_is_not_there(path: Path) -> None:
    """A cell of a column that the list has not is refused with what to do."""
    with pytest.raises(TextError, match="no column `mix`") as refused:
        do(Desk.open(path), "set", path=[*ROWS, 2, "mix"], value="tree")
    assert "spreadsheet" in refused.value.hint
