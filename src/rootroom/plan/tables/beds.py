"""The list `beds`: shape, depth and layers of each bed."""

from __future__ import annotations

from typing import Any, NewType

from attrs import frozen

from rootroom.containers.beds import read_bed_shape
from rootroom.plan.context import Context, read_window_of
from rootroom.plan.diagnostics import Path
from rootroom.plan.entries import Bed, Layer
from rootroom.plan.measures import Metres, ShareSpread
from rootroom.plan.names import note_twice, one_name, tidy
from rootroom.plan.structure import structure
from rootroom.plan.tables.plants import entries_of
from rootroom.plan.values import READERS, Count, Name, Text, When, choice
from rootroom.problems import TextError
from rootroom.tolerances import ROUNDING

_DEEPEST_M = 3.0


@frozen(eq=False, repr=False)
class LayerTable:
    """A layer of a bed as written."""

    of: Text | None = None
    depth: Metres | None = None


BlendWay = NewType("BlendWay", str)
READERS[BlendWay] = choice("in place", "vessel")


@frozen(eq=False, repr=False)
class BedTable:
    """An entry of `beds` as written."""

    name: Name | None = None
    shape: Text | None = None
    corners: tuple[tuple[Text, ...], ...] | None = None
    depth: Metres | None = None
    already: Metres | None = None
    top_up: Metres | None = None
    mix: Text | None = None
    layers: tuple[LayerTable, ...] | None = None
    settles: ShareSpread | None = None
    from_: When | None = None
    by: When | None = None
    people: Count | None = None
    blend: BlendWay | None = None


def bed_names(data: dict[str, Any]) -> list[str]:
    """Return the names of all beds, broken ones too."""
    entries = (entry for _, entry in entries_of(data, "beds") if isinstance(entry, dict))
    names = (entry.get("name") for entry in entries)
    return [tidy(name) for name in names if isinstance(name, str) and name.strip()]


def read_beds(data: dict[str, Any], context: Context) -> tuple[Bed, ...]:
    """Return the beds in the order of the file."""
    named: dict[str, Path] = {}
    beds = []
    for path, raw in entries_of(data, "beds"):
        table = structure(BedTable, raw, path, context.findings)
        _check_name(table, path, named, context)
        bed = _bed(table, path, context)
        if bed is not None:
            beds.append(bed)
    return tuple(beds)


def _check_name(table: BedTable, path: Path, named: dict[str, Path], context: Context) -> None:
    if table.name is None:
        hint = 'write `name = "South bed"`'
        context.findings.missing(path, "name", "a bed needs its `name`", hint)
        return
    findings, hint = (
        context.findings,
        "give one another name; capitals and spaces do not tell them apart",
    )
    note_twice(table.name, (*path, "name"), named, findings, of="beds", hint=hint)
    if one_name(table.name) in ("ground", "sold"):
        context.findings.error(
            (*path, "name"), "name-taken", f"a word of the plan is no name of a bed: `{table.name}`"
        )


def _bed(table: BedTable, path: Path, context: Context) -> Bed | None:
    area = _area(table, path, context)
    depths = _depths(table, path, context)
    layers = _layers(table, path, depths, context)
    window = read_window_of(table.from_, table.by, path, context)
    if area is None or depths is None or layers is None or window is None or table.name is None:
        return None
    text, area_m2 = area
    return Bed(
        name=table.name,
        shape_text=text,
        area_m2=area_m2,
        depth_m=depths[0],
        already_m=depths[1],
        layers=layers,
        settles=table.settles or context.factors.settles,
        opens=window[0],
        due=window[1],
        where=context.findings.where(path),
        dated=table.from_ is not None or table.by is not None,
        people=table.people or 1,
        in_place=table.blend == "in place",
    )


def _area(table: BedTable, path: Path, context: Context) -> tuple[str, float] | None:
    """Return the shape's text and area [m2]."""
    findings = context.findings
    if table.shape is not None and table.corners is not None:
        findings.error(
            (*path, "corners"),
            "shape-twice",
            "a bed has a `shape` or `corners`, not both",
            key=True,
            related=[((*path, "shape"), "the shape is here")],
        )
        return None
    key = "shape" if table.corners is None else "corners"
    try:
        if table.shape is not None:
            return str(table.shape), read_bed_shape(table.shape).area_m2
        if table.corners is not None:
            found = read_bed_shape(
                [[str(side) for side in corner or ()] for corner in table.corners]
            )
            return found.text, found.area_m2
    except TextError as error:
        findings.refuse((*path, key), error)
        return None
    if not findings.seen((*path, "corners")):
        hint = 'write `shape = "8 ft x 4 ft"` or `"round 5 ft"`'
        findings.missing(path, "shape", "a bed needs its `shape`", hint)
    return None


