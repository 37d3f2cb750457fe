"""How a container's fill follows from its sizes, in words and in numbers."""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Pyramid
from rootroom.tolerances import AS_WRITTEN, ROUNDING
from rootroom.units.showing import DEPTH, VOLUMES, OwnUnit

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.units import System

STATED = ("a stated volume", "")


@frozen
class _Sizes:
    """The unit of length, and what its cube is divided by to give the unit of volume."""

    length: OwnUnit
    divide: str

    def size(self, metres: float) -> str:
        return f"{self.length.of(metres):.6g}"


def fill_formula(container: Container, unit: OwnUnit, system: System) -> tuple[str, str]:
    """Return the formula of the fill in `unit` and its numbers, or that it is a stated volume.

    Sizes are in inches or centimetres; a gallon is 231 cubic inches (NIST Handbook 44).
    """
    shape, height_m = container.shape, container.fill_height_m
    if shape is None or not height_m or not container.fill_l.likely:
        return STATED
    if abs(shape.volume_l(height_m) / container.fill_l.likely - 1) > AS_WRITTEN:
        return STATED
    cube = VOLUMES["cu in" if system == "us" else "mL"]
    many = unit.size / cube.size
    sizes = _Sizes(DEPTH[system], "" if abs(many - 1) < ROUNDING else f" / {many:.6g}")
    formula, numbers = _by_shape(container, sizes, height_m)
    return f"{formula} [{sizes.length.name}]", numbers


def _by_shape(container: Container, sizes: _Sizes, height_m: float) -> tuple[str, str]:
    shape, divide, size = container.shape, sizes.divide, sizes.size
    assert shape is not None
    high, up = size(height_m), height_m / shape.height_m
    match shape:
        case Cone():
            a = size(shape.bottom_m)
            b = size(shape.bottom_m + (shape.top_m - shape.bottom_m) * up)
            return (
                f"round, tapered: pi / 12 x h x (d^2 + d D + D^2){divide}, D at the fill line",
                f"{pi / 12:.6f} x {high} x ({a}^2 + {a} x {b} + {b}^2){divide}",
            )
        case Cylinder():
            return (
                f"round, straight: pi / 4 x D^2 x h{divide}",
                f"{pi / 4:.6f} x {size(shape.diameter_m)}^2 x {high}{divide}",
            )
        case Box():
            sides = f"{size(shape.length_m)} x {size(shape.width_m)}"
            return f"length x width x fill height{divide}", f"{sides} x {high}{divide}"
        case Pyramid():
            return _pyramid(shape, sizes, up, high)
        case HalfBarrel():
            rim, base, whole = (size(one) for one in (shape.rim_m, shape.bottom_m, shape.height_m))
            return (
                "half barrel, the section pi/4 (D^2 - (D^2 - d^2)(1 - z/H)^2) summed up to z"
                f"{divide}",
                f"{pi / 4:.6f} x ({rim}^2 x {high} - ({rim}^2 - {base}^2) x {whole} / 3 x "
                f"(1 - (1 - {high} / {whole})^3)){divide}",
            )
    return "its section summed up to the fill line", f"up to {high}"


def _pyramid(shape: Pyramid, sizes: _Sizes, up: float, high: str) -> tuple[str, str]:
    """Return the prismoid rule: the areas at the bottom, at half height and at the fill line."""

    def area(share: float) -> str:
        pairs = zip(shape.bottom_m, shape.top_m, strict=True)
        return " x ".join(sizes.size(low + (top - low) * share) for low, top in pairs)

    return (
        f"h / 6 x (bottom + 4 x middle + area at the fill line){sizes.divide}",
        f"{high} / 6 x ({area(0)} + 4 x {area(up / 2)} + {area(up)}){sizes.divide}",
    )
