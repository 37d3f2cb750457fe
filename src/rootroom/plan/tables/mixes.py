"""The table [mixes]: what each mix is made of, and what must be true of that."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from typing import Any, NewType

from attrs import frozen

from rootroom.catalogue.ingredients import Ingredient, usual_shrink
from rootroom.catalogue.spread import Spread
from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.measures import PerVolume, ShareBelow, ShareSpread
from rootroom.plan.model import Mix
from rootroom.plan.names import meant, one_name, shown, suggest, tables_under, tidy
from rootroom.plan.structure import structure
from rootroom.plan.tables.ingredients import Ingredients, additions
from rootroom.plan.tables.measured import MeasuredTable, read_measured
from rootroom.plan.values import READERS, Days, Part, Text, choice, exact

Only = NewType("Only", str)
READERS[Only] = choice("own", "ready")

_DEEPEST = 20
"""Mixes in mixes that are still taken for a recipe."""


@frozen(eq=False, repr=False)
class MixTable:
    """A table under [mixes] as written."""

    parts: Mapping[str, Part] | None = None
    flex: ShareBelow | None = None
    hold: tuple[Text, ...] | None = None
    shrink: ShareSpread | None = None
    add: Mapping[str, PerVolume] | None = None
    keeps: Days | None = None
    only: Only | None = None
    measured: MeasuredTable | None = None


def read_mixes(
    data: dict[str, Any], ingredients: Ingredients, findings: Findings
) -> dict[str, Mix]:
    """Return the mixes by name, also those with a mistake, as far as they could be read."""
    hint = "write `[mixes.allround]` with its `parts`"
    raw = tables_under("mixes", data, "mix", hint, findings)
    names = {tidy(given): given for given in raw}
    mixes = {}
    for name, given in names.items():
        path: Path = ("mixes", given)
        other = ingredients.name_of(name)
        if other is not None and one_name(other) == one_name(name):
            findings.error(
                path,
                "name-taken",
                f"a mix and an ingredient of one name: `{name}`",
                hint="give the mix another name",
                key=True,
            )
        mixes[name] = _mix(name, raw[given], path, ingredients, names, findings)
    if not _check_cycles(mixes, names, findings):
        _check_depth(mixes, names, findings)
    return mixes


def _mix(
    name: str,
    raw: object,
    path: Path,
    ingredients: Ingredients,
    mixes: Mapping[str, str],
    findings: Findings,
) -> Mix:
    table = structure(MixTable, raw, path, findings)
    parts = _parts(raw, table, path, ingredients, mixes, findings)
    hold = _hold(table, path, ingredients, mixes, findings)
    add = additions(table.add, (*path, "add"), ingredients, findings)
    if table.only == "own" and not parts and not findings.seen((*path, "parts")):
        findings.error(
            (*path, "only"),
            "no-parts",
            f'mix `{name}` has no parts and can only be bought: `only = "own"`',
            hint="write its `parts`, or leave `only` out",
        )
    return Mix(
        name=name,
        parts=parts,
        where=findings.where(path),
        shrink=table.shrink or shrink_of_parts(parts, ingredients),
        flex=exact(table.flex) if table.flex else Fraction(0),
        hold=hold,
        add=add,
        keeps_days=table.keeps,
        only=None if table.only is None else ("own" if table.only == "own" else "ready"),
        measured=read_measured(table.measured, (*path, "measured"), findings),
    )


def _check_shares(raw: object, path: Path, findings: Findings) -> None:
    """Note parts in percent beside parts in numbers, and percents that are not 100 together."""
    given = raw.get("parts") if isinstance(raw, dict) else None
    if not isinstance(given, dict):
        return
    shares = {name: text for name, text in given.items() if isinstance(text, str) and "%" in text}
    others = [name for name, part in given.items() if name not in shares]
    where: Path = (*path, "parts")
    if shares and others:
        first = next(iter(shares))
        findings.error(
            (*where, first),
            "mixed-parts",
            f"`{shown(first)}` in percent beside `{shown(others[0])}` in parts",
            hint="write all of them in percent, or all as numbers: `{ peat = 2, bark = 1 }`",
        )
        return
    percent = [re.fullmatch(r"\s*([0-9.]+)\s*%\s*", text) for text in shares.values()]
    together = sum((Fraction(found[1]) for found in percent if found is not None), Fraction(0))
    if shares and all(percent) and abs(together - 100) > 2:
        findings.error(
            where,
            "mixed-parts",
            f"parts come to {float(together):g} % together",
            hint="write shares that are 100 % together, or numbers: `{ peat = 2, bark = 1 }`",
            key=True,
        )


def _parts(
    raw: object,
    table: MixTable,
    path: Path,
    ingredients: Ingredients,
    mixes: Mapping[str, str],
    findings: Findings,
) -> dict[str, Fraction]:
    """Return the parts by their own names; an unknown part is noted and left out."""
    _check_shares(raw, path, findings)
    parts: dict[str, Fraction] = {}
    for given, share in (table.parts or {}).items():
        where: Path = (*path, "parts", given)
        name = ingredients.find(
            given,
            where,
            findings,
            mixes=mixes,
            but=(*parts, str(path[-1])),
            with_=" with its `density`",
            key=True,
        )
        if name is None:
            continue
        if name in parts:
            findings.error(
                where, "part-twice", f"two names of one part: `{given}` is `{name}`", key=True
            )
        elif share is not None:
            parts[name] = Fraction(share)
    if table.parts is not None and not table.parts:
        findings.error(
            (*path, "parts"),
            "no-parts",
            f"a mix without parts: `{path[-1]}`",
            hint="leave `parts` out for a mix that is bought ready-made",
        )
    return parts


def _hold(
    table: MixTable,
    path: Path,
    ingredients: Ingredients,
    mixes: Mapping[str, str],
    findings: Findings,
) -> frozenset[str]:
    """Return the parts that are never raised."""
    given = table.parts or {}
    names = {name: meant(name, mixes) or ingredients.name_of(name) or name for name in given}
    held = set()
    for index, part in enumerate(table.hold or ()):
        if part is None:
            continue
        name = names.get(meant(part, names) or "", ingredients.name_of(part))
        if name in names.values():
            held.add(str(name))
        elif not findings.seen((*path, "parts")):
            findings.error(
                (*path, "hold", index),
                "unknown-part",
                f"no part of this mix: `{shown(part)}`",
                hint=suggest(part, given, "its parts are " + ", ".join(f"`{p}`" for p in given)),
            )
    return frozenset(held)


def shrink_of_parts(parts: Iterable[str], ingredients: Mapping[str, Ingredient]) -> Spread:
    """Return the shrink of a mix that nobody measured; a mix inside counts as fine."""
    row = usual_shrink([part in ingredients and ingredients[part].coarse for part in parts])
    return Spread.exactly(0.0) if row is None else row.spread


def _check_cycles(mixes: Mapping[str, Mix], names: Mapping[str, str], findings: Findings) -> bool:
    """Note each circle of mixes that hold each other, once, naming the way round."""
    edges = [(name, part) for name, mix in mixes.items() for part in mix.parts if part in mixes]
    if _goes_one_way(edges):
        return False
    import networkx as nx  # which takes as long to load as `check` has for the whole of a plan

    graph = nx.DiGraph(edges)
    order = {name: number for number, name in enumerate(mixes)}
    rings = [
        group
        for group in nx.strongly_connected_components(graph)
        if len(group) > 1 or graph.has_edge(*2 * tuple(group))
    ]
    for group in sorted(rings, key=lambda group: min(map(order.__getitem__, group))):
        start = min(group, key=order.__getitem__)
        ring = _ring(graph.subgraph(group), start)
        way = " > ".join(f"`{name}`" for name in [*ring[:6], *["..."] * (len(ring) > 6), start])
        findings.error(
            ("mixes", names[start], "parts", ring[1] if len(ring) > 1 else start),
            "mix-in-itself",
            f"a mix inside itself: {way}",
            hint="write another part in place of one of these",
            key=True,
        )
    return bool(rings)


def _goes_one_way(edges: Sequence[tuple[str, str]]) -> bool:
    sorter: TopologicalSorter[str] = TopologicalSorter()
    for holder, held in edges:
        sorter.add(holder, held)
    try:
        sorter.prepare()
    except CycleError:
        return False
    return True


def _check_depth(mixes: Mapping[str, Mix], names: Mapping[str, str], findings: Findings) -> None:
    """Note the first mix that holds mixes in mixes deeper than anyone blends; none is a circle."""
    depths: dict[str, int] = {}
    waiting = list(mixes)[::-1]
    while waiting:
        name = waiting[-1]
        inside = [part for part in mixes[name].parts if part in mixes]
        unknown = [part for part in inside if part not in depths]
        waiting.extend(unknown)
        if unknown:
            continue
        waiting.pop()
        depths[name] = 1 + max((depths[part] for part in inside), default=0)
        if depths[name] > _DEEPEST:
            findings.error(
                ("mixes", names[name]),
                "mixes-too-deep",
                f"mixes inside mixes, more than {_DEEPEST} deep: `{shown(name)}`",
                hint="write its `parts` as ingredients, or as mixes that hold no others",
                key=True,
            )
            return


def _ring(graph: Any, start: str) -> list[str]:
    """Return the shortest way from a mix back to itself."""
    import networkx as nx

    ways = [nx.shortest_path(graph, after, start) for after in graph.successors(start)]
    shortest: list[str] = min(ways, key=len)
    return [start, *shortest[:-1]]
