"""Lines of a record: what is written is read, what is damaged is told, what is older is read."""

from __future__ import annotations

import json
from datetime import date
from typing import Any
from zlib import crc32

import pytest

from rootroom.problems import TextError
from rootroom.record.events import Event, decode, encode, event_from, holding
from tests.support.recording import event

DAY = date(2027, 3, 20)
HARD_TEXT = 'figs \u2028 " \\ \n 🪴 \udc80 <b>'


def test_a_line_is_json_with_the_sum_of_the_bytes_before_it() -> None:
    """The format of one line, byte by byte."""
    line = encode(Event("a1", DAY, "moved", {"plant": "Fig", "move": 1, "count": 16}, "Ana", DAY))
    body = (
        b'{"v":2,"id":"a1","by":"Ana","date":"2027-03-20","kind":"moved","session":"2027-03-20",'
        b'"plant":"Fig","move":1,"count":16'
    )

    assert body + b',"sum":"%08x"}\n' % crc32(body) == line


def test_text_of_any_kind_stays_on_one_line() -> None:
    """Line separators, quotes, half characters and pictures come back as they were."""
    note = event("note", text=HARD_TEXT)
    line = encode(note)

    assert 1 == line.count(b"\n")
    assert 1 == len(line.splitlines())
    assert note == decode(line[:-1])


def test_every_changed_byte_is_noticed() -> None:
    """A line with any one byte changed into any other is never read as something else."""
    line = encode(event("worked", minutes=95))[:-1]
    for place, byte in enumerate(line):
        for other in set(range(256)) - {byte}:
            with pytest.raises(TextError):
                decode(line[:place] + bytes([other]) + line[place + 1 :])


@pytest.mark.parametrize(
    ("raw", "kind", "data"),
    [
        (
            {"kind": "used", "mix": "tree", "scoops": 9, "scoop_l": 18.927},
            "used",
            {"mix": "tree", "l": 170.343},
        ),
        (
            {"kind": "blended", "mix": "tree", "batches": 1.5, "batch_l": 56.3},
            "blended",
            {"mix": "tree", "l": 84.45, "batches": 1.5},
        ),
        (
            {"kind": "moved", "plant": "Fig", "move": 1, "count": 0, "replaces": "old"},
            "taken back",
            {},
        ),
        ({"kind": "note", "text": "", "replaces": "old"}, "taken back", {}),
        (
            {"kind": "left", "mix": "tree", "scoops": 0, "scoop_l": 18.927},
            "left",
            {"mix": "tree", "l": 0.0},
        ),
        (
            {"kind": "bought", "supply": 3, "of": "bark", "packs": 2, "paid_cents": None},
            "bought",
            {"of": "bark", "packs": 2, "paid_cents": None, "supply": 3},
        ),
    ],
)
def test_the_first_version_is_read(raw: dict[str, Any], kind: str, data: dict[str, Any]) -> None:
    """Scoops and batches become litres, and a correction to nothing takes its event back."""
    head = {"v": 1, "id": "p1", "by": "k3", "date": "2027-03-20", "plan": "spring.toml"}
    read = event_from({**head, "session": None, **raw})

    assert (kind, data) == (read.kind, dict(read.data))
    assert (DAY, "k3") == (read.day, read.by)


@pytest.mark.parametrize(
    ("line", "code", "message"),
    [
        (b'{"v":2,"id":"a', "damaged-line", "not a whole line of a record"),
        (b"[1]", "damaged-line", "not an event"),
        (b"{}", "damaged-line", "no format version"),
        (b'{"v":3}', "newer-record", "a record of format 3; this version reads up to 2"),
        (b'{"v":1,"id":"a","kind":"note","date":"2027-02-30","text":""}', "damaged-line",
         "a date of an event is wrong"),
        (b'{"v":1,"id":"a","kind":"note","date":"2027-02-20"}', "damaged-line",
         "an event without 'text'"),
        (b'{"v":1,"id":"a","kind":"worked","date":"2027-02-20","minutes":-3}', "damaged-line",
         "`minutes` of `worked` cannot be -3"),
        (b'{"v":1,"id":"a","kind":"moved","date":"2027-02-20","plant":"F","move":0,"count":1}',
         "damaged-line", "`move` of `moved` cannot be 0"),
        (b"[" * 100_000, "damaged-line", "not a whole line of a record"),
    ],
)  # fmt: skip
def test_error_what_cannot_be_read_is_told(line: bytes, code: str, message: str) -> None:
    """Nothing raises anything but the reason in words."""
    with pytest.raises(TextError) as told:
        decode(line)

    assert (code, message) == (told.value.code, told.value.message)


def test_a_kind_of_a_later_version_is_kept() -> None:
    """An event of an unknown kind is read with all that it says."""
    body = b'{"v":2,"id":"a","by":"","date":"2027-03-20","kind":"dreamt","session":null,"of":[1]'
    read = decode(b'%s,"sum":"%08x"}' % (body, crc32(body)))

    assert ("dreamt", {"of": [1]}) == (read.kind, dict(read.data))


def test_error_data_may_not_hide_the_head() -> None:
    """An event whose data has a key of the head is a programming mistake."""
    with pytest.raises(ValueError, match="keys of the head"):
        encode(Event("a", DAY, "note", {"id": "x"}))


def test_error_event_that_could_not_be_read_again() -> None:
    """What would be lost when it is read is never written: a programming mistake."""
    with pytest.raises(ValueError, match="could not be read again: `move` of `moved` cannot be 0"):
        encode(event("moved", plant="Fig", move=0, count=1))


def test_the_last_correction_of_a_chain_holds() -> None:
    """Of 16, corrected to 15, corrected to 14, only 14 counts."""
    first = event("worked", name="a", minutes=16)
    second = event("worked", name="b", replaces="a", minutes=15)
    third = event("worked", name="c", replaces="b", minutes=14)

    assert [third] == holding([first, second, third])


def test_what_was_taken_back_is_gone() -> None:
    """Neither the event nor the taking back is left."""
    assert [] == holding([event("worked", name="a", minutes=1), event("taken back", replaces="a")])


def test_of_two_corrections_the_later_line_holds() -> None:
    """Two corrections of one event do not count twice."""
    first = event("worked", name="a", minutes=16)
    one, two = (event("worked", replaces="a", minutes=m) for m in (1, 2))

    assert [two] == holding([first, one, two])


def test_a_correction_of_what_is_not_there_stands_for_itself() -> None:
    """Half of a chain is better than nothing."""
    alone = event("worked", replaces="lost line", minutes=3)

    assert [alone] == holding([alone])


def test_a_circle_of_corrections_ends() -> None:
    """Two events that replace each other cancel out, whatever wrote them."""
    one = event("worked", name="a", replaces="b", minutes=1)
    two = event("worked", name="b", replaces="a", minutes=2)

    assert [] == holding([one, two])


def test_numbers_are_written_so_that_every_reader_agrees() -> None:
    """Not a number and infinity are no JSON, so they are refused."""
    with pytest.raises(ValueError, match="not JSON compliant"):
        encode(event("worked", minutes=float("nan")))
    assert 0.1 == json.loads(encode(event("worked", minutes=0.1)))["minutes"]
