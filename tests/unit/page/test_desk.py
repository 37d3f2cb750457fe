"""What lies on the desk: changes, their undoing, the draft, and a file changed elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from rootroom.page.desk import Desk
from rootroom.page.keeping import Work
from rootroom.problems import TextError

PLAN = (
    '# ours\r\nplants = [\r\n  { name = "Fig", count = 2, now = "#1", to = "#3" }, # one\r\n]\r\n'
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return the file of a small plan with line ends of Windows."""
    found = tmp_path / "spring.toml"
    found.write_bytes(PLAN.encode())
    return found


def do(desk: Desk, what: str, **given: Any) -> None:
    """Do one thing in the first window."""
    desk.act("first", what, given)


def beside(path: Path) -> list[str]:
    """Return the names of what else lies in the plan's folder."""
    return sorted(one.name for one in path.parent.iterdir() if one != path)


def test_nothing_is_written_before_it_is_saved(path: Path) -> None:
    """A change goes into the draft; saving writes the plan, all else as it was, and no draft."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "to"], value="#5")

    assert PLAN.encode() == path.read_bytes()
    assert ["spring.toml.draft"] == beside(path)
    do(desk, "save")
    assert PLAN.replace("#3", "#5").encode() == path.read_bytes()
    assert [] == beside(path)


def test_undo_and_redo_go_back_and_forth(path: Path) -> None:
    """Each change can be undone and made again; a new change ends what could be made again."""
    desk = Desk.open(path)
    for value in ("#5", "#7"):
        do(desk, "set", path=["plants", 0, "to"], value=value)
    do(desk, "undo")
    assert PLAN.replace("#3", "#5") == desk.text
    do(desk, "undo")
    assert PLAN == desk.text
    assert [] == beside(path)
    do(desk, "redo")
    assert PLAN.replace("#3", "#5") == desk.text
    do(desk, "set", path=["plants", 0, "count"], value="3")
    assert not desk.future


def test_a_draft_is_offered_and_what_was_being_typed_is_in_it(path: Path) -> None:
    """A desk that was left without a word is found again, the half-typed value set."""
    left = Desk.open(path)
    do(left, "set", path=["plants", 0, "count"], value="4")
    do(left, "typing", typed='{"path":["plants",0,"to"]}', value="12 in p")

    desk = Desk.open(path)
    assert desk.state("second")["offered"]
    assert PLAN == desk.text
    desk.act("second", "draft", {})
    assert PLAN.replace("2,", "4,").replace("#3", "12 in p") == desk.text


TYPED = {
    '{"path":["plants"],"key":"name"}': ("Bay", '{ name = "Bay" },'),
    '{"path":["mixes"],"key":"name"}': ("5:1:1", '[mixes."5:1:1"]'),
    '{"path":["plants",0,"mix"]}': ("tr", 'mix = "tr"'),
    '{"path":["work","days"]}': ("sat, su", 'days = ["sat", "su"]'),
    '{"path":[]}': ("# mine\n", "# mine\r\n"),
}


@pytest.mark.parametrize("typed", TYPED)
def test_whatever_was_being_typed_is_in_the_draft(path: Path, typed: str) -> None:
    """A value, a new row, a new mix, a list, the whole text: each is set as far as it was typed."""
    value, written = TYPED[typed]
    do(Desk.open(path), "typing", typed=typed, value=value)
    desk = Desk.open(path)
    do(desk, "draft")

    assert written in desk.text


def test_letters_that_a_browser_kept_go_into_the_draft(path: Path) -> None:
    """What was typed while no program was there is offered with the rest."""
    do(Desk.open(path), "typing", typed='{"path":["plants",0,"to"]}', value="12 in")
    desk = Desk.open(path)
    do(desk, "late", typed='{"path":["plants",0,"to"]}', value="12 in pot")
    assert ["spring.toml.draft"] == beside(path)
    do(desk, "draft")

    assert PLAN.replace("#3", "12 in pot") == desk.text


def test_a_draft_beside_a_file_that_changed_keeps_both(path: Path) -> None:
    """Going on with a draft of an older file keeps what the file says now beside it."""
    do(Desk.open(path), "set", path=["plants", 0, "count"], value="4")
    newer = PLAN.replace("Fig", "Quince").encode()
    path.write_bytes(newer)
    desk = Desk.open(path)
    assert not desk.state("first")["offered_new"]
    do(desk, "draft")
    do(desk, "save")

    assert PLAN.replace("2,", "4,").encode() == path.read_bytes()
    assert newer == path.with_name("spring.toml.elsewhere-1").read_bytes()


def test_a_draft_that_is_left_is_kept(path: Path) -> None:
    """Leaving it, or writing over it, keeps it beside the plan under another name."""
    do(Desk.open(path), "set", path=["plants", 0, "count"], value="4")
    do(Desk.open(path), "no-draft")
    assert ["spring.toml.old-draft-1"] == beside(path)
    do(Desk.open(path), "set", path=["plants", 0, "count"], value="5")
    do(Desk.open(path), "set", path=["plants", 0, "count"], value="6")

    assert ["spring.toml.draft", "spring.toml.old-draft-1", "spring.toml.old-draft-2"] == beside(
        path
    )


def test_a_damaged_draft_is_put_aside(path: Path) -> None:
    """A draft that cannot be read stops nothing and is not thrown away."""
    path.with_name("spring.toml.draft").write_text("{", "utf-8")
    desk = Desk.open(path)

    assert not desk.state("first")["offered"]
    assert "spring.toml.damaged-draft-1" in beside(path)


def test_a_file_changed_elsewhere_is_noticed_and_both_are_kept(path: Path) -> None:
    """Saving over it needs a word, and then keeps the other text beside."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "count"], value="4")
    other = PLAN.replace("Fig", "Quince").encode()
    path.write_bytes(other)

    assert desk.state("first")["elsewhere"]
    with pytest.raises(TextError, match="changed elsewhere"):
        do(desk, "save")
    assert other == path.read_bytes()
    do(desk, "save", beside=True)
    assert PLAN.replace("2,", "4,").encode() == path.read_bytes()
    assert other == path.with_name("spring.toml.elsewhere-1").read_bytes()


