"""Shapes of containers and beds: volume to a height, and the section there.

The section of every shape here is a quadratic in the share of the height, so the volume below any
height is a closed form: cone and pyramid frustum (a prismoid when top and bottom are of unlike
proportion), box, cylinder, half barrel, polygon prism. The frustum of unlike ends needs the middle
section, not the root of top times bottom, which holds only for like ends.

All sizes are inside sizes; either end may be the wider. Left out: rims, feet and rounded corners.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from math import isfinite, pi
from typing import Any, Protocol, TypeVar, runtime_checkable

from attrs import field, frozen

from rootroom.catalogue.spread import as_float
from rootroom.tolerances import LAST_DIGITS, ROUNDING

LITRES_PER_M3 = 1000.0
Z = TypeVar("Z")
"""A height, or a numpy array of heights: the section comes back in the same kind."""


Point = tuple[float, float]
MOST_CORNERS = 500
"""More corners than a hand-drawn bed ever has; the check below compares each side with each."""


def open_ring(corners: Iterable[Iterable[float]]) -> tuple[Point, ...]:
    """Return the corners as pairs of floats, without a last one that repeats the first."""
    points: list[Point] = []
    for corner in corners:
        pair = tuple(float(value) for value in corner)
        if len(pair) != 2:
            raise ValueError(f"corners_m must hold pairs (x, y), got {pair!r}")
        points.append((pair[0], pair[1]))
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    return tuple(points)


def area_m2(corners: Sequence[Point]) -> float:
    """Return the area [m2] of a simple polygon, whichever way round (the surveyor's formula)."""
    # Measured from the first corner, so that a far-off origin costs no digits.
    x0, y0 = corners[0]
    shifted = [(x - x0, y - y0) for x, y in corners]
    return abs(sum(_cross(a, b) for a, b in pairwise(shifted))) / 2


def check_simple(corners: Sequence[Point]) -> None:
    """Raise ValueError naming the corners (from 1) where the outline crosses, touches or folds."""
    count = len(corners)
    if count < 3:
        raise ValueError(f"corners_m must be at least 3, got {count}")
    if count > MOST_CORNERS:
        raise ValueError(f"corners_m must be at most {MOST_CORNERS}, got {count}")
    if not all(isfinite(value) for corner in corners for value in corner):
        raise ValueError(f"corners_m must be finite, got {corners!r}")
    seen: dict[Point, int] = {}
    for number, corner in enumerate(corners, start=1):
        if corner in seen:
            raise ValueError(f"corners_m must differ, got {corner} at {seen[corner]} and {number}")
        seen[corner] = number
    tolerance = LAST_DIGITS * _extent(corners) ** 2
    for i in range(count):
        before, here, after = corners[i - 1], corners[i], corners[(i + 1) % count]
        if abs(_turn(before, here, after)) <= tolerance and _dot(before, here, after) < 0:
            raise ValueError(f"corners_m must not fold back, got a spike at corner {i + 1}")
    for i in range(count):
        for j in range(i + 2, count - (i == 0)):
            if _meet(*_side(corners, i), *_side(corners, j), tolerance):
                raise ValueError(
                    f"corners_m must not cross or touch, got side {_name(i, count)} "
                    f"over side {_name(j, count)}"
                )


def _name(index: int, count: int) -> str:
    return f"{index + 1}-{(index + 1) % count + 1}"


def _side(corners: Sequence[Point], index: int) -> tuple[Point, Point]:
    return corners[index], corners[(index + 1) % len(corners)]


def _extent(corners: Sequence[Point]) -> float:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return max(max(xs) - min(xs), max(ys) - min(ys))


def _cross(a: Point, b: Point) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return twice the area of a, b, c: positive for a left turn."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _dot(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])


def _within_box(a: Point, b: Point, p: Point) -> bool:
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def _meet(a: Point, b: Point, c: Point, d: Point, tolerance: float) -> bool:
    """Whether the sides a-b and c-d share a point."""
    turns = [_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)]
    c_side, d_side, a_side, b_side = (0.0 if abs(t) <= tolerance else t for t in turns)
    if c_side * d_side < 0 and a_side * b_side < 0:
        return True
    return (
        (c_side == 0 and _within_box(a, b, c))
        or (d_side == 0 and _within_box(a, b, d))
        or (a_side == 0 and _within_box(c, d, a))
        or (b_side == 0 and _within_box(c, d, b))
    )


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
    slack = ROUNDING * height_m
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


