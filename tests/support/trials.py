"""What must hold for any bytes at all that come from outside: the fuzzer's trials.

A trial reads the bytes as one kind of input; it raises AssertionError, or whatever broke.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any
from zlib import crc32

from rootroom import units
from rootroom.containers.beds import read_bed_shape
from rootroom.containers.text import list_containers, read_container
from rootroom.demand.quick import ask_bed, ask_fill
from rootroom.plan.dates import read_window
from rootroom.plan.reader import read_plan
from rootroom.problems import Problem, TextError
from rootroom.record.events import decode, encode
from rootroom.record.file import read_record
from rootroom.record.noting.hand_back import read_hand_back
from rootroom.sheets.answers.without_plan import fill_json, fill_text
from rootroom.sheets.problems import render_problems

HEAD = """plants = [ { rows = "plants.csv" } ]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 5, peat = 1 }
[containers."tall pot"]
round = { top = "20 in", bottom = "16 in", height = "18 in" }
"""

SPOKEN = (
    *("#1", "#SP4", "12 in pot", "30 cm pot", "12 in azalea pot", "8 in pan", "12 in basket"),
    *("4 in square pot", "72-cell tray", "5 gal bag", "5 gal bucket", "C7.5", "P9", "15 L"),
    *("half barrel", "bare root", "cutting", "seed", "3 gal", "3 gal true", "8 ft x 4 ft"),
    *("round 5 ft", "12 ft x 4 ft + 6 ft x 4 ft", "2.5 cu ft", "1½ gal", "11 ft 9 in", "3 dry qt"),
    *("5 lb/yd3", "2 tbsp/gal", "12 oz/cup", "12 %", "1/3", "10 weeks", "20 min", "1,5 L", "10''"),
    *("2 weeks before last frost", "last frost", "2027-04-12", "1 h 20 min", "top 2 in"),
)
"""Texts that a plan or the command line may hold."""


EVENTS = (
    b'{"v":1,"id":"a","by":"phone","date":"2027-04-03","kind":"used","mix":"tree","scoops":3,'
    b'"scoop_l":9.5}\n{"v":1,"id":"b","date":"2027-04-03","kind":"note","text":""}',
    b'{"v":2,"id":"a","by":"","date":"2027-04-03","kind":"moved","session":"2027-04-03",'
    b'"plant":"Fig","move":1,"count":3}',
    b'{"v":2,"id":"b","date":"2027-04-03","kind":"bought","replaces":"a","of":"peat","packs":2,'
    b'"paid_cents":null}\n{"v":2,"id":"c","date":"2027-04-03","kind":"taken back","replaces":"b"}',
    b'{"v":2,"id":"d","date":"2027-04-04","kind":"blended","mix":"tree","l":9,"loose_l":{"a":1}}',
    b'{"v":2,"id":"e","date":"2027-04-04","kind":"planned","sessions":[]}',
    b'{"kind":"hand back","plan":"p","name":"n","digest":"d","events":3}\n'
    b'{"v":2,"id":"f","date":"2027-04-04","kind":"day off","day":"2027-04-05","reason":"rain"}',
)
"""Lines of a record, each without the checksum that `try_record` adds."""


def check_places(problems: Iterable[Problem]) -> None:
    """Check that every place that is named lies inside its file, and that it can be shown."""
    found = tuple(problems)
    assert bool(found) == bool(render_problems(found))
    texts: dict[str, list[str]] = {}
    for problem in found:
        assert problem.message
        for where in (problem.where, *(other for other, _ in problem.related)):
            if where.file not in texts:
                data = Path(where.file).read_bytes().decode("utf-8-sig", "replace")
                texts[where.file] = data.replace("\r\n", "\n").replace("\r", "\n").split("\n")
            lines = texts[where.file]
            assert 1 <= where.line <= len(lines), where
            assert 1 <= where.start <= len(lines[where.line - 1]) + 1, where


def try_plan(data: bytes, folder: Path) -> None:
    """Read bytes as a plan file."""
    path = folder / "plan.toml"
    path.write_bytes(data)
    plan, problems = read_plan(path)
    assert (plan is None) == any(problem.severity == "error" for problem in problems)
    check_places(problems)


def try_rows(data: bytes, folder: Path) -> None:
    """Read bytes as a list of plants beside a plan."""
    (folder / "plants.csv").write_bytes(data)
    try_plan(HEAD.encode(), folder)


def try_container(data: bytes, folder: Path) -> None:
    """Read bytes as a container's text and as a bed's shape, and answer the quick questions."""
    text = data.decode("utf-8", "surrogateescape")
    first, _, second = text.partition("|")
    readers: tuple[Callable[[], Any], ...] = (
        lambda: read_container(text),
        lambda: read_bed_shape(text),
        lambda: list_containers(text),
        lambda: _asked(ask_fill(first, second or None, count=3)),
        lambda: _asked(ask_bed(first, second)),
    )
    for reader in readers:
        with suppress(TextError):
            reader()


def _asked(asked: Any) -> None:
    assert fill_json(asked)
    assert fill_text(asked)


READERS = tuple(getattr(units, name) for name in units.__all__ if name.startswith("read_"))


def try_units(data: bytes, folder: Path) -> None:
    """Read bytes as every kind of quantity, and as a window."""
    text = data.decode("utf-8", "surrogateescape")
    for reader in (*READERS, read_window):
        with suppress(TextError):
            reader(text)


def try_record(data: bytes, folder: Path) -> None:
    """Read bytes as a record, and the same with checksums that fit; what is read is written."""
    path = folder / "plan.record.jsonl"
    for content in (data, b"\n".join(map(_sealed, data.split(b"\n")))):
        path.write_bytes(content)
        record = read_record(path)
        check_places(record.problems)
        for event in record.events:
            assert event == decode(encode(event).removesuffix(b"\n"))


def _sealed(line: bytes) -> bytes:
    """Return a line with the checksum that fits it, which no fuzzer would guess."""
    body = line.rpartition(b',"sum":')[0] or line.removesuffix(b"}")
    return b'%s,"sum":"%08x"}' % (body, crc32(body))


def try_hand_back(data: bytes, folder: Path) -> None:
    """Read bytes as what a phone hands back."""
    path = folder / "back.txt"
    for content in (data, b"\n".join(map(_sealed, data.split(b"\n")))):
        path.write_bytes(content)
        back = read_hand_back(path)
        check_places(back.problems)
        for event in back.events:
            assert event == decode(encode(event).removesuffix(b"\n"))


TRIALS: dict[str, Callable[[bytes, Path], None]] = {
    "plan": try_plan,
    "rows": try_rows,
    "container": try_container,
    "units": try_units,
    "record": try_record,
    "hand-back": try_hand_back,
}
"""The trials by the fuzzer's targets."""
