"""The posted plan as it is kept in the record, and what becomes of its lines once they are done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from attrs import evolve, field, frozen

from rootroom.plan.entries import PostedLine, Supply
from rootroom.plan.model import Mix, Plan
from rootroom.record.events import Event, holding
from rootroom.tolerances import AS_WRITTEN

Note = tuple[str, Mapping[str, Any]]
"""Kind and data of an event to be."""

BED = "fill bed"
PLANTS = frozenset({"move", "refresh", "fill up", "plant out", "sell", "bring in", "set out"})

ON_PLANTS_AND_BEDS = PLANTS | {BED}
"""Kinds of work on plants and beds; a row of another kind is for the review alone."""


def posted_plans(events: Iterable[Event]) -> list[Event]:
    """Return the posted plans that hold, the newest last."""
    return [event for event in holding(events) if event.kind == "planned"]


def _newest_rows(events: Iterable[Event]) -> Sequence[Mapping[str, Any]]:
    plans = posted_plans(events)
    rows: Sequence[Mapping[str, Any]] = plans[-1].data["sessions"] if plans else ()
    return rows


def posted_lines(events: Iterable[Event]) -> tuple[PostedLine, ...]:
    """Return the lines of plants and beds of the last posted plan; nothing without one."""
    lines = map(_line, _newest_rows(events))
    return tuple(line for line in lines if line is not None)


def _line(row: Mapping[str, Any]) -> PostedLine | None:
    """Return a row as a line; None for one that tells of something else or is incomplete."""
    try:
        if row["kind"] not in ON_PLANTS_AND_BEDS:
            return None
        return PostedLine(
            day=date.fromisoformat(row["day"]),
            kind=str(row["kind"]),
            name=str(row["name"]),
            number=int(row["number"]),
            count=int(row["count"]),
            share=float(row.get("share", 1.0)),
        )
    except (KeyError, TypeError, ValueError):
        return None


def posted_blends(events: Sequence[Event]) -> dict[date, dict[str, int]]:
    """Return the batches of each mix by day of the last posted plan; days without any are there.

    Where mix is only laid out for a later day, that counts as one.
    """
    worked_on = {line.day for line in posted_lines(events)}
    found: dict[date, dict[str, int]] = {}
    for row in _newest_rows(events):
        try:
            day, kind, mix, count = (row[key] for key in ("day", "kind", "name", "count"))
            when = date.fromisoformat(day)
            batches = found.setdefault(when, {})
            if kind == "blend" or (kind == "lay out" and when not in worked_on):
                batches[str(mix)] = batches.get(str(mix), 0) + max(int(count), 1)
        except (KeyError, TypeError, ValueError):
            continue  # incomplete, as a line of plants may be
    return found


def posted_first(events: Iterable[Event]) -> list[Event]:
    """Return events with the first posted plan, which is the plan as written, before all others.

    It may stand behind notes that were made before anybody asked for it.
    """
    listed = list(events)
    first = next((n for n, event in enumerate(listed) if event.kind == "planned"), 0)
    return [*listed[first : first + 1], *listed[:first], *listed[first + 1 :]]


def session_rows(events: Iterable[Event], day: date) -> list[Mapping[str, Any]]:
    """Return all rows of a session's day of the newest posted plan that has work on it."""
    for event in reversed(posted_plans(events)):
        rows = [row for row in event.data["sessions"] if row.get("day") == day.isoformat()]
        if rows:
            return rows
    return []


def bought_as_listed(events: Iterable[Event], day: date, told: Iterable[Note]) -> list[Note]:
    """Return as `bought` notes what a session's list had to be fetched, at the listed prices.

    What was noted as bought since the plan was posted, or is told now, is not counted again.
    """
    held = list(holding(posted_first(events)))
    newest = _newest_goods(held, day)
    goods = [row for row in newest if row.get("day") == day.isoformat()]
    known = {data["of"] for kind, data in told if kind == "bought"}
    notes: list[Note] = []
    for row in goods:
        packs = row["packs"] - max(_had(held, row) - _before(newest, row), 0)
        if packs > 0 and row["of"] not in known:
            data = {
                "of": row["of"],
                "packs": packs,
                "paid_cents": round(row["cents"] * packs / row["packs"]),
            }
            data |= {name: row[name] for name in ("supply", "pack", "from") if row.get(name)}
            if row.get("tax_cents"):
                data["tax_cents"] = round(row["tax_cents"] * packs / row["packs"])
            notes.append(("bought", data))
    return notes


def _before(goods: Iterable[Mapping[str, Any]], row: Mapping[str, Any]) -> float:
    """Return the packs of the same supply that the list has on days before that of a row."""
    return float(
        sum(
            one["packs"]
            for one in goods
            if (one.get("supply"), one["of"]) == (row.get("supply"), row["of"])
            and one.get("day", "") < row.get("day", "")
        )
    )


