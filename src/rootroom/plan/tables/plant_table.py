"""An entry of `plants` and its moves as written, and where its plants stand between two moves."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from attrs import define, fields, frozen

from rootroom.catalogue.crops import Crop
from rootroom.containers.container import Container
from rootroom.plan.measures import Area, Level, MassOrVolume, Metres, Refresh, Share
from rootroom.plan.tables.aftercare import CareTable
from rootroom.plan.values import Count, Day, Days, Flag, Name, Text, When


@frozen(eq=False, repr=False)
class MoveTable:
    """The keys of a move as written; one move may be written straight on the plant."""

    to: Text | None = None
    mix: Text | None = None
    refresh: Refresh | None = None
    fill: Level | None = None
    from_: When | None = None
    by: When | None = None
    wait: Days | None = None
    harden: Days | None = None
    count: Count | None = None
    per_pot: Count | None = None
    into: Count | None = None
    keep: Share | None = None
    people: Count | None = None
    add: Mapping[str, MassOrVolume] | None = None
    big_step: Flag | None = None
    then: tuple[CareTable, ...] | None = None


@frozen(eq=False, repr=False)
class PlantTable(MoveTable):
    """An entry of `plants` as written; one move may stand on it directly."""

    name: Name | None = None
    crop: Text | None = None
    now: Text | None = None
    moves: tuple[MoveTable, ...] | None = None
    tender: Flag | None = None
    stands: Area | None = None
    sort: Name | None = None
    sorts: Mapping[str, Count] | None = None
    place: Name | None = None
    tag: Name | None = None
    since: Day | None = None
    spacing: Metres | None = None
    rows: Text | None = None


MOVE_KEYS = tuple(each.name for each in fields(MoveTable) if each.name != "count")


@define
class Standing:
    """Where a plant stands between two moves, and what it has gone through.

    `pot` is None once a mistake leaves it unknown; `left` names the place it went to for good.
    `filled` is the share of the pot's fill that is in so far.
    """

    pot: Container | None
    count: int | None
    earliest: date
    shared: int = 1
    left: str | None = None
    tender: bool = False
    crop: Crop | None = None
    filled: float = 1.0
    mix: str | None = None
