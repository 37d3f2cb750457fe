"""An entry of `plants` as written: its moves and their aftercare, its sorts, place and tag."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from attrs import define, fields, frozen

from rootroom.catalogue.uses import Crop
from rootroom.containers.container import Container
from rootroom.plan.context import Context
from rootroom.plan.dates import MOST_DAYS
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.entries import CareStep, Marks, Place
from rootroom.plan.measures import Area, Level, MassOrVolume, Metres, MetresOrZero, Refresh, Share
from rootroom.plan.names import check_spellings, one_name, shown, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.values import Count, Day, Days, Flag, Name, Text, When


@frozen(eq=False, repr=False)
class CareTable:
    """An entry of `then` as written."""

    do: Name | None = None
    after: Days | None = None
    every: Days | None = None
    times: Count | None = None
    of: Text | None = None
    amount: MassOrVolume | None = None


def read_care(
    tables: Sequence[CareTable | None], path: Path, place: str | None, context: Context
) -> tuple[CareStep, ...]:
    """Return the aftercare of a move to a `place` without mix, or into a container; notes mistakes.

    `path` is that of `then`.
    """
    if place == "sold" and tables:
        context.findings.error(
            path,
            "care-after-leaving",
            "aftercare of plants that are sold",
            hint="leave `then` out; the buyer cares for them",
            key=True,
        )
        return ()
    found = []
    for number, table in enumerate(tables):
        step = None if table is None else _step(table, (*path, number), context)
        if step is not None:
            found.append(step)
    return tuple(found)


def _step(table: CareTable, path: Path, context: Context) -> CareStep | None:
    findings = context.findings
    if table.do is None:
        hint = 'write `do = "feed"`'
        findings.missing(path, "do", "aftercare needs `do`: what is done", hint)
    if table.after is None:
        hint = 'write `after = "3 weeks"`'
        findings.missing(path, "after", "aftercare needs `after`: how long after", hint)
    if not _repeats(table, path, context):
        return None
    of = _good(table, path, context)
    if table.do is None or table.after is None or (of is None and table.amount is not None):
        return None
    every, times = table.every or 0, table.times or 1
    return CareStep(str(table.do), table.after, every, times, of, table.amount)


def _repeats(table: CareTable, path: Path, context: Context) -> bool:
    """Note a repetition of which the interval or the number is missing, or that never ends."""
    findings = context.findings
    for key, other, example in (("every", "times", "4"), ("times", "every", '"2 weeks"')):
        hint = f"write `{other} = {example}` beside it"
        if table.times != 1 and _alone(table, key, other, hint, path, context):
            return False
    if table.every == 0:
        findings.error(
            (*path, "every"), "zero-number", "every 0 days is never over", hint="leave it out"
        )
        return False
    span = (table.after or 0) + (table.every or 0) * ((table.times or 1) - 1)
    if span > MOST_DAYS:
        findings.error(
            (*path, "times"),
            "too-large",
            f"the last time is {span:,} days after the move",
            hint="a plan is for one season: do it less often",
        )
        return False
    return True


def _good(table: CareTable, path: Path, context: Context) -> str | None:
    """Return the addition that is given; note one that is not known, or an amount without one."""
    for key, other, example in (("amount", "of", '"liquid feed"'), ("of", "amount", '"1 tbsp"')):
        hint = f"write `{other} = {example}`: what each plant gets each time"
        if _alone(table, key, other, hint, path, context):
            return None
    if table.of is None:
        return None
    where, how = (*path, "of"), " with `addition = true`"
    return context.ingredients.find(table.of, where, context.findings, with_=how)


def _alone(table: CareTable, key: str, other: str, hint: str, path: Path, context: Context) -> bool:
    """Note a key whose other half is not there."""
    alone = getattr(table, key) is not None and getattr(table, other) is None
    if not alone or context.findings.seen((*path, other)):
        return False
    context.findings.error(
        (*path, key), "missing-key", f"`{key}` without `{other}`", hint=hint, key=True
    )
    return True


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


def read_marks(table: PlantTable, count: int | None, path: Path, findings: Findings) -> Marks:
    """Return the marks of an entry of `count` plants (None where that is not known)."""
    pairs = _sorts(table.sorts or {}, (*path, "sorts"), findings)
    if table.sort is not None and table.sorts is not None:
        findings.error(
            (*path, "sort"),
            "sort-twice",
            f"`sort` and `sorts` of one plant: `{table.sort}`",
            hint="write all of them under `sorts`",
            key=True,
            related=[((*path, "sorts"), "the others are here")],
        )
    elif table.sorts is not None and not table.sorts:
        findings.error(
            (*path, "sorts"),
            "missing-key",
            "`sorts` without a sort",
            hint='write `sorts = { "Early black" = 6 }`, or leave it out',
        )
    total = sum(many for _, many in pairs)
    if pairs and count is not None and count != total and not findings.seen((*path, "sorts")):
        findings.error(
            (*path, "count"),
            "sorts-count",
            f"the sorts come to {total}, not to the count: `{count}`",
            hint=f"write `count = {total}`, or mend a sort",
            related=[((*path, "sorts"), "the sorts are here")],
        )
    if table.sort is not None and count is not None:
        pairs = ((str(table.sort), count),)
    return Marks(pairs, str(table.place or ""), str(table.tag or ""))


def _sorts(
    given: Mapping[str, int | None], path: Path, findings: Findings
) -> tuple[tuple[str, int], ...]:
    """Return the sorts with their counts; names that no label can show are noted."""
    hint = "write both as one, with the sum of their counts"
    check_spellings(given, path, findings, twice="two spellings of one sort", hint=hint)
    return tuple((tidy(name), many) for name, many in given.items() if many)


@frozen(eq=False, repr=False)
class PlaceTable:
    """A table under [places] as written."""

    area: Area | None = None
    gap: MetresOrZero | None = None


def read_places(
    data: dict[str, Any], used: Collection[str], findings: Findings
) -> dict[str, Place]:
    """Return the places that have a table, by name; one that no plant names is noted."""
    hint = 'write `[places."bench 3"]` with `area = "24 sq ft"`'
    raw = tables_under("places", data, "place", hint, findings)
    known = {one_name(name): name for name in used}
    places = {}
    for name, table in raw.items():
        path: Path = ("places", name)
        found = structure(PlaceTable, table, path, findings)
        if found.area is None:
            needs = f"place `{shown(name)}` needs its `area`"
            findings.missing(path, "area", needs, 'write `area = "24 sq ft"` or `"8 ft x 3 ft"`')
            continue
        near = suggest(name, known.values())
        # Beside a mistake the plants that stand there may not have been read.
        if one_name(name) not in known and (near or not findings.wrong):
            findings.warning(
                path,
                "unused-place",
                f"no plant stands in a place of this name: `{shown(name)}`",
                hint=near or f'write `place = "{shown(name)}"` on a plant',
                key=True,
            )
        places[known.get(one_name(name), tidy(name))] = Place(found.area, found.gap or 0.0)
    return places