def with_charges(plan: Plan, events: Iterable[Event], notes: Iterable[Note]) -> list[Note]:
    """Return notes with tax and fees in those that tell of a purchase.

    A price is told before tax, as on the list. A trip or a delivery is paid with the first packs of
    the line that the posted plan has put it on.
    """
    held = list(holding(posted_first(events)))
    found = []
    for kind, data in notes:
        if kind == "bought":
            data = dict(data)
            number, of = data.get("supply"), data["of"]
            alike = (s.supplier for s in plan.supplies if (s.number, s.of) == (number, of))
            supplier = plan.suppliers.get(data.get("from") or next(alike, None) or "")
            if data["paid_cents"] is not None and supplier is not None:
                tax = supplier.tax_cents(data["paid_cents"])
                data |= {"tax_cents": tax} if tax and "tax_cents" not in data else {}
            row = next((row for row in _newest_goods(held) if _tells_of(row, data)), None)
            if row is not None and row.get("fee_cents") and not _had(held, row):
                data["fee_cents"] = row["fee_cents"]
                held.append(Event("", date.min, kind, data))
        found.append((kind, data))
    return found


def _newest_goods(held: Iterable[Event], day: date | None = None) -> Sequence[Mapping[str, Any]]:
    """Return the goods of the last posted plan (of the last that has work on `day`)."""
    for event in reversed([event for event in held if event.kind == "planned"]):
        rows = event.data["sessions"]
        if day is None or any(row.get("day") == day.isoformat() for row in rows):
            return list(event.data.get("goods", ()))
    return ()


def _tells_of(row: Mapping[str, Any], data: Mapping[str, Any]) -> bool:
    return bool(row["of"] == data["of"] and data.get("supply") in (None, row.get("supply")))


def _had(held: Iterable[Event], row: Mapping[str, Any]) -> float:
    """Return how many packs of a row were bought since the plan that has it was posted."""
    packs = 0.0
    for event in held:
        if event.kind == "planned" and row in event.data.get("goods", ()):
            packs = 0.0
        elif event.kind == "bought" and _tells_of(row, event.data):
            packs += event.data["packs"]
    return packs


@frozen
class Choices:
    """What the posted plan chose: suppliers by good, and mixes by name.

    `ready` is the share of a mix that comes ready-made [0 to 1], `parts` its recipe as blended,
    `bags_l` what the newest sheet opens of one that is blended too [L], by day.
    """

    suppliers: Mapping[str, frozenset[str | None]] = field(factory=dict)
    ready: Mapping[str, float] = field(factory=dict)
    parts: Mapping[str, Mapping[str, Fraction]] = field(factory=dict)
    bags_l: Mapping[str, Mapping[date, float]] = field(factory=dict)


def choices_of(events: Iterable[Event]) -> Choices:
    """Return what the last posted plan chose; a choice that it needs no more stays."""
    suppliers: dict[str, frozenset[str | None]] = {}
    ready: dict[str, float] = {}
    parts: dict[str, Mapping[str, Fraction]] = {}
    bags_l: dict[str, Mapping[date, float]] = {}
    for event in posted_plans(events):
        sources: dict[str, set[str | None]] = {}
        for row in event.data.get("goods", ()):
            sources.setdefault(row["of"], set()).add(row.get("from"))
        suppliers |= {of: frozenset(some) for of, some in sources.items()}
        bags_l = {}
        for row in event.data.get("mixes", ()):
            if row.get("bags"):
                days = row["bags"].items()
                bags_l[row["mix"]] = {date.fromisoformat(day): litres for day, litres in days}
            ready[row["mix"]] = row["ready"]
            parts[row["mix"]] = {of: Fraction(share) for of, share in row["parts"].items()}
    return Choices(suppliers, ready, parts, bags_l)


def as_posted(plan: Plan, choices: Choices, worked: Collection[date]) -> Plan:
    """Return a plan that blends, buys ready-made and buys where the posted plan does.

    `worked` are the days whose bags are open. A choice that the plan does not offer any more is
    none.
    """
    return evolve(
        plan,
        mixes={name: _mix_as_posted(mix, choices) for name, mix in plan.mixes.items()},
        supplies=tuple(_supply_as_posted(plan, supply, choices) for supply in plan.supplies),
        posted_bags_l={
            name: sum(litres for day, litres in days.items() if day not in worked)
            for name, days in choices.bags_l.items()
            if name in plan.mixes and plan.mixes[name].only is None
        },
    )


