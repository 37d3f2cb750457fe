"""Shapes of containers and beds: volume to a height, and the section there.

The section of every shape here is a quadratic in the share of the height, so the volume below any
height is a closed form: cone and pyramid frustum (a prismoid when top and bottom are of unlike
proportion), box, cylinder, half barrel, polygon prism. The frustum of unlike ends needs the middle
section, not the root of top times bottom, which holds only for like ends.

All sizes are inside sizes; either end may be the wider. Left out: rims, feet and rounded corners.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from math import isfinite, pi
from typing import Any, Protocol, TypeVar, runtime_checkable

from attrs import field, frozen

from rootroom.containers.polygon import area_m2, check_simple, open_ring

LITRES_PER_M3 = 1000.0
Z = TypeVar("Z")
"""A height, or a numpy array of heights: the section comes back in the same kind."""


@runtime_checkable
class Shape(Protocol):
    """What every shape answers: its height, the volume below a height, the section at one."""

    @property
    def height_m(self) -> float:
        """Inside height [m]."""
        ...

    def volume_l(self, to_m: float | None = None) -> float:
        """Return the volume [L] from the base to `to_m` [m], or to the brim."""
        ...

    def section_m2(self, z_m: Z) -> Z:
        """Return the area [m2] at `z_m` [m] above the base, for a number or a numpy array."""
        ...


def _within(to_m: float, height_m: float, name: str) -> float:
    """Return `to_m` held to the shape, forgiving the last digits of a sum; else ValueError."""
    slack = 1e-9 * height_m
    if not -slack <= to_m <= height_m + slack:
        raise ValueError(f"{name} must lie between 0 and the height {height_m} m, got {to_m!r}")
    return min(max(to_m, 0.0), height_m)


def _check_heights(z_m: Any, height_m: float) -> None:
    """Raise ValueError unless the height, or each height of an array, lies within the shape."""
    if hasattr(z_m, "min"):
        if getattr(z_m, "size", 1):
            _within(float(z_m.min()), height_m, "z_m")
            _within(float(z_m.max()), height_m, "z_m")
    else:
        _within(float(z_m), height_m, "z_m")


def _positive(_: Any, attribute: Any, value: float) -> None:
    if not (isfinite(value) and value > 0):
        raise ValueError(f"{attribute.name} must be finite and positive, got {value!r}")


def _not_negative(_: Any, attribute: Any, value: float) -> None:
    if not (isfinite(value) and value >= 0):
        raise ValueError(f"{attribute.name} must be finite and not negative, got {value!r}")


def _sides(value: Any) -> tuple[float, float]:
    """Return two sides as floats; one number makes a square."""
    pair = (value, value) if isinstance(value, int | float) else tuple(value)
    if len(pair) != 2:
        raise ValueError(f"need two sides, got {value!r}")
    return float(pair[0]), float(pair[1])


def _both_positive(_: Any, attribute: Any, value: tuple[float, float]) -> None:
    for side in value:
        if not (isfinite(side) and side > 0):
            raise ValueError(f"{attribute.name} must be finite and positive, got {value!r}")


def _both_not_negative(_: Any, attribute: Any, value: tuple[float, float]) -> None:
    for side in value:
        if not (isfinite(side) and side >= 0):
            raise ValueError(f"{attribute.name} must be finite and not negative, got {value!r}")


class _QuadraticSection(ABC):
    """Volume and section of a shape whose section is a + b u + c u2, u being z over the height."""

    __slots__ = ()

    height_m: float

    @abstractmethod
    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2] of the section a + b u + c u2 at share u of the height."""

    def volume_l(self, to_m: float | None = None) -> float:
        """Return the volume [L] from the base to `to_m` [m], or to the brim.

        Raises ValueError for a height outside the shape.
        """
        a, b, c = self.section_terms_m2()
        u = 1.0 if to_m is None else _within(to_m, self.height_m, "to_m") / self.height_m
        return LITRES_PER_M3 * self.height_m * u * (a + u * (b / 2 + u * c / 3))

    def section_m2(self, z_m: Z) -> Z:
        """Return the area [m2] at `z_m` [m] above the base, for a number or a numpy array.

        Raises ValueError for a height outside the shape.
        """
        _check_heights(z_m, self.height_m)
        a, b, c = self.section_terms_m2()
        u: Any = z_m / self.height_m  # type: ignore[operator]
        return a + u * (b + u * c)  # type: ignore[no-any-return]


