"""The ground plan of a bed: `8 ft x 4 ft`, `round 5 ft`, sums of such, or a list of corners."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import pi

from attrs import frozen

from rootroom.containers.by_size import shown
from rootroom.containers.shapes import area_m2, check_simple, open_ring
from rootroom.problems import TextError
from rootroom.units import read_area_m2, read_length_m

GREATEST_SIDE_M = 500.0

_TIMES = re.compile(r"\s*(?:[x×*]|\bby\b)\s*")
_ROUND = re.compile(r"round\s+(.+)|(.+?)\s+(?:round|across|diameter|in diameter)")
_HINT = (
    "write it as `8 ft x 4 ft`, `round 5 ft`, `12 ft x 4 ft + 6 ft x 4 ft`, or "
    'corners = [["0 ft", "0 ft"], ["8 ft", "0 ft"], ["8 ft", "4 ft"]]'
)


@frozen
class BedShape:
    """A bed's ground plan: how it is written, and its area [m2].

    Parts of a sum lie side by side; nobody says where, so an overlap is the user's to avoid.
    """

    text: str
    area_m2: float


def read_bed_shape(given: str | Sequence[Sequence[str]]) -> BedShape:
    """Return the ground plan of a bed from its text, or from its corners as pairs of lengths.

    Raises TextError: bed-shape, bed-corners, or that of a length.
    """
    if not isinstance(given, str):
        return _of_corners(given)
    clean = " ".join(given.casefold().split())
    return BedShape(given, sum(_part_m2(piece.strip(), given) for piece in clean.split("+")))


def _part_m2(piece: str, given: str) -> float:
    if match := _ROUND.fullmatch(piece):
        diameter_m = _side(match[1] or match[2], given)
        return pi / 4 * diameter_m**2
    sides = _TIMES.split(piece)
    if len(sides) == 3:
        raise TextError(
            f"a bed's shape has two sides: `{shown(given)}`",
            code="bed-shape",
            hint='the depth stands beside it: depth = "11 in"',
        )
    if len(sides) != 2 or not all(sides):
        return _area_m2(piece, given)
    if re.fullmatch(r"[\d\s./½¼¾-]+", sides[0]):
        # `8 x 4 ft`: one unit for both.
        unit = re.search(r"(?:[a-z]+|['\"])\.?$", sides[1])
        sides[0] += f" {unit[0]}" if unit else ""
    length_m, width_m = (_side(side, given) for side in sides)
    return length_m * width_m


def _area_m2(piece: str, given: str) -> float:
    try:
        area = read_area_m2(piece)
    except TextError:
        raise TextError(
            f"unknown shape of a bed: `{shown(given)}`", code="bed-shape", hint=_HINT
        ) from None
    if not 0 < area <= GREATEST_SIDE_M**2:
        raise _absurd(given)
    return area


def _side(text: str, given: str) -> float:
    side_m = read_length_m(text)
    if not 0 < side_m <= GREATEST_SIDE_M:
        raise _absurd(given)
    return side_m


def _absurd(given: str) -> TextError:
    return TextError(
        f"a bed's sides lie between 0 and {GREATEST_SIDE_M:g} m: `{shown(given)}`", code="bed-shape"
    )


def bed_from_corners(corners_m: Sequence[Sequence[float]], text: str = "corners") -> BedShape:
    """Return the ground plan of a bed from its corners (x, y) [m], either way round.

    Raises TextError with the code bed-corners for an outline that crosses, touches or is too small.
    """
    try:
        points = open_ring(corners_m)
        check_simple(points)
    except ValueError as error:
        raise TextError(
            str(error).replace("corners_m", "a bed's corners"),
            code="bed-corners",
            hint="name the corners one after another as you walk round the bed",
        ) from None
    return BedShape(text, area_m2(points))


def _of_corners(corners: Sequence[Sequence[str]]) -> BedShape:
    for number, corner in enumerate(corners, start=1):
        if isinstance(corner, str) or len(corner) != 2:
            raise TextError(
                f"a corner is a pair of lengths: corner {number}",
                code="bed-corners",
                hint='write it as ["8 ft", "4 ft"]',
            )
    text = "corners " + ", ".join(" ".join(corner) for corner in corners)
    return bed_from_corners([(_along(x), _along(y)) for x, y in corners], text)


def _along(text: str) -> float:
    """Return how far along a corner lies [m]; a bare 0 needs no unit."""
    if text.strip() in ("0", "-0"):
        return 0.0
    sign, rest = (-1.0, text.strip()[1:]) if text.strip().startswith("-") else (1.0, text)
    along_m = sign * read_length_m(rest)
    if abs(along_m) > GREATEST_SIDE_M:
        raise _absurd(text)
    return along_m
