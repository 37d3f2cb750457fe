"""Corrections: which events of a record hold."""

from __future__ import annotations

from collections.abc import Iterable

from rootroom.record.events import Event

__all__ = ["holding"]


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
