"""A grower's own containers: a shape or a measured volume, beside the catalogue's or in its place.

For a name of the catalogue only what is given is replaced: a volume alone keeps the catalogue's
height, headspace and taper, a height alone its volume and taper. A volume with a height is
straight-walled by whatever name it goes: nothing is left that the catalogue's taper could be of.
"""

from __future__ import annotations

from attrs import evolve

from rootroom.catalogue.containers import container_table
from rootroom.catalogue.spread import Spread
from rootroom.containers.by_size import MOST_L, shown
from rootroom.containers.container import Container, fill_spread, resize, top_width_m
from rootroom.containers.shapes import Box, Cylinder, Prism, Pyramid, Shape
from rootroom.problems import TextError

GREATEST_SIDE_M = 20.0
IN3_PER_L = 1 / 0.016387064


def own_container(
    name: str,
    *,
    shape: Shape | None = None,
    volume_l: float | None = None,
    headspace_m: float | None = None,
    height_m: float | None = None,
    base: Container | None = None,
) -> Container:
    """Return the container of a `[containers]` table; `base` is the catalogue's of that name.

    `volume_l` [L] is to the brim. Without a headspace a new shape gets the usual one for its
    width, a new volume none: it is what is filled.
    Raises TextError: container-sizes (none, or two that fight), headspace, container-size.
    """
    _check(name, shape, volume_l, headspace_m, height_m, base)
    if base is not None and shape is None and volume_l is None:
        return _changed(name, base, headspace_m, height_m)
    if shape is not None:
        return _of_shape(name, shape, headspace_m, base)
    assert volume_l is not None
    return _of_volume(name, volume_l, headspace_m, height_m, base)


def _check(
    name: str,
    shape: Shape | None,
    volume_l: float | None,
    headspace_m: float | None,
    height_m: float | None,
    base: Container | None,
) -> None:
    if shape is not None and volume_l is not None:
        raise TextError(
            f"a shape and a volume for one container: `{shown(name)}`",
            code="container-sizes",
            hint="keep the volume if you measured it, else the shape",
        )
    if shape is not None and height_m is not None:
        raise TextError(
            f"two heights for one container: `{shown(name)}`",
            code="container-sizes",
            hint="the height stands inside `round`, `square` or `box`",
        )
    if base is None and shape is None and volume_l is None:
        raise TextError(
            f"a container without a size: `{shown(name)}`",
            code="container-sizes",
            hint='give `round = { top = "14 in", bottom = "11 in", height = "13 in" }`, '
            '`square`, `box` or `volume = "11 L"`',
        )
    if base is not None and not base.holds:
        raise TextError(f"`{shown(name)}` is no container", code="container-sizes")
    if headspace_m is not None and headspace_m < 0:
        raise TextError(f"a headspace below nothing: `{shown(name)}`", code="headspace")
    for size_m in (height_m, None if shape is None else shape.height_m):
        if size_m is not None and not 0 < size_m <= GREATEST_SIDE_M:
            raise TextError(
                f"a container's height lies between 0 and {GREATEST_SIDE_M:g} m: `{shown(name)}`",
                code="container-size",
            )
    litres = shape.volume_l() if shape is not None else volume_l
    if litres is not None and not 0 < litres <= MOST_L:
        raise TextError(
            f"a container holds more than nothing and at most {MOST_L:,.0f} L: `{shown(name)}`",
            code="container-size",
        )


def _filled(name: str, brim_l: Spread, shape: Shape | None, headspace_m: float) -> Spread:
    if headspace_m == 0:
        return brim_l
    if shape is None:
        raise TextError(
            f"a headspace needs the height of the container too: `{shown(name)}`",
            code="headspace",
            hint='add `height = "13 in"`, or give the volume to the fill line and no headspace',
        )
    if headspace_m >= shape.height_m:
        raise TextError(
            f"a headspace as deep as the container leaves nothing to fill: `{shown(name)}`",
            code="headspace",
            hint="headspace is what stays empty below the rim",
        )
    return fill_spread(brim_l, shape, headspace_m)


