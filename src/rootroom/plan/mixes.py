"""The table [mixes]: what each mix is made of, and what must be true of that."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NewType

from attrs import frozen

from rootroom.catalogue.factors import usual_shrink
from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.plan.findings import Findings, Path
from rootroom.plan.measured import MeasuredTable, read_measured
from rootroom.plan.model import Mix
from rootroom.plan.names import note_bad_name, suggest
from rootroom.plan.structure import structure
from rootroom.plan.values import (
    READERS,
    Days,
    Part,
    PerVolume,
    Share,
    ShareSpread,
    Text,
    choice,
    exact,
)

__all__ = ["read_mixes"]

Only = NewType("Only", str)
READERS[Only] = choice("own", "ready")


@frozen
class MixTable:
    """A table under [mixes] as written."""

    parts: Mapping[str, Part] | None = None
    flex: Share | None = None
    hold: tuple[Text, ...] | None = None
    shrink: ShareSpread | None = None
    add: Mapping[str, PerVolume] | None = None
    keeps: Days | None = None
    only: Only | None = None
    measured: MeasuredTable | None = None


def read_mixes(
    data: dict[str, Any], ingredients: Mapping[str, Ingredient], findings: Findings
) -> dict[str, Mix]:
    """Return the mixes by name, also those with a mistake, as far as they could be read."""
    raw = data.get("mixes", {})
    if not isinstance(raw, dict):
        findings.error(("mixes",), "wrong-kind", "`mixes` holds a table for each mix",
                       hint="write `[mixes.allround]` with its `parts`")
        return {}
    mixes = {}
    for name, table in raw.items():
        path: Path = ("mixes", name)
        note_bad_name(name, path, findings)
        if name in ingredients:
            findings.error(
                path,
                "name-taken",
                f"a mix and an ingredient of one name: `{name}`",
                hint="give the mix another name",
                key=True,
            )
        mixes[name] = _mix(name, table, path, ingredients, raw, findings)
    _check_cycles(mixes, findings)
    return mixes


def _mix(
    name: str,
    raw: object,
    path: Path,
    ingredients: Mapping[str, Ingredient],
    mixes: Mapping[str, object],
    findings: Findings,
) -> Mix:
    table = structure(MixTable, raw, path, findings)
    given = table.parts or {}
    parts = {part: Fraction(share) for part, share in given.items() if share is not None}
    for part in given:
        if part not in ingredients and part not in mixes:
            hint = suggest(
                part,
                [*ingredients, *mixes],
                f'describe it under `[ingredients."{part}"]`, as `density = "100 kg/m3"`',
            )
            findings.error(
                (*path, "parts", part),
                "unknown-ingredient",
                f"unknown ingredient or mix: `{part}`",
                hint=hint,
                key=True,
            )
    if table.parts is not None and not given:
        findings.error(
            (*path, "parts"), "no-parts", f"mix `{name}` has no parts",
            hint="leave `parts` out for a mix that is bought ready-made",
        )
    for index, part in enumerate(table.hold or ()):
        if part is not None and part not in given and not findings.seen((*path, "parts")):
            findings.error(
                (*path, "hold", index),
                "unknown-part",
                f"no part of this mix: `{part}`",
                hint=suggest(part, given, "the parts are " + ", ".join(f"`{p}`" for p in given)),
            )
    for addition in table.add or {}:
        if addition not in ingredients:
            findings.error(
                (*path, "add", addition),
                "unknown-ingredient",
                f"unknown ingredient: `{addition}`",
                hint=suggest(
                    addition, ingredients, f'describe it under `[ingredients."{addition}"]`'
                ),
                key=True,
            )
    if table.only == "own" and not given and not findings.seen((*path, "parts")):
        findings.error(
            (*path, "only"),
            "no-parts",
            f"mix `{name}` can only be bought, it has no parts: `only = \"own\"`",
            hint="write its `parts`, or leave `only` out",
        )
    if table.flex is not None and table.flex >= 1:
        findings.error((*path, "flex"), "bad-share", f"a part cannot bend by all of itself: `{table.flex:.0%}`")
    measured = read_measured(table.measured, (*path, "measured"), findings)
    return Mix(
        name=name,
        parts=parts,
        where=findings.where(path),
        shrink=table.shrink or _usual_shrink(parts, ingredients),
        flex=exact(table.flex) if table.flex else Fraction(0),
        hold=frozenset(str(part) for part in table.hold or () if part is not None),
        add={key: rate for key, rate in (table.add or {}).items() if rate is not None},
        keeps_days=table.keeps,
        only=None if table.only is None else ("own" if table.only == "own" else "ready"),
        measured=measured,
    )


def _usual_shrink(parts: Mapping[str, Fraction], ingredients: Mapping[str, Ingredient]) -> Spread:
    """Return the shrink of a mix that nobody measured; a mix inside counts as fine."""
    row = usual_shrink([part in ingredients and ingredients[part].coarse for part in parts])
    return Spread.exactly(0.0) if row is None else row.spread


def _check_cycles(mixes: Mapping[str, Mix], findings: Findings) -> None:
    """Note each circle of mixes that hold each other, once, naming the way round."""
    edges = [(name, part) for name, mix in mixes.items() for part in mix.parts if part in mixes]
    if not edges:
        return
    import networkx as nx

    graph = nx.DiGraph(edges)
    for group in sorted(nx.strongly_connected_components(graph), key=lambda g: min(map(list(mixes).index, g))):
        start = min(group, key=list(mixes).index)
        if len(group) == 1 and not graph.has_edge(start, start):
            continue
        ring = _ring(graph.subgraph(group), start)
        way = " > ".join(f"`{name}`" for name in [*ring, start])
        findings.error(
            ("mixes", ring[0], "parts", ring[1] if len(ring) > 1 else start),
            "mix-in-itself",
            f"a mix inside itself: {way}",
            hint="take one of these parts out",
            key=True,
        )


def _ring(graph: Any, start: str) -> list[str]:
    """Return the shortest way from a mix back to itself."""
    import networkx as nx

    ways = [
        nx.shortest_path(graph, after, start) for after in graph.successors(start)
    ]
    shortest: list[str] = min(ways, key=len)
    return [start, *shortest[:-1]]