def _size(*, zero: bool = False) -> Callable[[Any, Any, Any], None]:
    """Return what refuses a size, or two sides, that is not above nothing, or below it."""
    words = "not negative" if zero else "positive"

    def check(_: Any, attribute: Any, value: Any) -> None:
        sides = value if isinstance(value, tuple) else (value,)
        if not all(isfinite(side) and (side > 0 or (zero and side == 0)) for side in sides):
            raise ValueError(f"{attribute.name} must be finite and {words}, got {value!r}")

    return check


_positive, _not_negative = _size(), _size(zero=True)


def _sides(value: Any) -> tuple[float, float]:
    """Return two sides as floats; one number makes a square."""
    pair = (value, value) if isinstance(value, int | float) else tuple(value)
    if len(pair) != 2:
        raise ValueError(f"need two sides, got {value!r}")
    return float(pair[0]), float(pair[1])


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

    top_m: float = field(converter=as_float, validator=_positive)
    bottom_m: float = field(converter=as_float, validator=_not_negative)
    height_m: float = field(converter=as_float, validator=_positive)

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

    top_m: tuple[float, float] = field(converter=_sides, validator=_positive)
    bottom_m: tuple[float, float] = field(converter=_sides, validator=_not_negative)
    height_m: float = field(converter=as_float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: both sides widen evenly."""
        (top_a, top_b), (a, b) = self.top_m, self.bottom_m
        return a * b, a * (top_b - b) + b * (top_a - a), (top_a - a) * (top_b - b)


@frozen
class Box(_QuadraticSection):
    """Straight-walled box: inside length, width, height [m]."""

    length_m: float = field(converter=as_float, validator=_positive)
    width_m: float = field(converter=as_float, validator=_positive)
    height_m: float = field(converter=as_float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return self.length_m * self.width_m, 0.0, 0.0


@frozen
class Cylinder(_QuadraticSection):
    """Straight-walled round container: inside diameter and height [m]."""

    diameter_m: float = field(converter=as_float, validator=_positive)
    height_m: float = field(converter=as_float, validator=_positive)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return pi / 4 * self.diameter_m * self.diameter_m, 0.0, 0.0


@frozen
class HalfBarrel(_QuadraticSection):
    """Half of a barrel cut at its bulge: inside diameters at rim and bottom, height [m].

    The section is pi/4 (D2 - (D2 - d2)(1 - z/H)2), D at the rim and d at the bottom, so that the
    whole cask holds pi h (2 D2 + d2) / 12, the old cooper's rule (from memory).
    """

    rim_m: float = field(converter=as_float, validator=_positive)
    bottom_m: float = field(converter=as_float, validator=_not_negative)
    height_m: float = field(converter=as_float, validator=_positive)

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
    height_m: float = field(converter=as_float, validator=_positive)

    def __attrs_post_init__(self) -> None:
        check_simple(self.corners_m)

    def section_terms_m2(self) -> tuple[float, float, float]:
        """Return a, b and c [m2]: the same everywhere."""
        return area_m2(self.corners_m), 0.0, 0.0


def _in_order(parts: Iterable[Shape]) -> tuple[Shape, ...]:
    return tuple(parts)


@frozen
class Stack:
    """Shapes one on another, from below: a pot with a collar, a tapered pot on a foot."""

    parts: tuple[Shape, ...] = field(converter=_in_order)

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
