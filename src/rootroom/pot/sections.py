"""The sections of many filled pots as one table of parabolas, ready to be integrated together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from operator import attrgetter, methodcaller
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.containers.shapes import Shape, Stack

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Numbers = NDArray[np.intp]


@frozen(eq=False)
class Sections:
    """Pots as sums of terms, numpy arrays with one entry a term; `fill_m` has one a pot.

    A term belongs to the pot of number `pot` and stands for the integral from 0 to `height_m` [m]
    of the section a + b u + c u^2 [m2], u being the share of that height; `a_b_c` has three rows.
    A plain pot is one term. A part of a stack is one to its top less one to its foot.
    """

    fill_m: Floats
    pot: Numbers
    height_m: Floats
    a_b_c: Floats


def filled_sections(shapes: Sequence[Shape], to_m: Sequence[float | None] | None) -> Sections:
    """Return the sections of shapes that are filled to heights [m]; None is to the brim.

    A shape that comes several times is read once.
    Raises ValueError for a height of nothing or above the brim, and for a shape whose section is
    no quadratic in the height.
    """
    import numpy as np

    distinct, kind = _distinct(shapes)
    counts, (foot, height, a, b, c) = _parts(distinct)
    ends = np.cumsum(counts)
    fill = _fills((foot + height)[ends - 1][kind], to_m)

    many = counts[kind]
    pot = np.repeat(np.arange(len(shapes)), many)
    part = np.arange(len(pot)) + np.repeat(ends[kind] - np.cumsum(many), many)
    part, pot = (rows[fill[pot] > foot[part]] for rows in (part, pot))
    foot, height, a, b, c = (column[part] for column in (foot, height, a, b, c))
    # The part's own parabola, written in the height z above the bottom of the pot.
    slope, bend = b / height, c / height**2
    in_z = np.stack([a - slope * foot + bend * foot**2, slope - 2 * bend * foot, bend])
    top, raised = np.minimum(foot + height, fill[pot]), foot > 0
    end = np.concatenate([top, foot[raised]])
    signed = np.concatenate([in_z, -in_z[:, raised]], axis=1)
    powers = np.stack([np.ones_like(end), end, end**2])
    return Sections(fill, np.concatenate([pot, pot[raised]]), end, signed * powers)


def _distinct(shapes: Sequence[Shape]) -> tuple[Sequence[Shape], Numbers]:
    """Return each shape object once, and for every place the number of the one there."""
    import numpy as np

    known = np.fromiter(map(id, shapes), dtype=np.intp, count=len(shapes))
    _, first, kind = np.unique(known, return_index=True, return_inverse=True)
    if len(first) == len(shapes):
        return shapes, np.arange(len(shapes))
    return [shapes[one] for one in first.tolist()], kind


def _parts(shapes: Sequence[Shape]) -> tuple[Numbers, tuple[Floats, ...]]:
    """Return how many parts each shape has, and of each part in turn: foot, height, a, b and c.

    a + b u + c u^2 [m2] is the section at share u of the part's own height [m].
    """
    import numpy as np

    counts = np.ones(len(shapes), dtype=np.intp)
    parts = shapes
    if Stack in set(map(type, shapes)):
        stacks = [one.parts if isinstance(one, Stack) else (one,) for one in shapes]
        counts = np.array([len(stack) for stack in stacks], dtype=np.intp)
        parts = list(chain.from_iterable(stacks))
    try:
        terms = chain.from_iterable(map(methodcaller("section_terms_m2"), parts))
        a_b_c = np.fromiter(terms, dtype=float, count=3 * len(parts)).reshape(-1, 3).T
    except AttributeError as error:
        raise ValueError(f"need shapes with a quadratic section: {error}") from None
    height = np.fromiter(map(attrgetter("height_m"), parts), dtype=float, count=len(parts))
    foot = np.zeros_like(height)
    ends = np.cumsum(counts)
    for one in np.flatnonzero(counts > 1):
        rows = slice(ends[one] - counts[one] + 1, ends[one])
        foot[rows] = np.cumsum(height[rows.start - 1 : rows.stop - 1])
    return counts, (foot, height, *a_b_c)


def _fills(full_m: Floats, to_m: Sequence[float | None] | None) -> Floats:
    """Return how high each pot is filled [m], refusing none and more than the pot has."""
    import numpy as np

    if to_m is None:
        return full_m
    pairs = zip(to_m, full_m.tolist(), strict=True)
    fill = np.array([full if to is None else to for to, full in pairs], dtype=float)
    refused = np.flatnonzero(~((fill > 0) & (fill <= full_m * (1 + 1e-9))))
    if len(refused):
        one = refused[0]
        raise ValueError(f"to_m must lie above 0 and at most {full_m[one]} m, got {fill[one]}")
    filled: Floats = np.minimum(fill, full_m)
    return filled