@frozen
class Cone(_QuadraticSection):
    """Frustum of a cone, the common round pot: inside diameters at top and bottom, height [m]."""

    top_m: float = field(converter=float, validator=_positive)
    bottom_m: float = field(converter=float, validator=_not_negative)
    height_m: float = field(converter=float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the diameter widens evenly."""
        d, rise = self.bottom_m, self.top_m - self.bottom_m
        return pi / 4 * d * d, pi / 2 * d * rise, pi / 4 * rise * rise


@frozen
class Pyramid(_QuadraticSection):
    """Frustum with rectangular ends: inside sides at top and bottom, height [m].

    Sides that lie in one plane come in the same place of both pairs.
    Ends of unlike proportion make a prismoid.
    """

    top_m: tuple[float, float] = field(converter=_sides, validator=_both_positive)
    bottom_m: tuple[float, float] = field(converter=_sides, validator=_both_not_negative)
    height_m: float = field(converter=float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: both sides widen evenly."""
        (top_a, top_b), (a, b) = self.top_m, self.bottom_m
        return a * b, a * (top_b - b) + b * (top_a - a), (top_a - a) * (top_b - b)


@frozen
class Box(_QuadraticSection):
    """Straight-walled box: inside length, width, height [m]."""

    length_m: float = field(converter=float, validator=_positive)
    width_m: float = field(converter=float, validator=_positive)
    height_m: float = field(converter=float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return self.length_m * self.width_m, 0.0, 0.0


@frozen
class Cylinder(_QuadraticSection):
    """Straight-walled round container: inside diameter and height [m]."""

    diameter_m: float = field(converter=float, validator=_positive)
    height_m: float = field(converter=float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return pi / 4 * self.diameter_m * self.diameter_m, 0.0, 0.0


@frozen
class HalfBarrel(_QuadraticSection):
    """Half of a barrel cut at its bulge: inside diameters at rim and bottom, height [m].

    The section is pi/4 (D2 - (D2 - d2)(1 - z/H)2), D at the rim and d at the bottom, so that the
    whole cask holds pi h (2 D2 + d2) / 12, the old cooper's rule (from memory).
    """

    rim_m: float = field(converter=float, validator=_positive)
    bottom_m: float = field(converter=float, validator=_not_negative)
    height_m: float = field(converter=float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: widest at the rim, where it no longer grows."""
        low = pi / 4 * self.bottom_m * self.bottom_m
        gain = pi / 4 * (self.rim_m * self.rim_m - self.bottom_m * self.bottom_m)
        return low, 2 * gain, -gain


@frozen
class Prism(_QuadraticSection):
    """Straight walls over any simple polygon: corners (x, y) in order and height [m].

    The corners may run either way round; a last one equal to the first is dropped.
    Raises ValueError for fewer than three corners, a corner given twice, or sides that cross,
    touch or fold back.
    """

    corners_m: tuple[tuple[float, float], ...] = field(converter=open_ring)
    height_m: float = field(converter=float, validator=_positive)

    def __attrs_post_init__(self) -> None:
        check_simple(self.corners_m)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return area_m2(self.corners_m), 0.0, 0.0


@frozen
class Stack:
    """Shapes one on another, from below: a pot with a collar, a tapered pot on a foot."""

    parts: tuple[Shape, ...] = field(converter=tuple)

    def __attrs_post_init__(self) -> None:
        if not self.parts:
            raise ValueError("parts must hold at least one shape, got none")

    @property
    def height_m(self) -> float:
        """Inside height [m] of all parts together."""
        return sum(part.height_m for part in self.parts)

    def volume_l(self, to_m: float | None = None) -> float:
        """Return the volume [L] from the base to `to_m` [m], or to the brim.

        Raises ValueError for a height outside the shape.
        """
        left = self.height_m if to_m is None else _within(to_m, self.height_m, "to_m")
        total = 0.0
        for part in self.parts:
            total += part.volume_l(min(left, part.height_m))
            left = max(left - part.height_m, 0.0)
        return total

    def section_m2(self, z_m: Z) -> Z:
        """Return the area [m2] at `z_m` [m] above the base; at a seam, that of the part below.

        Raises ValueError for a height outside the shape.
        """
        _check_heights(z_m, self.height_m)
        if hasattr(z_m, "min"):
            flat = [self.section_m2(float(z)) for z in z_m.flatten()]  # type: ignore[attr-defined]
            out: Any = z_m * 0.0  # type: ignore[operator]
            out.flat[:] = flat
            return out  # type: ignore[no-any-return]
        left: Any = float(z_m)  # type: ignore[arg-type]
        for part in self.parts[:-1]:
            if left <= part.height_m:
                return part.section_m2(left)  # type: ignore[no-any-return]
            left -= part.height_m
        return self.parts[-1].section_m2(min(left, self.parts[-1].height_m))  # type: ignore[no-any-return]
