"""Records whose lines have checksums that fit and values that nobody would write.

`odd_record` draws lines of every kind from a source of chance; `try_values` takes them through all
that commands do with a record but the planning itself, and breaks at whatever is no answer.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from random import Random
from typing import Any
from zlib import crc32

from rootroom.plan.model import Plan
from rootroom.record.apply import plan_from, replay
from rootroom.record.events import encode
from rootroom.record.fields import KINDS, OPTIONAL
from rootroom.record.file import append, read_record
from rootroom.record.learned_figures import figures
from rootroom.record.noting.hand_back import read_hand_back
from rootroom.record.planned_and_real import review, totals
from rootroom.record.posted import bought_as_listed, event_of_row, session_rows, used_as_planned
from rootroom.sheets.answers.record_text import learned_text, record_list
from rootroom.sheets.answers.review import review_csv, review_text
from rootroom.sheets.problems import render_problems

NAMES = (
    "Fig", "Bay", "tree", "peat", "bark", "South bed", "#3", "#1", "half barrel", "up-pot",
    "blend", "Mill Road", "packing", "shrink", "fill", "swells", "done", "cut short", "open",
    "move", "fill bed", "left", "rain", "nobody", "", "C2", "C5", "F" * 600, "\x1b[2J", "\u202efig",
)  # fmt: skip
NUMBERS = (
    0, 1, 2, 3, 7, 18, 1000, 9_999_999, 10_000_000, 10_000_001, -1, 10**12, 10**400, 0.5, 1.0, 0.25,
    1e-12, 5e-324, 1e7, 1e12, 1e308, float("inf"), float("nan"), -0.0, True,
)  # fmt: skip
DAYS = (
    "2027-03-20", "2027-03-27", "2027-04-03", "2027-04-10", "2026-12-01", "2028-03-01",
    "0001-01-01", "9999-12-31", "1900-01-01", "2200-12-31", "2027-02-30", "2027-3-1", "20270320",
)  # fmt: skip
OTHERS = (None, [], {}, [1], [[]], {"peat": 1e308}, {"peat": 2, "bark": 1}, "text", [{}], [None])
FIELDS = {kind: (*checks, *OPTIONAL.get(kind, ())) for kind, checks in KINDS.items()}
WORK = ("day", "kind", "name", "number", "count", "share", "minutes", "l", "mix", "of", "to")
GOODS = ("day", "supply", "of", "pack", "from", "packs", "cents")
DATES = frozenset({"day", "due", "until", "date", "session"})
TEXTS = frozenset({
    "plant", "mix", "bed", "of", "from", "pack", "container", "what", "work", "weather", "state",
    "text", "reason", "kind", "name", "to", "do",
})  # fmt: skip


def _value(chance: Random, field: str) -> Any:
    """Return what a field may hold: mostly of the right kind, now and then of any."""
    if chance.random() < 0.04:
        return chance.choice((*OTHERS, *NUMBERS, *NAMES, *DAYS))
    if field in DATES:
        return chance.choice(DAYS[:4] if chance.random() < 0.8 else DAYS)
    if field in TEXTS:
        return chance.choice(NAMES)
    if field in ("sessions", "goods"):
        known = WORK if field == "sessions" else GOODS
        rows = range(chance.randint(0, 4))
        return [{name: _value(chance, name) for name in _some(chance, known)} for _ in rows]
    if field == "plants":
        return [chance.choice(NAMES[:2]) for _ in range(chance.randint(0, 3))]
    if field == "loose_l":
        return {chance.choice(NAMES[:5]): _value(chance, "l") for _ in range(chance.randint(0, 3))}
    return chance.choice(NUMBERS[:9] if chance.random() < 0.7 else NUMBERS)


def _some(chance: Random, names: tuple[str, ...]) -> list[str]:
    return [name for name in names if chance.random() < 0.95]


def _line(chance: Random, number: int, version: int) -> bytes:
    kind = chance.choice((*KINDS, "planned", "bought", "dreamt"))
    ids = [f"e{n}" for n in range(number + 1)]
    raw: dict[str, Any] = {
        "v": version,
        "id": chance.choice(ids) if chance.random() < 0.1 else f"e{number}",
        "by": chance.choice(NAMES),
        "date": _value(chance, "date"),
        "kind": kind,
        "session": _value(chance, "session") if chance.random() < 0.7 else None,
    }
    if chance.random() < 0.1:
        raw["replaces"] = chance.choice([*ids, "line 1", None, 3])
    raw |= {name: _value(chance, name) for name in _some(chance, FIELDS.get(kind, ("of",)))}
    if version == 1:
        for name in ("scoops", "scoop_l", "batches", "batch_l"):
            raw[name] = _value(chance, name)
    body = json.dumps(raw, separators=(",", ":"))[:-1].encode()
    return b'%s,"sum":"%08x"}' % (body, crc32(body)) if version == 2 else body + b"}"


def odd_record(chance: Random) -> bytes:
    """Return the lines of a record, all of this version or some of the first."""
    old = chance.random() < 0.3
    count = chance.randint(1, 12)
    versions = [1 if old and chance.random() < 0.5 else 2 for _ in range(count)]
    return b"\n".join(_line(chance, n, version) for n, version in enumerate(versions)) + b"\n"


def try_values(content: bytes, plan: Plan, folder: Path) -> Plan:
    """Take a record through all that commands do with it; return the plan that is left."""
    path = folder / "plan.record.jsonl"
    path.write_bytes(content)
    record = read_record(path, plan)
    render_problems(record.problems)
    events = record.events
    for event in events:
        encode(event)
    state = replay(plan, events)
    left = plan_from(plan, state)
    assert all(0 <= count for count in left.plants.counts)
    record_list(plan, events)
    learned_text(plan, figures(plan, events), state.goods.paid, why=True)
    found = review(plan, events, state)
    review_text(plan, found, [totals("plan", events)])
    review_csv(found)
    for day in (date(2027, 3, 20), date(2027, 4, 3)):
        rows = session_rows(events, day)
        told = [one for one in map(event_of_row, rows) if one is not None]
        used_as_planned(rows, told)
        bought_as_listed(events, day, told)
    back = read_hand_back(path, plan, date(2027, 3, 20))
    render_problems(back.problems)
    append(folder / "again.record.jsonl", back.events)
    (folder / "again.record.jsonl").unlink(missing_ok=True)
    return left
