"""The sheet that hangs on the wall: kept in the record, and found there again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from rootroom.plan.model import Hung
from rootroom.record.events import Event, holding

__all__ = [
    "as_rows",
    "bought_as_listed",
    "event_of_row",
    "same_work",
    "session_rows",
    "used_as_planned",
    "wall_of",
]

BED = "fill bed"
PLANTS = frozenset({"move", "refresh", "plant out", "sell"})

HANGS = frozenset({"move", "refresh", "plant out", "sell", "fill bed"})
"""Kinds of work on plants and beds; a row of another kind is for the review alone."""


def as_rows(wall: Iterable[Hung]) -> list[dict[str, Any]]:
    """Return lines as the rows of a `planned` event."""
    return [
        {
            "day": line.day.isoformat(),
            "kind": line.kind,
            "name": line.name,
            "number": line.number,
            "count": line.count,
            "share": round(line.share, 6),
        }
        for line in wall
    ]


def wall_of(events: Iterable[Event]) -> tuple[Hung, ...]:
    """Return the lines of plants and beds of the last sheet; nothing if none was ever hung up."""
    sheets = [event for event in holding(events) if event.kind == "planned"]
    if not sheets:
        return ()
    lines = (_line(row) for row in sheets[-1].data["sessions"])
    return tuple(line for line in lines if line is not None)


def _line(row: Mapping[str, Any]) -> Hung | None:
    """Return a row as a line; None for one that tells of something else or is incomplete."""
    try:
        if row["kind"] not in HANGS:
            return None
        return Hung(
            day=date.fromisoformat(row["day"]),
            kind=str(row["kind"]),
            name=str(row["name"]),
            number=int(row["number"]),
            count=int(row["count"]),
            share=float(row.get("share", 1.0)),
        )
    except (KeyError, TypeError, ValueError):
        return None


def session_rows(events: Iterable[Event], day: date) -> list[Mapping[str, Any]]:
    """Return all rows of a session's day on the newest sheet that has work on it."""
    for event in reversed([event for event in holding(events) if event.kind == "planned"]):
        rows = [row for row in event.data["sessions"] if row.get("day") == day.isoformat()]
        if rows:
            return rows
    return []


def bought_as_listed(
    events: Iterable[Event], day: date, told: Iterable[tuple[str, Mapping[str, Any]]]
) -> list[tuple[str, dict[str, Any]]]:
    """Return as `bought` notes what a session's list had to be fetched, at the listed prices.

    What was noted as bought since the sheet was made, or is told now, is not counted again.
    """
    held = list(holding(events))
    sheets = [event for event in held if event.kind == "planned"]
    goods: list[Mapping[str, Any]] = []
    for sheet in sheets:
        rows = [row for row in sheet.data.get("goods", ()) if row.get("day") == day.isoformat()]
        goods = rows or goods
    known = {data["of"] for kind, data in told if kind == "bought"}
    noted: dict[tuple[str, object], float] = {}
    for event in held:
        if event.kind == "bought":
            key = (event.data["of"], event.data.get("supply"))
            noted[key] = noted.get(key, 0.0) + event.data["packs"]
    notes = []
    for row in goods:
        supply = row.get("supply")
        had = noted.get((row["of"], None), 0.0)
        had += noted.get((row["of"], supply), 0.0) if supply else 0.0
        packs = row["packs"] - had
        if packs > 0 and row["of"] not in known:
            data = {
                "of": row["of"],
                "packs": packs,
                "paid_cents": round(row["cents"] * packs / row["packs"]),
            }
            data |= {name: row[name] for name in ("supply", "pack", "from") if row.get(name)}
            notes.append(("bought", data))
    return notes


def event_of_row(row: Mapping[str, Any]) -> tuple[str, dict[str, Any]] | None:
    """Return kind and data of the event that a row becomes once done as planned; None for others.

    Raises KeyError for a row that lacks what its kind needs.
    """
    kind = row["kind"]
    if kind in PLANTS:
        return "moved", {"plant": row["name"], "move": row["number"], "count": row["count"]}
    if kind == BED:
        data = {"bed": row["name"], "layer": row["number"], "share": row["share"]}
        return "filled", {**data, "of": row["of"]} if "of" in row else data
    if kind == "blend" and row.get("l"):
        return "blended", {"mix": row["name"], "l": row["l"]}
    return None


def same_work(one: tuple[str, Mapping[str, Any]], other: tuple[str, Mapping[str, Any]]) -> bool:
    """Whether two notes (kind and data) tell of the same work, whatever their amounts."""
    names = ("plant", "move", "bed", "layer", "mix")
    return one[0] == other[0] and all(one[1].get(n) == other[1].get(n) for n in names)


def used_as_planned(
    rows: Iterable[Mapping[str, Any]], told: Iterable[tuple[str, Mapping[str, Any]]]
) -> list[tuple[str, dict[str, Any]]]:
    """Return the mix that went into what was done as `used` notes, by what the sheet gives each.

    They are marked as planned, so that nobody takes them for a measurement. A mix whose use or
    rest was told needs none.
    """
    notes = list(told)
    known = {data["mix"] for kind, data in notes if kind in ("used", "left")}
    done = {
        (kind, data.get("plant", data.get("bed")), data.get("move", data.get("layer"))): data
        for kind, data in notes
        if kind in ("moved", "filled")
    }
    litres: dict[str, float] = {}
    for row in rows:
        mix, in_bed = row.get("mix"), row["kind"] == BED
        if mix is None or mix in known or not (in_bed or row["kind"] in PLANTS):
            continue
        data = done.get(("filled" if in_bed else "moved", row["name"], row["number"]))
        whole = row["share"] if in_bed else row["count"]
        if data is not None and whole:
            made = data["share"] if in_bed else data["count"]
            litres[mix] = litres.get(mix, 0.0) + row["l"] * made / whole
    return [
        ("used", {"mix": mix, "l": round(amount, 6), "planned": True})
        for mix, amount in litres.items()
        if amount > 0
    ]
