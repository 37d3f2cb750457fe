"""The record's file: added to by several at once, killed at any byte, on a full disk, damaged."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from rootroom.record import record_path
from rootroom.record.events import Event, encode
from rootroom.record.file import Record, append, read_record
from rootroom.sheets.problems import render_problems
from tests.support.patience import PATIENCE_S
from tests.support.recording import DAY, event, moved

KILLS = 500
TENTH = 10


def numbered(number: int) -> Event:
    """Return an event that says which one it is."""
    return event("note", name=f"n{number}", text=f"note {number} " + "x" * (number % 97))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where a record will lie."""
    return tmp_path / "spring.record.jsonl"


def test_the_record_lies_beside_the_plan() -> None:
    """Its name is the plan's with another ending."""
    assert Path("a/spring.record.jsonl") == record_path("a/spring.toml")


def test_no_record_is_an_empty_one(path: Path) -> None:
    """A plan without a record has none, and nothing is made by reading."""
    assert Record(str(path), ()) == read_record(path)
    assert not path.exists()


def test_what_is_added_is_read_in_its_order(path: Path) -> None:
    """Events come back as they were, with the number of their line."""
    events = [moved("Fig", 1, 3), event("worked", minutes=30), event("note", text="☔")]
    append(path, events[:1])
    append(path, events[1:])
    read = read_record(path)

    assert (events, ()) == (list(read.events), read.problems)
    assert [1, 2, 3] == [one.line for one in read.events]


def test_a_record_is_only_added_to(path: Path) -> None:
    """Every earlier byte stays what it was."""
    before = b""
    for number in range(5):
        append(path, [numbered(number)])
        content = path.read_bytes()
        assert content.startswith(before)
        before = content


def test_an_event_counts_once(path: Path) -> None:
    """Lines with an id that was there are counted and left out."""
    append(path, [numbered(1), numbered(2)])
    append(path, [numbered(1)])
    read = read_record(path)

    assert (2, 1) == (len(read.events), read.repeated)


def test_a_damaged_line_is_told_and_the_rest_is_used(path: Path) -> None:
    """The report names the line, shows it, and says what to do; the whole text is checked."""
    append(path, [numbered(number) for number in range(3)])
    lines = path.read_bytes().splitlines(keepends=True)
    lines[1] = lines[1].replace(b"note 1 ", b"note 7 ")
    path.write_bytes(b"".join(lines))
    read = read_record(path)
    shown = lines[1].decode()[:59] + "…"

    assert ["n0", "n2"] == [one.id for one in read.events]
    assert (
        f"{path}:2:1: warning: its checksum does not fit its text [damaged-line]\n"
        f"    {shown}\n    {'^' * 60}\n\n"
        "hint: the line is left out, everything else is used; note again what it told;\n"
        '      `record --take-back "line 2"` ends this notice\n\n'
        "1 warning\n"
    ) == render_problems(read.problems)


def test_a_line_of_another_program_is_told(path: Path) -> None:
    """Text that is no event at all, even no text, harms nothing else."""
    append(path, [numbered(1)])
    with path.open("ab") as file:
        file.write(b"\xff\xfe\x00 hello\n\n   \n")
    append(path, [numbered(2)])
    read = read_record(path)

    assert ["n1", "n2"] == [one.id for one in read.events]
    assert [("damaged-line", 2)] == [(one.code, one.where.line) for one in read.problems]


def test_a_record_cut_at_any_byte_opens(path: Path) -> None:
    """Whatever the length, all whole lines count, at most the last is missing, and it is told."""
    events = [numbered(number) for number in range(4)]
    append(path, events)
    content = path.read_bytes()
    ends = [sum(len(encode(one)) for one in events[:n]) for n in range(5)]
    for length in range(len(content) + 1):
        path.write_bytes(content[:length])
        read = read_record(path)
        whole = sum(end <= length + 1 for end in ends[1:])  # only the line end may be missing
        cut = length not in ends and length + 1 not in ends

        assert events[:whole] == list(read.events)
        assert ["cut-line"] * cut == [one.code for one in read.problems]


def test_a_cut_line_is_followed_by_a_whole_one(path: Path) -> None:
    """The next event begins on a line of its own, whether the cut one was complete or not."""
    line = encode(numbered(2))
    for length in range(1, len(line)):
        path.write_bytes(encode(numbered(1)) + line[:length])
        append(path, [numbered(3)])
        read = read_record(path)

        wanted = ["n1", "n2", "n3"] if length == len(line) - 1 else ["n1", "n3"]
        assert wanted == [one.id for one in read.events]
        assert len(wanted) == 3 or [2] == [one.where.line for one in read.problems]


def test_the_first_version_opens(path: Path) -> None:
    """A record of the first version goes on in the second."""
    path.write_text(
        '{"v":1,"id":"a","by":"k1","date":"2026-03-20","kind":"moved","plan":"spring.toml",'
        '"session":"2026-03-20","plant":"Fig","move":1,"count":3}\n'
        '{"v":1,"id":"b","by":"k1","date":"2026-03-20","kind":"used","plan":"spring.toml",'
        '"session":"2026-03-20","mix":"tree","scoops":2.5,"scoop_l":10}\n'
    )
    append(path, [event("worked", DAY, name="c", minutes=10)])
    read = read_record(path)

    assert ((), ["a", "b", "c"]) == (read.problems, [one.id for one in read.events])
    assert {"mix": "tree", "l": 25.0} == read.events[1].data


# Killed, full, shared


