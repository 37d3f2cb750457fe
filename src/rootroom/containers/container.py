"""A container: what it takes to the brim and to the fill line, and what else is known of it."""

from __future__ import annotations

from math import ceil, pi, sqrt
from typing import Any

from attrs import evolve, fields, frozen

from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Prism, Pyramid, Shape
from rootroom.tolerances import ROUNDING

CLASS_ONE_LEAST_L = 2.490833728
"""Low end of class #1 [L], 152 in3: from here on a container counts as of class #1 or more."""

TRAY_LENGTH_M, TRAY_WIDTH_M = 0.54, 0.27
"""Inside sizes of the usual cell tray [m] (common practice, no source)."""

CELL_SHARE = 0.9
"""A cell's top is nine tenths as wide as its share of the tray."""


@frozen
class Container:
    """What a container's text means.

    `text` is the one spelling shared by all ways to write the same container; stock and the shared
    draws go by it.
    `brim_l` and `fill_l` [L] are of one pot, or of one cell of a tray of `cells`.
    `holds` is false for what brings no ball and takes no mix: bare root, cutting, seed.
    `shape` is the likely one, its volume to the brim `brim_l.likely`; None where only a volume is
    known. `height_m` [m] is the inside height, `headspace_m` [m] what stays empty below the rim.
    `weight_kg` [kg] is that of the empty container.
    `source` and `grade` say where the volume comes from (A to C, M from memory, own: the user's).
    """

    text: str
    kind: str
    brim_l: Spread
    fill_l: Spread
    shape: Shape | None = None
    height_m: float | None = None
    headspace_m: float = 0.0
    cells: int = 1
    holds: bool = True
    class_number: int | None = None
    source: str = ""
    grade: str = ""
    note: str = ""
    weight_kg: Spread | None = None

    @property
    def diameter_m(self) -> float | None:
        """Greatest width [m] of the pot, whole tray or pack; None where it is not known."""
        if self.kind == "tray":
            return TRAY_LENGTH_M
        if self.kind == "pack" and self.shape is not None:
            return (top_width_m(self.shape) or 0.0) / CELL_SHARE * ceil(self.cells / 2)
        return None if self.shape is None else greatest_width_m(self.shape)

    @property
    def footprint_m2(self) -> float | None:
        """Area [m2] that the pot, whole tray or pack stands on; None where it is not known."""
        if self.kind == "tray":
            return TRAY_LENGTH_M * TRAY_WIDTH_M
        if self.kind == "pack" and self.shape is not None:
            return self.cells * ((top_width_m(self.shape) or 0.0) / CELL_SHARE) ** 2
        return None if self.shape is None else self.shape.section_m2(0.0)

    @property
    def fill_height_m(self) -> float | None:
        """Height of the mix [m] once filled, None where the height is not known."""
        return None if self.height_m is None else self.height_m - self.headspace_m

    @property
    def class_one_or_more(self) -> bool:
        """Whether it is a pot of class #1 or more, by its class or by its likely volume."""
        if not self.holds or self.cells > 1:
            return False
        return self.class_number is not None or self.brim_l.likely >= CLASS_ONE_LEAST_L

    def top_share(self, depth_m: float) -> float:
        """Return the share of the fill that lies in its top `depth_m` [m].

        Raises ValueError where the shape is not known, or for a depth that is not positive or
        deeper than the fill.
        """
        if self.shape is None or self.fill_height_m is None:
            raise ValueError(f"shape must be known for a depth, got a volume: {self.text!r}")
        left_m = self.fill_height_m - depth_m
        if not (depth_m > 0 and left_m >= -ROUNDING):
            raise ValueError(
                f"depth_m must lie between 0 and the fill's {self.fill_height_m} m, got {depth_m!r}"
            )
        whole_l = self.shape.volume_l(self.fill_height_m)
        return 1.0 - self.shape.volume_l(max(left_m, 0.0)) / whole_l


def _ends_m(shape: Shape) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the diameter, or both sides, at the top and at the bottom [m]; none of a polygon."""
    match shape:
        case Cone():
            return (shape.top_m,), (shape.bottom_m,)
        case Pyramid():
            return shape.top_m, shape.bottom_m
        case Box():
            return (shape.length_m, shape.width_m), ()
        case Cylinder():
            return (shape.diameter_m,), ()
        case HalfBarrel():
            return (shape.rim_m,), (shape.bottom_m,)
    return (), ()


def top_width_m(shape: Shape) -> float | None:
    """Return the width across the top [m], the shorter side of a rectangle; None for a polygon."""
    return min(_ends_m(shape)[0], default=None)


def greatest_width_m(shape: Shape) -> float | None:
    """Return the greatest width [m]: a diameter or the longest side; None for a polygon."""
    top, bottom = _ends_m(shape)
    return max((*top, *bottom), default=None)


def fit_shape(*, volume_l: float, width_m: float, height_m: float, square: bool = False) -> Shape:
    """Return a tapered pot of this volume [L], top width and height [m].

    The bottom is what the volume asks for. Where that would be no pot (less than half, or more
    than a tenth beyond straight walls) the width gives way and the taper is that of a nursery pot,
    0.80 of straight walls (median of ten listed pots).
    """
    unit_area = 1.0 if square else pi / 4
    share = volume_l / 1000 / (unit_area * width_m**2 * height_m)
    if not 0.5 <= share <= 1.1:
        share = 0.80
        width_m = sqrt(volume_l / 1000 / (share * unit_area * height_m))
    # A frustum is (1 + r + r2) / 3 of straight walls, r being bottom over top.
    bottom_m = width_m * (sqrt(12 * share - 3) - 1) / 2
    if square:
        return Pyramid((width_m, width_m), (bottom_m, bottom_m), height_m)
    return Cone(width_m, bottom_m, height_m)


def resize(shape: Shape, *, volume_l: float, height_m: float | None = None) -> Shape:
    """Return a shape of this volume [L], of the same form and, unless given, the same height [m].

    Only the widths change, all by one ratio. A stack of shapes comes back straight-walled.
    """
    height = shape.height_m if height_m is None else height_m
    straight = Cylinder(sqrt(volume_l / 1000 / height * 4 / pi), height)
    if not isinstance(shape, Cone | Pyramid | Box | HalfBarrel | Prism):
        return straight
    taller = evolve(shape, height_m=height)
    ratio = sqrt(volume_l / taller.volume_l())
    widths = [each.name for each in fields(type(shape)) if each.name != "height_m"]
    return evolve(taller, **{name: _scaled(getattr(shape, name), ratio) for name in widths})


def _scaled(size: Any, ratio: float) -> Any:
    """Return a size, or all in a tuple of them, times a ratio."""
    return tuple(_scaled(each, ratio) for each in size) if isinstance(size, tuple) else size * ratio


def fill_spread(brim_l: Spread, shape: Shape, headspace_m: float) -> Spread:
    """Return what is filled [L] below the headspace [m]: the brim's spread times the shape's share.

    The section is recomputed at the fill line, so a tapered pot loses more than its height does.
    Raises ValueError for a headspace that leaves nothing to fill.
    """
    if not 0 <= headspace_m < shape.height_m:
        raise ValueError(
            f"headspace_m must lie between 0 and the height {shape.height_m} m, got {headspace_m!r}"
        )
    if headspace_m == 0:
        return brim_l
    share = shape.volume_l(shape.height_m - headspace_m) / shape.volume_l()
    return brim_l.map(lambda litres: litres * share)
