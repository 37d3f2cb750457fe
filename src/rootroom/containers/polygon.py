"""Polygons on the ground: the area of a simple one, and why another is none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import isfinite

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
    tolerance = 1e-12 * _extent(corners) ** 2
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
