"""The fill of a container as a formula with its numbers, to be redone by hand."""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING

from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Pyramid

if TYPE_CHECKING:
    from rootroom.containers.container import Container


def fill_formula(container: Container) -> tuple[str, str]:
    """Return the formula of the fill and its numbers [cm], or that it is a stated volume."""
    shape, height_m = container.shape, container.fill_height_m
    if shape is None or not height_m:
        return "a stated volume", ""
    if abs(shape.volume_l(height_m) / max(container.fill_l.likely, 1e-12) - 1) > 1e-6:
        return "a stated volume", ""
    high = f"{100 * height_m:.5g}"
    up = height_m / shape.height_m
    match shape:
        case Cone():
            bottom, top = shape.bottom_m, shape.bottom_m + (shape.top_m - shape.bottom_m) * up
            a, b = f"{100 * bottom:.5g}", f"{100 * top:.5g}"
            return (
                "round, tapered: pi / 12 x h x (d^2 + d D + D^2) / 1000, D at the fill line [cm]",
                f"{pi / 12:.6f} x {high} x ({a}^2 + {a} x {b} + {b}^2) / 1000",
            )
        case Cylinder():
            return (
                "round, straight: pi / 4 x D^2 x h / 1000 [cm]",
                f"{pi / 4:.6f} x {100 * shape.diameter_m:.5g}^2 x {high} / 1000",
            )
        case Box():
            sides = f"{100 * shape.length_m:.5g} x {100 * shape.width_m:.5g}"
            return "length x width x fill height / 1000 [cm]", f"{sides} x {high} / 1000"
        case Pyramid():
            return _pyramid(shape, up, high)
        case HalfBarrel():
            rim, base, whole = (
                f"{100 * size:.5g}" for size in (shape.rim_m, shape.bottom_m, shape.height_m)
            )
            return (
                "half barrel, the section pi/4 (D^2 - (D^2 - d^2)(1 - z/H)^2) summed up to z [cm]",
                f"{pi / 4:.6f} x ({rim}^2 x {high} - ({rim}^2 - {base}^2) x {whole} / 3 x "
                f"(1 - (1 - {high} / {whole})^3)) / 1000",
            )
    return "its section summed up to the fill line", f"up to {high} cm"


def _pyramid(shape: Pyramid, up: float, high: str) -> tuple[str, str]:
    """Return the prismoid rule: the areas at the bottom, at half height and at the fill line."""

    def sides(share: float) -> str:
        pairs = zip(shape.bottom_m, shape.top_m, strict=True)
        return " x ".join(f"{100 * (low + (top - low) * share):.5g}" for low, top in pairs)

    return (
        "h / 6 x (bottom + 4 x middle + area at the fill line) / 1000 [cm]",
        f"{high} / 6 x ({sides(0)} + 4 x {sides(up / 2)} + {sides(up)}) / 1000",
    )