def _mix_as_posted(mix: Mix, choices: Choices) -> Mix:
    ready = choices.ready.get(mix.name)
    if ready is None or mix.bought:
        return mix
    if mix.only is None and ready in (0.0, 1.0) and mix.name not in choices.bags_l:
        mix = evolve(mix, only="ready" if ready else "own")
    parts = choices.parts.get(mix.name, {})
    if ready == 1.0 or set(parts) != set(mix.parts):
        return mix
    whole, now = sum(mix.parts.values(), Fraction(0)), sum(parts.values(), Fraction(0))
    bent = max(abs(parts[of] / now / (mix.parts[of] / whole) - 1) for of in parts)
    if bent - mix.flex > AS_WRITTEN:  # the plan file's own recipe has changed since
        return mix
    return evolve(mix, flex=Fraction(0), parts=dict(parts) if bent else mix.parts)


def _supply_as_posted(plan: Plan, supply: Supply, choices: Choices) -> Supply:
    chosen = choices.suppliers.get(supply.of, frozenset())
    offered = {one.supplier for one in plan.supplies if one.of == supply.of and one.pack}
    if supply.pack is None or supply.supplier in chosen or not chosen <= offered or not chosen:
        return supply
    return evolve(supply, at_most=0)


def by_sort(rows: Iterable[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    """Yield rows, those of several sorts once for each sort with its part of their work."""
    for row in rows:
        sorts = {sort: int(many) for sort, many in row.get("sorts", {}).items()}
        rest = row["count"] - sum(sorts.values()) if sorts else 0
        if not sorts or rest < 0:
            yield row
            continue
        for sort, many in {**sorts, "": rest}.items():
            if many:
                yield {**row, "sort": sort, "count": many}


def event_of_row(row: Mapping[str, Any]) -> Note | None:
    """Return kind and data of the event that a row becomes once done as planned; None for others.

    Raises KeyError for a row that lacks what its kind needs.
    """
    kind = row["kind"]
    if kind in PLANTS:
        data = {"plant": row["name"], "move": row["number"], "count": row["count"]}
        return "moved", {**data, "sort": row["sort"]} if row.get("sort") else data
    if kind == BED:
        data = {"bed": row["name"], "layer": row["number"], "share": row["share"]}
        return "filled", {**data, "of": row["of"]} if "of" in row else data
    if kind == "blend" and row.get("l"):
        return "blended", {"mix": row["name"], "l": row["l"]}
    return None


def same_work(one: Note, other: Note) -> bool:
    """Whether two notes (kind and data) tell of the same work, whatever their amounts.

    One that tells no sort tells of all sorts.
    """
    names = ("plant", "move", "bed", "layer", "mix")
    sorts = {note[1]["sort"] for note in (one, other) if "sort" in note[1]}
    alike = one[0] == other[0] and all(one[1].get(n) == other[1].get(n) for n in names)
    return alike and len(sorts) < 2


def as_planned(rows: Sequence[Mapping[str, Any]], told: Iterable[Note]) -> list[Note]:
    """Return what the sheet says of a session, save what was told otherwise."""
    notes = list(told)
    found = [event for row in by_sort(rows) if (event := event_of_row(row)) is not None]
    kept = [one for one in found if not any(same_work(one, other) for other in notes)]
    return kept + used_as_planned(rows, [*notes, *kept])


Work = tuple[str, str, int]
"""`moved` or `filled`, the name, and the move or layer."""


def work_done(notes: Iterable[Note]) -> dict[Work, float]:
    """Return how many plants were moved, and what share of each layer was filled [0 to 1]."""
    made: dict[Work, float] = defaultdict(float)
    for kind, data in notes:
        if kind == "moved":
            made[kind, data["plant"], data["move"]] += data["count"]
        elif kind == "filled":
            made[kind, data["bed"], data["layer"]] += data["share"]
    return made


def used_as_planned(rows: Iterable[Mapping[str, Any]], told: Iterable[Note]) -> list[Note]:
    """Return the mix that went into what was done as `used` notes, by what the plan gives each.

    They are marked as planned, so that nobody takes them for a measurement. A mix whose use or
    rest was told needs none.
    """
    notes = list(told)
    known = {data["mix"] for kind, data in notes if kind in ("used", "left")}
    made = work_done(notes)
    # Rows of one name and move are one work, whichever of them a note tells of.
    planned: dict[tuple[Work, str], tuple[float, float]] = {}
    for row in rows:
        mix, in_bed = row.get("mix"), row["kind"] == BED
        if mix is None or mix in known or not (in_bed or row["kind"] in PLANTS):
            continue
        work = ("filled" if in_bed else "moved", row["name"], row["number"]), mix
        whole, litres = planned.get(work, (0.0, 0.0))
        planned[work] = (whole + row["share" if in_bed else "count"], litres + row["l"])
    used: dict[str, float] = {}
    for (work_row, mix), (whole, litres) in planned.items():
        if whole and work_row in made:
            used[mix] = used.get(mix, 0.0) + litres * made[work_row] / whole
    return [
        ("used", {"mix": mix, "l": round(amount, 6), "planned": True})
        for mix, amount in used.items()
        if amount > 0
    ]
