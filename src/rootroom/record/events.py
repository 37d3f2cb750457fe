"""One event of a record: its kinds, its fields, and its line of text.

format.md tells the format; this module is its one reader and writer.
A line carries its format version and, from version 2 on, a checksum of the bytes before it.
Lines of version 1 (what a phone page hands back) are read as if they had been written today.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache
from math import isfinite
from typing import Any
from zlib import crc32

from attrs import field, frozen

from rootroom.problems import TextError

__all__ = [
    "KINDS",
    "VERSION",
    "WORK_KINDS",
    "Event",
    "decode",
    "decode_all",
    "encode",
    "event_from",
]

VERSION = 2
"""The format that is written; every earlier one is read."""

SUM_LENGTH = len(',"sum":"00000000"}')


@frozen
class Event:
    """Something that happened, or a correction of it.

    `id` is unique, `by` says who or which phone, `day` when it happened, `session` the date of the
    planned session that it belongs to. `replaces` names the event that this one stands in for.
    `data` holds the fields of the kind in base units: plants, litres [L], minutes [min], cents.
    `line` is its line in the record, 0 while it is not in one.
    """

    id: str
    day: date
    kind: str
    data: Mapping[str, Any]
    by: str = ""
    session: date | None = None
    replaces: str | None = None
    line: int = field(default=0, eq=False)


Check = Callable[[Any], bool]


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _count(value: Any) -> bool:
    return type(value) is int and value >= 0


def _number(value: Any) -> bool:
    return type(value) in (int, float) and isfinite(value) and value >= 0


def _share(value: Any) -> bool:
    return _number(value) and value <= 1


def _place(value: Any) -> bool:
    return type(value) is int and value >= 1


def _day(value: Any) -> bool:
    try:
        date.fromisoformat(value)
    except (TypeError, ValueError):
        return False
    return True


def _amounts(value: Any) -> bool:
    return isinstance(value, dict) and all(_number(amount) for amount in value.values())


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _rows(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(row, dict) for row in value)


def _or_null(check: Check) -> Check:
    return lambda value: value is None or check(value)


PLANTS: dict[str, Check] = {"plant": _text, "move": _place, "count": _count}
AMOUNT: dict[str, Check] = {"mix": _text, "l": _number}
BOX: dict[str, Check] = {"container": _text, "count": _count}

KINDS: Mapping[str, Mapping[str, Check]] = {
    "moved": PLANTS,
    "lost": PLANTS,
    "not yet": PLANTS,
    "counted": PLANTS,
    "filled": {"bed": _text, "layer": _place, "share": _share},
    "blended": AMOUNT,
    "used": AMOUNT,
    "left": AMOUNT,
    "spilled": AMOUNT,
    "taken out": {"l": _number},
    "bought": {"of": _text, "packs": _number, "paid_cents": _or_null(_count)},
    "freed": BOX,
    "broken": BOX,
    "worked": {"minutes": _number},
    "measured": {"what": _text, "of": _text, "value": _number},
    "timed": {"work": _text, "count": _count, "minutes": _number},
    "weather": {"weather": _text},
    "session": {"state": _text},
    "note": {"text": _text},
    "day off": {"day": _day, "reason": _text},
    "postponed": {"until": _day, "reason": _text},
    "planned": {"sessions": _rows},
    "taken back": {},
}
"""The kinds of version 2, and what each field of theirs must be."""

OPTIONAL: Mapping[str, Mapping[str, Check]] = {
    "not yet": {"until": _day},
    "planned": {"goods": _rows},
    "used": {"planned": _flag},
    "filled": {"of": _text},
    "blended": {"batches": _number, "loose_l": _amounts},
    "taken out": {"of": _text},
    "bought": {"supply": _place, "from": _or_null(_text), "pack": _text},
    "measured": {"times": _place},
    "timed": {"container": _text},
}

_FIELDS = {
    kind: (tuple(fields.items()), tuple(OPTIONAL.get(kind, {}).items()))
    for kind, fields in KINDS.items()
}

WORK_KINDS = frozenset({"moved", "filled", "blended", "used", "worked"})
"""Kinds that tell that work was done on their day."""

HEAD = ("v", "id", "by", "date", "kind", "session", "replaces")
_HEAD_V1 = frozenset((*HEAD, "plan", "sum"))


def encode(event: Event) -> bytes:
    """Return the event as its line, with its checksum and a line end."""
    head: dict[str, Any] = {
        "v": VERSION,
        "id": event.id,
        "by": event.by,
        "date": event.day.isoformat(),
        "kind": event.kind,
        "session": None if event.session is None else event.session.isoformat(),
    }
    if event.replaces is not None:
        head["replaces"] = event.replaces
    clash = sorted(set(HEAD) & set(event.data))
    if clash:
        raise ValueError(f"data must not hold the keys of the head, got {clash!r}")
    # ASCII only: no line separator of Unicode can end a line early, no half character can be left.
    text = json.dumps({**head, **event.data}, separators=(",", ":"), allow_nan=False)
    try:
        _data(event.kind, event.data)
    except TextError as wrong:  # else it would be confirmed, and lost when it is read again
        raise ValueError(f"an event that could not be read again: {wrong.message}") from None
    body = text[:-1].encode("ascii")
    return b'%s,"sum":"%08x"}\n' % (body, crc32(body))


def decode(line: bytes, number: int = 0) -> Event:
    """Return the event of a line without its line end.

    Raises TextError for a line that is damaged, of a newer format, or no event.
    """
    try:
        raw = json.loads(line)
    except (ValueError, RecursionError):
        raise TextError("not a whole line of a record", code="damaged-line") from None
    if not isinstance(raw, dict):
        raise TextError("not an event", code="damaged-line")
    version = raw.get("v")
    if version == VERSION or "sum" in raw:
        body = line[:-SUM_LENGTH]
        if line[-SUM_LENGTH:] != b',"sum":"%08x"}' % crc32(body):
            raise TextError("its checksum does not fit its text", code="damaged-line")
    return event_from(raw, number)


def decode_all(lines: Sequence[bytes]) -> list[Any] | None:
    """Return the JSON objects of many lines parsed in one go; None if any of them is not whole.

    Only lines whose checksum fits are parsed like this, which takes half the time.
    """
    for line in lines:
        if line[-SUM_LENGTH:] != b',"sum":"%08x"}' % crc32(line[:-SUM_LENGTH]):
            return None
    try:
        found = json.loads(b"[%s]" % b",".join(lines))
    except (ValueError, RecursionError):
        return None
    return found if len(found) == len(lines) else None


def event_from(raw: Mapping[str, Any], number: int = 0) -> Event:
    """Return the event that a JSON object tells, of any version that is known."""
    version = raw.get("v")
    if version != VERSION:
        raw = _in_this_version(raw, version)
    try:
        session, replaces = raw.get("session"), raw.get("replaces")
        identity, by, kind = raw["id"], raw.get("by") or "", raw["kind"]
        if not (type(identity) is type(by) is type(kind) is str and identity):
            raise TextError("`id`, `kind` and `by` are texts", code="damaged-line")
        if replaces is not None and type(replaces) is not str:
            raise TextError("`replaces` is an id", code="damaged-line")
        day = _read_day(raw["date"])
        session = None if session is None else _read_day(session)
    except KeyError as missing:
        raise TextError(f"an event without {missing}", code="damaged-line") from None
    except (TypeError, ValueError) as wrong:
        if isinstance(wrong, TextError):
            raise
        raise TextError("a date of an event is wrong", code="damaged-line") from None
    return Event(identity, day, kind, _data(kind, raw), by, session, replaces, number)


def _in_this_version(raw: Mapping[str, Any], version: Any) -> dict[str, Any]:
    if version == 1 and type(version) is int:
        return _from_version_1(raw)
    if type(version) is int and version > VERSION:
        message = f"a record of format {version!r}; this version reads up to {VERSION}"
        raise TextError(message, code="newer-record")
    raise TextError("no format version", code="damaged-line")


@lru_cache(maxsize=4096)  # a record has few days and many lines
def _read_day(text: str) -> date:
    return date.fromisoformat(text)


def _data(kind: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a kind, checked; keys that are not known are left out."""
    fields = _FIELDS.get(kind)
    if fields is None:
        # Of a later version: kept as it is, so that nothing is lost, and counted for nothing.
        return {key: value for key, value in raw.items() if key not in _HEAD_V1}
    needed, others = fields
    data = {}
    for name, check in needed:
        try:
            value = raw[name]
        except KeyError:
            raise TextError(f"an event without {name!r}", code="damaged-line") from None
        if not check(value):
            raise TextError(f"`{name}` of `{kind}` cannot be {value!r}", code="damaged-line")
        data[name] = value
    for name, check in others:
        if name in raw and check(raw[name]):
            data[name] = raw[name]
    return data


def _from_version_1(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return an event of version 1 in version 2: scoops and batches become litres.

    There a correction of nothing took its event back.
    """
    new = dict(raw)
    kind = new.get("kind")
    if kind in ("used", "left"):
        new["l"] = _product(new, "scoops", "scoop_l")
    elif kind == "blended":
        new["l"] = _product(new, "batches", "batch_l")
    counted = (new.get(key) for key in ("count", "l", "packs", "minutes", "share"))
    if new.get("replaces") is not None and (
        any(value == 0 and _number(value) for value in counted)
        or (kind == "note" and new.get("text") == "")
    ):
        new["kind"] = "taken back"
    return new


def _product(raw: Mapping[str, Any], *names: str) -> float | None:
    values = [raw.get(name) for name in names]
    if not all(_number(value) for value in values):
        return None
    first, second = (float(value) for value in values if value is not None)
    return round(first * second, 6)


def unknown_kinds(events: Iterable[Event]) -> list[str]:
    """Return the kinds that this version does not know, each once."""
    return sorted({event.kind for event in events} - set(KINDS))