def test_what_the_file_says_now_can_be_taken(path: Path) -> None:
    """Then what was written here is kept beside, and can be undone to."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "count"], value="4")
    path.write_bytes(PLAN.replace("Fig", "Quince").encode())
    do(desk, "take-file")

    assert PLAN.replace("Fig", "Quince") == desk.text
    mine = path.with_name("spring.toml.mine-1").read_bytes()
    assert PLAN.replace("2,", "4,").encode() == mine
    do(desk, "undo")
    assert PLAN.replace("2,", "4,") == desk.text


def test_one_window_writes(path: Path) -> None:
    """A second window sees the plan and changes nothing until it takes the writing over."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "count"], value="4")
    assert not desk.state("second")["writes"]
    with pytest.raises(TextError, match="another window"):
        desk.act("second", "set", {"path": ["plants", 0, "count"], "value": "5"})
    desk.act("second", "pen", {})
    desk.act("second", "set", {"path": ["plants", 0, "count"], "value": "5"})

    assert PLAN.replace("2,", "5,") == desk.text
    assert not desk.state("first")["writes"]


def test_a_change_made_on_an_older_state_is_refused(path: Path) -> None:
    """Rows may have other numbers by then."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "count"], value="4", number=0)
    with pytest.raises(TextError, match="changed meanwhile"):
        do(desk, "remove", path=["plants", 0], number=0)


def test_a_variant_changes_places(path: Path) -> None:
    """What was set aside comes back, and the present state stands under its name."""
    desk = Desk.open(path)
    do(desk, "set-aside", name="small pots")
    do(desk, "set", path=["plants", 0, "to"], value="#7")
    do(desk, "take", name="small pots")

    assert PLAN == desk.text
    assert {"small pots": Work(PLAN.replace("#3", "#7"))} == desk.variants
    do(desk, "drop", name="small pots")
    assert {} == desk.variants


def test_problems_stand_at_their_cells(path: Path) -> None:
    """Each problem of the reader has the path of the value that is wrong."""
    desk = Desk.open(path)
    do(desk, "set", path=["plants", 0, "to"], value="#33")
    found = {one["code"]: one["path"] for one in desk.state("first")["problems"]}

    assert ("plants", 0, "to") == found["unknown-container"]
    assert [] == found["missing-dates"] or () == found["missing-dates"]


def test_a_plan_that_is_no_toml_opens_as_text(path: Path) -> None:
    """The text is there with what is wrong, and can be mended as text."""
    path.write_bytes(PLAN.replace("]\r\n", "\r\n").encode())
    desk = Desk.open(path)
    state = desk.state("first")

    assert not state["readable"]
    assert "unclosed" in {one["code"] for one in state["problems"]}
    do(desk, "whole", text=PLAN.replace("\r\n", "\n"))
    assert PLAN == desk.text


def test_a_plan_that_is_not_there_begins_empty(tmp_path: Path) -> None:
    """The file comes into being when it is saved."""
    desk = Desk.open(tmp_path / "new.toml")
    do(desk, "add", path=["plants"], key="name", value="Fig")
    do(desk, "add", path=["mixes"], key="name", value="5:1:1")
    do(desk, "save")

    assert 'plants = [\n  { name = "Fig" },\n]\n\n[mixes."5:1:1"]\n' == (
        tmp_path / "new.toml"
    ).read_text("utf-8")


def test_a_further_move_takes_the_first_along(path: Path) -> None:
    """A move that stands on the plant becomes the first of the list."""
    desk = Desk.open(path)
    do(desk, "further", path=["plants", 0])

    assert PLAN.replace('to = "#3"', 'moves = [ { to = "#3" }, {} ]') == desk.text


def test_another_programs_draft_is_kept(path: Path) -> None:
    """Two programs on one plan lose nothing of each other's drafts."""
    first, second = Desk.open(path), Desk.open(path)
    do(first, "set", path=["plants", 0, "count"], value="4")
    do(second, "set", path=["plants", 0, "count"], value="5")

    kept = path.with_name("spring.toml.old-draft-1").read_text("utf-8")
    assert "count = 4" in kept


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"\xff\xfea\x00", "not-text"),
        (b"a\xe9b", "not-utf-8"),
        (b"#" * 2_000_001, "file-too-large"),
    ],
)
def test_error_what_no_page_can_show_is_refused(path: Path, content: bytes, code: str) -> None:
    """A file that is no text, or too long, is not opened, and stays."""
    path.write_bytes(content)
    with pytest.raises(TextError) as refused:
        Desk.open(path)

    assert code == refused.value.code
    if code == "file-too-large":
        # By hand: which other way there is, and how to make the plan shorter.
        assert all(word in refused.value.hint for word in ("rootroom check", 'rows = "plants.csv"'))
    assert content == path.read_bytes()


def test_lists_of_words_are_written_with_commas(path: Path) -> None:
    """A cell shows and takes a list as words; what is longer stays TOML."""
    desk = Desk.open(path)
    do(desk, "set", path=["work", "days"], value="sat, wed")
    do(desk, "set", path=["work", "off"], value="2027-04-03")

    assert 'days = ["sat", "wed"]\r\noff = [2027-04-03]' in desk.text
    cells = desk.state("first")["tables"]["work"][0]["cells"]
    assert {"days": "sat, wed", "off": "2027-04-03"} == cells


def test_an_empty_plan_can_begin_with_the_example(tmp_path: Path) -> None:
    """The commented plan of `rootroom new` fills an empty desk, and no other."""
    desk = Desk.open(tmp_path / "new.toml")
    do(desk, "starter")
    written = desk.text
    assert desk.plan()[0] is not None
    do(desk, "set", path=["work", "people"], value="2")
    do(desk, "starter")

    assert written != desk.text
