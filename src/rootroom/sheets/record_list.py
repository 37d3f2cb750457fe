"""What a record holds, a line an event with its id, for corrections."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from rootroom.record.events import holding
from rootroom.sheets.money import money
from rootroom.sheets.plain import clip, tidy
from rootroom.units import show_minutes, show_volume

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.units import System


def record_list(plan: Plan, events: Sequence[Event]) -> str:
    """Return the events that hold, oldest first, each with the id that a correction names."""
    held = sorted(holding(events), key=lambda event: (event.day, event.line))
    if not held:
        return "The record is empty."
    system = plan.garden.system
    rows = [
        clip(f"{event.day}  {event.id[:16]:<16}  {event.kind:<9}  {told(event, system)}", 110)
        for event in held
    ]
    gone = len(events) - len(held)
    tail = f"\n\n{gone} more line{'s were' if gone != 1 else ' was'} corrected or taken back."
    return "\n".join(rows) + (tail if gone else "")


def told(event: Event, system: System) -> str:
    """Return what an event tells in a few words."""
    data: Mapping[str, Any] = event.data
    if "plant" in data:
        until = f" until {data['until']}" if "until" in data else ""
        sort = f"/{data['sort']}" if data.get("sort") else ""
        return f"{data['count']} {tidy(data['plant'] + sort)}, move {data['move']}{until}"
    if event.kind == "filled":
        return f"{tidy(data['bed'])}, layer {data['layer']}: {data['share']:.0%}"
    if "mix" in data:
        return f"{tidy(data['mix'])}: {show_volume(data['l'], system)}"
    if event.kind == "taken out":
        of = f" of {tidy(data['of'])}" if "of" in data else ""
        return f"{show_volume(data['l'], system)}{of}"
    if event.kind == "bought":
        paid = "" if data["paid_cents"] is None else f" for {money(data['paid_cents'])}"
        source = f" at {tidy(data['from'])}" if data.get("from") else ""
        return f"{data['packs']:g} {tidy(data['of'])}{paid}{source}"
    if event.kind == "in stock":
        there = f"{data['packs']:g} of" if data["packs"] is not None else ""
        return f"{there or show_volume(data['l'] or 0.0, system)} {tidy(data['of'])}"
    if "container" in data and "count" in data and event.kind != "timed":
        return f"{data['count']} {tidy(data['container'])}"
    if event.kind == "timed":
        what = f"{data['work']} {tidy(data.get('container', ''))}".strip()
        return f"{what}: {data['count']} in {show_minutes(data['minutes'])}"
    if event.kind == "worked":
        by = f" by {tidy(event.by)}" if event.by else ""
        return f"{show_minutes(data['minutes'])}{by}"
    if event.kind == "measured":
        times = f" (mean of {data['times']})" if "times" in data else ""
        return f"{data['what']} {tidy(data['of'])}".strip() + f" = {data['value']:g}{times}"
    if event.kind == "planned":
        days = {row.get("day") for row in data["sessions"]}
        return f"a posted plan of {len(days)} session{'s' if len(days) != 1 else ''}"
    return ", ".join(tidy(str(value)) for value in data.values())