def _depths(table: BedTable, path: Path, context: Context) -> tuple[float, float] | None:
    """Return the depth once settled and what is there already [m]."""
    findings = context.findings
    if any(findings.seen((*path, key)) for key in ("depth", "already", "top_up")):
        return None
    if table.top_up is not None:
        for key in ("depth", "already"):
            if getattr(table, key) is not None:
                findings.error(
                    (*path, key),
                    "depth-twice",
                    f"`top_up` stands in place of `depth` and `already`: `{key}`",
                    hint="leave one of them out",
                    key=True,
                )
                return None
        return table.top_up, 0.0
    if table.depth is None:
        hint = 'write `depth = "11 in"`'
        findings.missing(path, "depth", "a bed needs its `depth`, or `top_up`", hint)
        return None
    if table.depth > _DEEPEST_M:
        findings.error(
            (*path, "depth"), "too-large", f"deeper than any bed: {context.length(table.depth)}"
        )
        return None
    already = table.already or 0.0
    if already >= table.depth:
        findings.error(
            (*path, "already"),
            "no-place",
            f"the bed is full: {context.length(already)} are there already, the depth is "
            f"{context.length(table.depth)}",
            hint="`depth` is inside, of the fill once settled; `top_up` adds to what is there",
        )
        return None
    return table.depth, already


def _layers(
    table: BedTable, path: Path, depths: tuple[float, float] | None, context: Context
) -> tuple[Layer, ...] | None:
    """Return the layers from below; one without depth fills the rest."""
    findings = context.findings
    if findings.seen((*path, "layers")) or findings.seen((*path, "mix")):
        return None
    if table.layers is None:
        return _only_layer(table, path, context)
    if table.mix is not None:
        findings.error(
            (*path, "mix"), "layers-twice", "a bed has a `mix` or `layers`, not both", key=True
        )
        return None
    whole = True
    filling: list[Path] = []
    layers = []
    for index, layer in enumerate(table.layers):
        where: Path = (*path, "layers", index)
        if layer is None or layer.of is None:
            findings.missing(where, "of", "a layer needs `of`: a mix or an ingredient", "")
            whole = False
            continue
        if layer.depth is None:
            filling.append(where)
        name = _known(layer.of, (*where, "of"), context)
        whole = whole and name is not None
        layers.append(Layer(name or layer.of, layer.depth))
    fixed = sum(layer.depth_m or 0.0 for layer in layers)
    if len(filling) > 1:
        findings.error(
            filling[1],
            "layers-without-depth",
            "two layers without a depth: only one can fill the rest",
            hint="give all layers but one a `depth`",
            related=[(filling[0], "the first is here")],
        )
        return None
    if depths is not None and not _fits(fixed, depths, bool(filling), (*path, "layers"), context):
        return None
    return tuple(layers) if whole and layers else None


def _only_layer(table: BedTable, path: Path, context: Context) -> tuple[Layer, ...] | None:
    if table.mix is not None:
        name = _known(table.mix, (*path, "mix"), context)
        return None if name is None else (Layer(name, None),)
    if len(context.mix_names) == 1:
        return (Layer(next(iter(context.mix_names)), None),)
    names = ", ".join(f"`{name}`" for name in context.mix_names)
    hint = 'write `layers = [ { of = "allround" } ]`' + (
        f"; the mixes are {names}" if names else ""
    )
    context.findings.missing(path, "layers", "a bed needs its `layers`", hint)
    return None


def _fits(
    fixed: float, depths: tuple[float, float], filled: bool, path: Path, context: Context
) -> bool:
    """Note layers that are deeper than the bed, or leave a part of it empty."""
    place = depths[0] - depths[1]
    if fixed > place + ROUNDING or (filled and fixed > place - ROUNDING):
        context.findings.error(
            path,
            "no-place",
            f"the layers are {context.length(fixed)} deep, the place is {context.length(place)}",
            hint="`depth` less `already` is what the layers share",
        )
        return False
    if not filled and fixed < place - ROUNDING:
        context.findings.error(
            path,
            "layers-too-thin",
            f"the layers are {context.length(fixed)} deep, the place is {context.length(place)}",
            hint="leave the `depth` of one layer out: it fills the rest",
        )
        return False
    return True


def _known(text: str, path: Path, context: Context) -> str | None:
    """Return the one name of a mix or ingredient; an unknown one is noted."""
    mixes, how = context.mix_names, " with its `density`"
    return context.ingredients.find(text, path, context.findings, mixes=mixes, with_=how)
