"""One event of a record: its kinds, its fields, and its line of text.

format.md tells the format; this module is its one reader and writer.
A line carries its format version and, from version 2 on, a checksum of the bytes before it.
Lines of version 1 (what a phone page hands back) are read as if they had been written today.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any
from zlib import crc32

from attrs import field, frozen

from rootroom.problems import TextError
from rootroom.record.fields import KINDS, checked, dates_in, is_amount, is_name, is_text, read_day

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

    @property
    def days(self) -> Iterable[date]:
        """All dates that it tells."""
        session = () if self.session is None else (self.session,)
        return (self.day, *session, *(() if self.kind not in KINDS else dates_in(self.data)))


WORK_KINDS = frozenset({"moved", "filled", "blended", "used", "worked"})
"""Kinds that tell that work was done on their day."""

HEAD = ("v", "id", "by", "date", "kind", "session", "replaces")
_HEAD_V1 = frozenset((*HEAD, "plan", "sum"))


def new_event(
    kind: str,
    day: date,
    data: Mapping[str, Any],
    *,
    session: date | None = None,
    by: str = "",
    replaces: str | None = None,
) -> Event:
    """Return an event with an id of its own."""
    import secrets  # slow to load, for what few runs need

    return Event(secrets.token_hex(8), day, kind, dict(data), by, session, replaces)


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
        message = f"an event that could not be read again: {wrong.message}"
        raise TextError(message, code=wrong.code) from None
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
        # So begun and so ended, no two lines can come to one object, and none to two.
        if not line.startswith(b'{"v":2,"id":'):
            return None
        if line[-SUM_LENGTH:] != b',"sum":"%08x"}' % crc32(line[:-SUM_LENGTH]):
            return None
    try:
        found = json.loads(b"[%s]" % b",".join(lines))
    except (ValueError, RecursionError):
        return None
    return found if len(found) == len(lines) else None


def id_in(line: bytes) -> str | None:
    """Return the id of a line that may be no event, so that it can be taken back; None for none."""
    try:
        raw = json.loads(line)
    except (ValueError, RecursionError):
        return None
    found = raw.get("id") if isinstance(raw, dict) else None
    return found if isinstance(found, str) and is_name(found) else None


def event_from(raw: Mapping[str, Any], number: int = 0) -> Event:
    """Return the event that a JSON object tells, of any version that is known."""
    version = raw.get("v")
    if version != VERSION:
        raw = _in_this_version(raw, version)
    try:
        session, replaces = raw.get("session"), raw.get("replaces")
        identity, by, kind = raw["id"], raw.get("by") or "", raw["kind"]
        if not (is_name(identity) and identity and is_name(kind) and is_text(by)):
            raise TextError("`id`, `kind` and `by` are texts", code="damaged-line")
        if replaces is not None and not is_name(replaces):
            raise TextError("`replaces` is an id", code="damaged-line")
        day = read_day(raw["date"])
        session = None if session is None else read_day(session)
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


def _data(kind: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a kind, checked; keys that are not known are left out."""
    if kind in KINDS:
        return checked(kind, raw)
    # Of a later version: kept as it is, so that nothing is lost, and counted for nothing.
    data = {key: value for key, value in raw.items() if key not in _HEAD_V1}
    try:
        json.dumps(data, allow_nan=False)
    except (ValueError, RecursionError):
        raise TextError("not a whole line of a record", code="damaged-line") from None
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
        any(value == 0 and is_amount(value) for value in counted)
        or (kind == "note" and new.get("text") == "")
    ):
        new["kind"] = "taken back"
    return new


def _product(raw: Mapping[str, Any], *names: str) -> float | None:
    values = [raw.get(name) for name in names]
    if not all(is_amount(value) for value in values):
        return None
    first, second = (float(value) for value in values if value is not None)
    return round(first * second, 6)


def works(event: Event) -> bool:
    """Whether an event tells that work was done on its day."""
    state = event.data.get("state") if event.kind == "session" else None
    return event.kind in WORK_KINDS or state in ("done", "cut short")


def holding(events: Iterable[Event]) -> list[Event]:
    """Return the events that hold, in their order: the last of every chain of corrections.

    An event that another one replaces is gone, and so is one that was taken back. Of several that
    replace the same event only the last one holds; one that replaces an event that the record does
    not have stands for itself.
    """
    listed = list(events)
    by_id = {event.id: event for event in listed}
    last: dict[str, str] = {}
    for event in listed:
        if event.replaces is not None and event.replaces in by_id:
            last[event.replaces] = event.id
    replaced = {old for old, new in last.items() if old != new}
    return [
        event
        for event in listed
        if event.id not in replaced
        and event.kind != "taken back"
        and last.get(event.replaces or "", event.id) == event.id
    ]
