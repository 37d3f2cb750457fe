"""Every number, date and row of a line is bounded where it is read, and the rest counts."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
from attrs import evolve

from rootroom.problems import TextError
from rootroom.record.events import decode
from rootroom.record.file import append, line_name, read_record
from rootroom.record.noting.hand_back import read_hand_back
from tests.support.plans import group, move, plan, pot, work
from tests.support.recording import DAY, event, moved

PLAN = plan([group("Fig", 18, move(pot("#1", 2.0), pot("#3", 9.0)))])
PLAN = evolve(PLAN, work=work(first=date(2027, 3, 6), last=date(2027, 6, 6)))
ROW = {"day": "2027-03-20", "kind": "move", "name": "Fig", "number": 1, "count": 3}
MIX = {"mix": "tree", "ready": 0.5, "parts": {"peat": "1"}}
GOOD = {"of": "peat", "packs": 2, "cents": 300}


def line(kind: str, number: int = 1, day: str = "2027-03-20", **data: Any) -> bytes:
    """Return a line whose checksum fits, whatever it says."""
    head = {"v": 2, "id": f"x{number}", "by": "", "date": day, "kind": kind, "session": None}
    body = json.dumps({**head, **data}, separators=(",", ":"))[:-1].encode()
    return b'%s,"sum":"%08x"}' % (body, crc32(body))


BAD = [
    line("moved", plant="Fig", move=1, count=10**400),
    line("moved", plant="Fig", move=10**400, count=1),
    line("moved", plant="Fig\x1b[2J", move=1, count=1),
    line("moved", plant="F" * 501, move=1, count=1),
    line("lost", plant="Fig", move=1, count=True),
    line("counted", plant="Fig", move=1, count=10_000_001),
    line("used", mix="tree", l=1e308),
    line("used", mix="tree", l=float("nan")),
    line("blended", mix="tree", l=1, loose_l={"peat": 1e308}),
    line("worked", minutes=10_081),
    line("bought", of="peat", packs=1, paid_cents=10**12),
    line("bought", of="peat", packs=10**400, paid_cents=None),
    line("bought", of="peat", packs=1, paid_cents=None, supply=0),
    line("measured", what="colour", of="", value=1),
    line("measured", what="packing", of="", value=1.2, times=10**9),
    line("filled", bed="South", layer=1, share=1.5),
    line("postponed", until="9999-12-31", reason=""),
    line("postponed", until="2199-12-31", reason=""),
    line("day off", day="2027-3-20", reason=""),
    line("note", day="9999-12-31", text=""),
    line("note", day="2025-03-20", text=""),
    line("planned", sessions=[1]),
    line("planned", sessions=[{"day": "2027-03-20"}]),
    line("planned", sessions=[{**ROW, "count": -1}]),
    line("planned", sessions=[{**ROW, "mix": "tree"}]),
    line("planned", sessions=[{**ROW, "day": "2190-01-01"}]),
    line("planned", sessions=[ROW], goods=[{"of": "peat"}]),
    line("planned", sessions=[ROW], goods=[{**GOOD, "cents": 1e308}]),
    line("planned", sessions=[ROW], goods={}),
    line("planned", sessions=[ROW], mixes=[{**MIX, "bags": ["2027-03-20"]}]),
    line("planned", sessions=[ROW], mixes=[{**MIX, "bags": {"some day": 1.0}}]),
    line("planned", sessions=[ROW], mixes=[{**MIX, "bags": {"2027-03-20": "much"}}]),
]


@pytest.mark.parametrize("bad", BAD, ids=range(len(BAD)))
def test_a_line_beyond_all_bounds_is_set_aside(tmp_path: Path, bad: bytes) -> None:
    """It is told by its number, what stands before and after it counts, and nothing hides in it."""
    path = tmp_path / "spring.record.jsonl"
    append(path, [moved("Fig", 1, 3, name="a")])
    path.write_bytes(path.read_bytes() + bad + b"\n")
    append(path, [moved("Fig", 1, 4, name="b")])
    read = read_record(path, PLAN)

    assert ["a", "b"] == [one.id for one in read.events]
    (problem,) = read.problems
    assert 2 == problem.where.line
    assert problem.message.isprintable()
    assert {"x1": 2, "line 2": 2} == read.set_aside


@pytest.mark.parametrize("name", ["x1", line_name(2)])
def test_a_line_that_cannot_be_used_can_be_taken_back(tmp_path: Path, name: str) -> None:
    """By its id or by its number; then nothing more is told of it."""
    path = tmp_path / "spring.record.jsonl"
    append(path, [moved("Fig", 1, 3, name="a")])
    path.write_bytes(path.read_bytes() + BAD[0] + b"\n")
    append(path, [event("taken back", replaces=name)])

    assert () == read_record(path, PLAN).problems


def test_a_line_that_is_told_again_is_no_problem_any_more(tmp_path: Path) -> None:
    """A later line of the same id, within bounds, stands in for the one that was set aside."""
    path = tmp_path / "spring.record.jsonl"
    path.write_bytes(BAD[0] + b"\n" + line("moved", plant="Fig", move=1, count=3) + b"\n")
    read = read_record(path, PLAN)

    assert (["x1"], ()) == ([one.id for one in read.events], read.problems)


@pytest.mark.parametrize("lines", [[b'1,{"v":2,"id":"a","sum":"%s"}'], [b'{"v":2,"id":{"a":1}']])
def test_lines_that_would_join_are_read_apart(tmp_path: Path, lines: list[bytes]) -> None:
    """Lines with fitting sums that are JSON only together are damaged each."""
    path = tmp_path / "spring.record.jsonl"
    sealed = []
    for text in [*lines, b'"z":1']:
        body = text.partition(b',"sum"')[0]
        sealed.append(b'%s,"sum":"%08x"}' % (body, crc32(body)))
    path.write_bytes(b"\n".join(sealed) + b"\n")

    assert () == read_record(path).events


def test_error_unknown_kind_that_is_no_json() -> None:
    """What could not be written again is not read: an infinite number of a later version."""
    with pytest.raises(TextError):
        decode(line("dreamt", of=float("inf")))


def test_a_phone_with_a_wrong_clock_is_told(tmp_path: Path) -> None:
    """The line, the date, and how to take it in on the right day; `on` takes it in."""
    path = tmp_path / "a.jsonl"
    head = {"v": 1, "by": "k1", "kind": "moved", "plan": "x.toml", "session": "2027-03-20",
            "plant": "Fig", "move": 1, "count": 5}  # fmt: skip
    days = ("2027-03-20", "1970-01-01", "2027-09-09")
    rows = [{**head, "id": f"p{n}", "date": day} for n, day in enumerate(days)]
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), "utf-8")
    told = read_hand_back(path, PLAN)

    assert ["p0"] == [one.id for one in told.events]
    assert [
        (2, "the phone's clock was wrong: 1970-01-01, `moved`"),
        (3, "the phone's clock was wrong: 2027-09-09, `moved`"),
    ] == [(one.where.line, one.message) for one in told.problems]
    assert all("with --on and the right day" in one.hint for one in told.problems)

    on = read_hand_back(path, PLAN, DAY)
    assert ([DAY] * 3, ()) == ([one.day for one in on.events], on.problems)
