"""How long a record takes: `python tests/bench/record.py`.

Prints, for ten years of records (20,000 events), reading over what the JSON library takes to parse
the same lines, in one run; and what adding one event takes to records of rising length, beside
writing and forcing the same bytes to disk with nothing around them.
"""

from __future__ import annotations

import json
import os
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from rootroom.record.events import Event, encode  # noqa: E402
from rootroom.record.file import append, read_record  # noqa: E402

EVENTS = 20_000
ROUNDS = 21


def ten_years() -> list[Event]:
    """Return events as they come: mostly plants and mix, some goods, minutes and notes."""
    chance = random.Random(7)
    first = date(2017, 3, 1)
    events = []
    for number in range(EVENTS):
        day = first + timedelta(days=number * 3650 // EVENTS)
        kind = chance.choices(
            ["moved", "used", "blended", "left", "worked", "bought", "note"],
            [10, 4, 4, 3, 2, 2, 1],
        )[0]
        mix = {"mix": chance.choice(["tree", "allround"]), "l": chance.randint(10, 4000) / 10}
        data = {
            "moved": {"plant": f"Fig, row {number % 40}", "move": 1, "count": number % 30},
            "used": mix,
            "blended": {**mix, "batches": chance.randint(1, 9) / 2},
            "left": mix,
            "worked": {"minutes": number % 240},
            "bought": {"of": "bark", "packs": 2, "paid_cents": 1280, "supply": 3},
            "note": {"text": "dry, wind from the east, hoses out"},
        }[kind]
        events.append(Event(f"{number:016x}", day, kind, data, "Ana", day))
    return events


def side_by_side(*works: Callable[[], object]) -> list[float]:
    """Return the median time of each work [s], in rounds that take turns."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for work, taken in zip(works, times, strict=True):
            start = time.perf_counter()
            work()
            taken.append(time.perf_counter() - start)
    return [statistics.median(taken) for taken in times]


def reading(folder: Path) -> None:
    """Print reading beside parsing, in one run."""
    path = folder / "ten-years.record.jsonl"
    path.write_bytes(b"".join(encode(event) for event in ten_years()))
    lines = path.read_bytes().splitlines()

    def parse() -> None:
        for line in lines:
            json.loads(line)

    assert len(read_record(path).events) == EVENTS
    parsed, read = side_by_side(parse, lambda: read_record(path))
    print(f"parse {EVENTS:,} lines with json: {1000 * parsed:.0f} ms")
    print(f"read them as a record: {1000 * read:.0f} ms, {read / parsed:.2f} times (limit 3)")


def adding(folder: Path) -> None:
    """Print what one more event takes, by the length of the record."""
    event = ten_years()[0]
    line = encode(event)
    bare = folder / "bare"

    def write() -> None:
        descriptor = os.open(bare, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        os.write(descriptor, line)
        os.fsync(descriptor)
        os.close(descriptor)

    for length in (0, 200, 2_000, 20_000, 200_000):
        path = folder / f"{length}.record.jsonl"
        path.write_bytes(line * length)
        os.sync()
        added, written = side_by_side(lambda p=path: append(p, [event]), write)
        print(
            f"add to {length:>7,} lines: {1e6 * added:6.0f} us; "
            f"the bare bytes: {1e6 * written:6.0f} us"
        )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        reading(Path(name))
        adding(Path(name))
