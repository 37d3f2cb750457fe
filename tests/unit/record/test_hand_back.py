"""What a phone hands back is read once, whole or in part."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from attrs import evolve

from rootroom.record.apply import replay
from rootroom.record.file import append, read_record
from rootroom.record.noting.hand_back import read_hand_back, with_listed
from rootroom.sheets.problems import render_problems
from tests.support.plans import group, mix, move, plan, pot
from tests.support.recording import event

HEAD = {
    "v": 1, "kind": "hand back", "plan": "by-hand.toml", "digest": "3f9a", "by": "k1",
    "name": "Ana", "events": 2,
}  # fmt: skip
PLAN = plan([group("Fig", 18, move(pot("#1", 2.0), pot("#3", 9.0)))], [mix("tree", {"bark": 1})])


def told(number: int, by: str = "k1", **more: object) -> dict[str, object]:
    """Return an event of a phone: plants that it moved."""
    return {
        "v": 1, "id": f"{by}-{number}", "by": by, "date": "2027-03-20", "kind": "moved",
        "plan": "by-hand.toml", "session": "2027-03-20", "plant": "Fig", "move": 1, "count": 5,
        **more,
    }  # fmt: skip


def written(path: Path, *lines: dict[str, object]) -> Path:
    """Write lines as a phone does."""
    path.write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")
    return path


def test_a_hand_back_is_read(tmp_path: Path) -> None:
    """Plan, helper and events; session and day of each."""
    read = read_hand_back(written(tmp_path / "a.jsonl", HEAD, told(1), told(2)))

    assert ("by-hand.toml", "Ana", ()) == (read.plan, read.name, read.problems)
    assert ["k1-1", "k1-2"] == [one.id for one in read.events]
    assert date(2027, 3, 20) == read.events[0].session


def test_a_file_read_twice_counts_once(tmp_path: Path) -> None:
    """So does one that was handed back again later, with more in it."""
    record = tmp_path / "by-hand.record.jsonl"
    first = read_hand_back(written(tmp_path / "a.jsonl", HEAD, told(1), told(2)))
    later = read_hand_back(written(tmp_path / "b.jsonl", HEAD, told(1), told(2), told(3)))
    for events in (first.events, first.events, later.events):
        append(record, events)

    assert 15 == replay(PLAN, read_record(record).events).done["Fig", 1]


def test_a_session_that_was_done_a_day_late_has_fetched_its_own_list() -> None:
    """Saturday's work was done on Sunday: Saturday's bag was bought, then, and not Sunday's."""
    saturday, sunday = date(2027, 3, 20), date(2027, 3, 21)
    row = {"kind": "move", "name": "Fig", "number": 1, "count": 9, "mix": "tree", "l": 70.0}
    posted = event(
        "planned",
        date(2027, 3, 1),
        sessions=[{"day": day.isoformat(), **row} for day in (saturday, sunday)],
        goods=[
            {"of": "bark", "packs": 1, "cents": 640, "day": saturday.isoformat()},
            {"of": "peat", "packs": 2, "cents": 3040, "day": sunday.isoformat()},
        ],
    )
    done = evolve(event("session", sunday, state="done"), session=saturday)
    told = with_listed(PLAN, [posted], [done])
    unbound = with_listed(PLAN, [posted], [event("session", sunday, state="done")])

    assert [(sunday, "bark", 640)] == [
        (one.day, one.data["of"], one.data["paid_cents"]) for one in told if one.kind == "bought"
    ]
    assert ["peat"] == [one.data["of"] for one in unbound if one.kind == "bought"]


def test_two_helpers_add_up(tmp_path: Path) -> None:
    """Each phone tells of its own work only."""
    ours = read_hand_back(written(tmp_path / "a.jsonl", HEAD, told(1)))
    theirs = read_hand_back(written(tmp_path / "b.jsonl", {**HEAD, "by": "k2"}, told(1, "k2")))

    assert 10 == replay(PLAN, (*ours.events, *theirs.events)).done["Fig", 1]


def test_a_correction_on_the_phone_replaces(tmp_path: Path) -> None:
    """Five, then seven; then none at all."""
    seven = told(2, replaces="k1-1", count=7)
    none = told(3, replaces="k1-2", count=0)
    read = read_hand_back(written(tmp_path / "a.jsonl", told(1), seven))
    taken_back = read_hand_back(written(tmp_path / "b.jsonl", told(1), seven, none))

    assert 7 == replay(PLAN, read.events).done["Fig", 1]
    assert {} == replay(PLAN, taken_back.events).done


def test_a_text_that_was_cut_short_is_told(tmp_path: Path) -> None:
    """What is whole is used, and what is missing is counted."""
    path = written(tmp_path / "a.jsonl", {**HEAD, "events": 4}, told(1), told(2))
    path.write_bytes(path.read_bytes()[:-9])
    read = read_hand_back(path)

    assert ["k1-1"] == [one.id for one in read.events]
    assert ["damaged-line", "cut-hand-back"] == [one.code for one in read.problems]
    assert "the text was cut short: 2 of 4 events are missing" == read.problems[1].message


def test_a_text_pasted_into_another_editor_is_read(tmp_path: Path) -> None:
    """A mark at the beginning, empty lines and other line ends change nothing."""
    lines = [json.dumps(one) for one in (HEAD, told(1), told(2))]
    path = tmp_path / "a.txt"
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n\r\n".join(lines).encode())
    read = read_hand_back(path)

    assert (2, ()) == (len(read.events), read.problems)


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x00\n\x01", b"[" * 100_000, b"1\n2\n3\n"])
def test_error_another_file_is_refused(content: bytes, tmp_path: Path) -> None:
    """A file that is no hand-back gives no events and one error, however many lines it has."""
    path = tmp_path / "a.jsonl"
    path.write_bytes(content)

    assert (
        f"{path}:1:1: error: neither a phone's hand-back nor a record [no-hand-back]\n"
        "\nhint: hand over the file that the phone page saved\n\n1 error\n"
    ) == render_problems(read_hand_back(path).problems)


def test_error_what_is_no_file_is_not_read(tmp_path: Path) -> None:
    """No file, a folder and a file beyond any hand-back are told in a line each."""
    large = tmp_path / "large.jsonl"
    with large.open("wb") as file:
        file.truncate(60_000_000)
    told = [read_hand_back(path).problems for path in (tmp_path / "none", tmp_path, large)]

    assert [
        ("no-file", "there is no such file"),
        ("not-a-file", "this is a folder, not a file"),
        ("file-too-large", "a phone's hand-back has at most 50 MB, this one 60 MB"),
    ] == [(one.code, one.message) for (one,) in told]


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="a device of POSIX")
def test_error_endless_device_is_not_read() -> None:
    """A device that never ends is refused before it is read."""
    (problem,) = read_hand_back(Path("/dev/zero")).problems

    assert ("not-a-file", "this is a device or a pipe, not a file") == (
        problem.code,
        problem.message,
    )
