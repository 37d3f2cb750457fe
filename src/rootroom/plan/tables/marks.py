"""The keys that plants are told apart and found by, and the tables of the places they stand in."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from attrs import frozen

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.marks import Marks, Place
from rootroom.plan.measures import Area, MetresOrZero
from rootroom.plan.names import check_spellings, one_name, shown, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.tables.plant_table import PlantTable


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