KILLER = """
import json, os, random, signal, sys
from rootroom.record import file
from tests.unit.record.test_file import TENTH, numbered

def killed(path, first, after_bytes):
    told, tell = os.pipe()
    child = os.fork()
    if child == 0:
        whole, left = os.write, after_bytes
        def few_bytes(descriptor, data):
            # A few bytes at a time, as a system may take them, so that kills fall within lines.
            nonlocal left
            taken = whole(descriptor, bytes(data)[: min(7, left)])
            left -= taken
            if not left:
                os.kill(os.getpid(), signal.SIGKILL)
            return taken
        file.os.write = few_bytes
        for number in range(first, first + 1000):
            file.append(path, [numbered(number)])
            whole(tell, b".")
    os.close(tell)
    os.waitpid(child, 0)
    confirmed = len(os.read(told, 4096))
    os.close(told)
    return confirmed

folder, kills = sys.argv[1], int(sys.argv[2])
chance, number = random.Random(20270320), 0
for kill in range(kills):
    path = f"{folder}/{kill // TENTH}.record.jsonl"
    done = killed(path, number, chance.randint(1, 700))
    read = file.read_record(path)
    print(json.dumps({
        "first": number, "confirmed": done, "ids": [event.id for event in read.events],
        "codes": [problem.code for problem in read.problems],
        "whole": open(path, "rb").read()[-1:] in (b"\\n", b""),
    }))
    number += done + 1
"""


def test_killed_at_500_random_points(tmp_path: Path) -> None:
    """After each kill nothing confirmed is lost, at most the line being written is, and it is said.

    The killed process adds events one by one, and is killed after a random number of bytes.
    A line that was cut is told as the last one first, and as a damaged line of its number later.
    Every tenth kill a new record is begun. A small process forks faster than this one.
    """
    done = subprocess.run(
        [sys.executable, "-c", KILLER, str(tmp_path), str(KILLS)],
        cwd=Path(__file__).parents[3], capture_output=True, check=True, text=True,
    )  # fmt: skip
    kills = [json.loads(line) for line in done.stdout.splitlines()]
    confirmed: list[str] = []
    cut = all_cut = 0
    for place, kill in enumerate(kills):
        if place % TENTH == 0:
            confirmed, all_cut, cut = [], all_cut + cut, 0
        first, many, ids, codes = (kill[key] for key in ("first", "confirmed", "ids", "codes"))
        confirmed += [f"n{n}" for n in range(first, first + many)]

        assert confirmed == ids[: len(confirmed)]
        # The next one was written but for its line end, or whole, when the kill came.
        assert ids[len(confirmed) :] in ([], [f"n{first + many}"])
        lost = len(ids) == len(confirmed) and not kill["whole"]
        assert cut + lost == len(codes)
        assert not lost or codes[-1] == "cut-line"
        cut, confirmed = len(codes), ids

    assert len(kills) == KILLS
    assert kills[-1]["first"] > 2 * KILLS
    assert all_cut > KILLS / 2


@pytest.fixture
def file_limit() -> Iterator[Callable[[int], None]]:
    """Return how to let no file grow beyond so many bytes, as on a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    yield lambda most: resource.setrlimit(resource.RLIMIT_FSIZE, (most, hard))
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_error_a_full_disk_loses_nothing(path: Path, file_limit: Callable[[int], None]) -> None:
    """Full at any byte of a line: it is refused, everything before is there, the next one fits."""
    line = encode(numbered(9))
    for room in range(len(line)):
        path.unlink(missing_ok=True)
        append(path, [numbered(1), numbered(2)])
        file_limit(path.stat().st_size + room)
        with pytest.raises(OSError, match="too large") as refused:
            append(path, [numbered(9)])
        assert str(path) == refused.value.filename
        file_limit(resource.RLIM_INFINITY)
        read = read_record(path)

        assert ", nothing was noted" in refused.value.strerror
        assert (["n1", "n2"], ()) == ([one.id for one in read.events], read.problems)
        append(path, [numbered(10)])
        assert "n10" in {event.id for event in read_record(path).events}


@pytest.mark.parametrize(
    ("cut", "told", "ids"),
    [
        (True, "nothing was noted", ["n1"]),
        (False, "and the note may be in the record or not: `record --list` shows it", ["n1", "n2"]),
    ],
)
def test_error_a_disk_that_does_not_confirm(
    path: Path, monkeypatch: pytest.MonkeyPatch, cut: bool, told: str, ids: list[str]
) -> None:
    """A line that was not forced to disk is taken out again, or it is said that it may stay."""
    append(path, [numbered(1)])

    def refused(*_: object) -> None:
        raise OSError(5, "Input/output error")

    failing = iter([True, False])
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda d: refused() if next(failing) else real(d))
    if not cut:
        monkeypatch.setattr(os, "ftruncate", refused)
    with pytest.raises(OSError, match=told):
        append(path, [numbered(2)])

    assert ids == [one.id for one in read_record(path).events]


WRITER = """
import sys
from datetime import date
from rootroom.record.events import Event
from rootroom.record.file import append
path, who = sys.argv[1:]
for n in range(200):
    append(path, [Event(f"{who}{n}", date(2027, 3, 20), "note", {"text": who * (n % 50)})])
"""


def test_two_processes_at_once(path: Path) -> None:
    """Both add 200 events; all 400 are there, and no line is damaged."""
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), who]) for who in "ab"]
    assert [0, 0] == [writer.wait(timeout=PATIENCE_S) for writer in writers]
    read = read_record(path)

    assert () == read.problems
    assert {f"{who}{n}" for who in "ab" for n in range(200)} == {event.id for event in read.events}
    for who in "ab":
        assert [f"{who}{n}" for n in range(200)] == [e.id for e in read.events if e.id[0] == who]
