"""The catalogue's rows as containers: one builder for each kind of container.

Each takes sizes in base units and the text that the container goes by, and returns a `Container`
with its likely shape. Limits and spellings are the business of `rootroom.containers.text`.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import Any, Literal

from rootroom.catalogue.containers import (
    BoxRow,
    ContainerClass,
    Origin,
    TrayRow,
    VolumeRule,
    container_table,
)
from rootroom.catalogue.spread import Spread
from rootroom.containers.container import (
    CELL_SHARE,
    TRAY_LENGTH_M,
    TRAY_WIDTH_M,
    Container,
    fill_spread,
    fit_shape,
)
from rootroom.containers.shapes import Cylinder, HalfBarrel, Pyramid, Shape


def _shaped(
    text: str,
    kind: str,
    brim_l: Spread,
    shape: Shape,
    origin: Origin,
    weight_kg: Spread | None,
    headspace_m: float = 0.0,
    **others: Any,
) -> Container:
    """Return a pot of a shape that is filled to its headspace [m]."""
    return Container(
        text=text,
        kind=kind,
        brim_l=brim_l,
        fill_l=fill_spread(brim_l, shape, headspace_m),
        shape=shape,
        height_m=shape.height_m,
        headspace_m=headspace_m,
        source=origin.source,
        grade=origin.grade,
        note=origin.note,
        weight_kg=weight_kg,
        **others,
    )


def _weigh(each: Spread, litres: float) -> Spread:
    """Return what a pot weighs [kg] that weighs so much for each of its litres."""
    return each.map(lambda one: one * litres)


def class_pot(row: ContainerClass) -> Container:
    """Return a pot of a class of the nursery standard."""
    brim_l, height_m = row.brim_l, row.height_m
    shape = fit_shape(
        volume_l=brim_l.likely, width_m=row.top_m, height_m=height_m, square=row.square
    )
    weight, space_m, number = row.weight_kg, row.headspace_m, row.number
    return _shaped(
        row.name, "class", brim_l, shape, row.origin, weight, space_m, class_number=number
    )


def round_pot(text: str, top_m: float) -> Container:
    """Return a round pot known by its top diameter [m]."""
    table = container_table()
    row = table.round_pot(top_m)
    shape = fit_shape(volume_l=row.brim_l.likely, width_m=top_m, height_m=row.height_m)
    headspace_m = table.headspace_m(top_m)
    weight = _weigh(table.round_weight_kg_per_l, row.brim_l.likely)
    return _shaped(text, "round pot", row.brim_l, shape, row.origin, weight, headspace_m)


def proportioned(text: str, kind: str, top_m: float) -> Container:
    """Return an azalea, clay or square pot, pan, basket or cup by its top width [m]."""
    table = container_table()
    row = table.proportions[kind]
    height_m = row.height_share * top_m
    straight_l = 1000 * (1.0 if row.square else pi / 4) * top_m**2 * height_m
    brim_l = row.volume_share.map(lambda share: share * straight_l)
    shape = fit_shape(volume_l=brim_l.likely, width_m=top_m, height_m=height_m, square=row.square)
    # A low pan of 4 in is less than 2 in deep: the headspace is never over a quarter of the height.
    headspace_m = min(table.headspace_m(top_m), height_m / 4)
    weight = _weigh(row.weight_kg_per_l, brim_l.likely)
    return _shaped(text, kind, brim_l, shape, row.origin, weight, headspace_m)


def tray(text: str, cells: int) -> Container:
    """Return a cell tray: volumes are those of one cell, without headspace."""
    row = container_table().tray(cells)
    return _celled(text, "tray", cells, cells, row)


def pack(text: str, cells: int) -> Container:
    """Return a pack of cells as it is broken out of a tray: volumes are those of one cell."""
    row = container_table().packs[cells]
    return _celled(text, "pack", cells, cells * row.packs_a_tray, row)


def _celled(text: str, kind: str, cells: int, cells_a_tray: int, row: TrayRow) -> Container:
    pitch_m = CELL_SHARE * sqrt(TRAY_LENGTH_M * TRAY_WIDTH_M / cells_a_tray)
    shape = fit_shape(
        volume_l=row.cell_l.likely, width_m=pitch_m, height_m=row.height_m, square=True
    )
    return _shaped(text, kind, row.cell_l, shape, row.origin, None, cells=cells)


def window_box(text: str, length_m: float) -> Container:
    """Return a window box of the usual width and depth by its length [m]."""
    row = container_table().window_box
    return _tapered_box(text, "window box", (length_m, row.width_m), row.height_m, row)


def tree_pot(text: str, width_m: float, height_m: float) -> Container:
    """Return a tall square pot for trees by its width across the top and its depth [m]."""
    row = container_table().tree_pot
    return _tapered_box(text, "tree pot", (width_m, width_m), height_m, row)


def _tapered_box(
    text: str, kind: str, top_m: tuple[float, float], height_m: float, row: BoxRow
) -> Container:
    """Return a pot whose four walls lean in alike, as far as its likely volume asks for.

    With both sides of the bottom shorter by d, the share s of straight walls over a top of a by b
    is 1 - (a + b) d / (2 a b) + d2 / (3 a b).
    """
    long_m, short_m = top_m
    straight_l = 1000 * long_m * short_m * height_m
    half = (long_m + short_m) / 2
    lost_m2 = (1 - row.volume_share.likely) * long_m * short_m
    less_m = 1.5 * (half - sqrt(half**2 - 4 / 3 * lost_m2))
    shape = Pyramid(top_m, (long_m - less_m, short_m - less_m), height_m)
    headspace_m = min(container_table().headspace_m(short_m), height_m / 4)
    brim_l = row.volume_share.map(lambda share: share * straight_l)
    weight = _weigh(row.weight_kg_per_l, brim_l.likely)
    return _shaped(text, kind, brim_l, shape, row.origin, weight, headspace_m)


def by_volume(
    text: str, volume_l: float, what: Literal["bag", "bucket", "cup", "code_c"]
) -> Container:
    """Return a container named by its volume [L], in the usual proportions of its kind.

    That of a fabric bag and of the European code C is what it is filled with, else to the brim.
    """
    rule: VolumeRule = getattr(container_table(), what)
    brim_l = rule.share.map(lambda share: share * volume_l)
    straight = what == "bag"
    taper = 1.0 if straight else 0.80
    cubed = brim_l.likely / 1000 / (taper * pi / 4 * rule.height_per_width)
    width_m = cubed ** (1 / 3)
    height_m = rule.height_per_width * width_m
    shape: Shape
    if straight:
        shape = Cylinder(width_m, height_m)
    else:
        shape = fit_shape(volume_l=brim_l.likely, width_m=width_m, height_m=height_m)
    headspace_m = min(rule.headspace_m, height_m / 4)
    kind = "code" if what == "code_c" else what
    weight = _weigh(rule.weight_kg_per_l, brim_l.likely)
    return _shaped(text, kind, brim_l, shape, rule.origin, weight, headspace_m)


def code_p(text: str, width_m: float) -> Container:
    """Return the European code P: its number is the outside width across the top in centimetres."""
    table = container_table()
    fill_l, origin = table.code_p_fill_l(width_m)
    spread = table.code_p.share.map(lambda share: share * fill_l)
    height_m = table.code_p.height_per_width * width_m
    shape = fit_shape(volume_l=fill_l, width_m=width_m, height_m=height_m, square=True)
    weight = _weigh(table.code_p.weight_kg_per_l, fill_l)
    return _shaped(text, "code", spread, shape, origin, weight)


def half_barrel() -> Container:
    """Return the usual half barrel."""
    row = container_table().half_barrel
    shape = HalfBarrel(row.rim_m, row.bottom_m, row.height_m)
    brim_l = Spread(row.brim_low_l, shape.volume_l(), row.brim_high_l)
    kind, space_m = "half barrel", row.headspace_m
    return _shaped(kind, kind, brim_l, shape, row.origin, row.weight_kg, space_m)


def plain_volume(text: str, volume_l: float, *, gallons: bool = False) -> Container:
    """Return a container of which only the volume filled [L] is known.

    True `gallons` are easily taken for a class, so a note says where no class holds as much.
    """
    volume = Spread.exactly(volume_l)
    note = "the volume as stated; shape and height are not known"
    if gallons and not any(row.holds_brim(volume_l) for row in container_table().classes.values()):
        note += "; no nursery class holds as much"
    return Container(text, "volume", volume, volume, source="as stated", grade="own", note=note)


def no_container(text: str) -> Container:
    """Return bare root, cutting or seed: no volume, no ball."""
    nothing = Spread.exactly(0.0)
    return Container(text, "none", nothing, nothing, holds=False, source="as stated", grade="own")