def _changed(
    name: str, base: Container, headspace_m: float | None, height_m: float | None
) -> Container:
    """Return the catalogue's container with another headspace or height and the same volume."""
    if headspace_m is None and height_m is None:
        return base
    shape = base.shape
    if height_m is not None:
        volume_l = base.brim_l.likely
        shape = resize(shape or Cylinder(1.0, height_m), volume_l=volume_l, height_m=height_m)
    space_m = base.headspace_m if headspace_m is None else headspace_m
    return evolve(
        base,
        shape=shape,
        height_m=None if shape is None else shape.height_m,
        headspace_m=space_m,
        fill_l=_filled(name, base.brim_l, shape, space_m),
    )


def _of_shape(
    name: str, shape: Shape, headspace_m: float | None, base: Container | None
) -> Container:
    if headspace_m is None:
        headspace_m = base.headspace_m if base is not None else _usual_headspace_m(shape)
    return _own(name, Spread.exactly(shape.volume_l()), shape, headspace_m, base)


def _usual_headspace_m(shape: Shape) -> float:
    """Return the usual headspace for the width, never over a quarter of the height."""
    width_m = top_width_m(shape)
    if width_m is None:
        width_m = shape.section_m2(shape.height_m) ** 0.5
    return min(container_table().headspace_m(width_m), shape.height_m / 4)


def _of_volume(
    name: str,
    volume_l: float,
    headspace_m: float | None,
    height_m: float | None,
    base: Container | None,
) -> Container:
    if headspace_m is None:
        headspace_m = base.headspace_m if base is not None else 0.0
    known = None if base is None else base.shape
    shape: Shape | None = None
    if height_m is not None:
        shape = resize(_straight(known, height_m), volume_l=volume_l)
    elif known is not None:
        shape = resize(known, volume_l=volume_l)
    return _own(name, Spread.exactly(volume_l), shape, headspace_m, base)


def _straight(known: Shape | None, height_m: float) -> Shape:
    """Return straight walls of this height [m], round unless the known shape has corners."""
    if isinstance(known, Prism):
        return evolve(known, height_m=height_m)
    if isinstance(known, Pyramid):
        return Box(*known.top_m, height_m)
    if isinstance(known, Box):
        return Box(known.length_m, known.width_m, height_m)
    return Cylinder(1.0, height_m)


def _own(
    name: str, brim_l: Spread, shape: Shape | None, headspace_m: float, base: Container | None
) -> Container:
    fill_l = _filled(name, brim_l, shape, headspace_m)
    return evolve(
        base or Container(name, "own", brim_l, fill_l),
        brim_l=brim_l,
        fill_l=fill_l,
        shape=shape,
        height_m=None if shape is None else shape.height_m,
        headspace_m=headspace_m,
        source="the plan's own",
        grade="own",
        note="" if base is None else _class_note(base, brim_l.likely),
    )


def _class_note(base: Container, brim_l: float) -> str:
    """Return a note where a true volume lies outside the band of the class it goes by."""
    classes = container_table().classes
    named = classes.get(base.text)
    if named is None or named.holds_brim(brim_l):
        return ""
    fits = [row.name for row in classes.values() if row.holds_brim(brim_l)]
    where = f"it fits class {fits[0]}" if fits else "it fits no class"
    return (
        f"{_both_units(brim_l, brim_l)} lies outside the band of class {named.name}, "
        f"{_both_units(named.brim_l.low, named.brim_l.high)}; {where}; your own volume counts"
    )


def _both_units(low_l: float, high_l: float) -> str:
    """Return a volume, or a range of them, in cubic inches and litres."""
    if low_l == high_l:
        return f"{low_l * IN3_PER_L:.4g} in3 ({low_l:.3g} L)"
    return (
        f"{low_l * IN3_PER_L:.4g} to {high_l * IN3_PER_L:.4g} in3 ({low_l:.3g} to {high_l:.3g} L)"
    )
