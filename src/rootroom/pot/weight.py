"""What a filled pot weighs, and the load on the floor under pots.

A pot weighs itself, its mix dry, and the water in it: drained (container capacity) or saturated
(every pore full), times the volume filled.
The plant itself comes on top, and so does rain on a saucer.
Loads are shown beside published design live loads and never judged.
"""

from __future__ import annotations

from math import pi

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.uses import LiveLoad, live_loads
from rootroom.containers.container import Container
from rootroom.containers.shapes import Cylinder, Shape
from rootroom.pot.blend import PotWater

NO_POT = Spread(0, 0, 0)


@frozen
class PotWeight:
    """Weight [kg] of one filled pot (of a tray: one cell), without its plant.

    `pot` is empty, `dry` the mix without water, `drained` and `saturated` pot, mix and water.
    """

    pot: Spread
    dry: Spread
    drained: Spread
    saturated: Spread


@frozen
class FloorLoad:
    """Load on a floor [kg/m2]: right under a pot, and over the area that pots stand on together.

    An entry is None where the area is not known. `published` stand beside it; there is no verdict.
    """

    under_pot: Spread | None
    over_area: Spread | None
    area_m2: float | None
    published: tuple[LiveLoad, ...]


def fill_shape(container: Container) -> tuple[Shape, float, bool]:
    """Return the shape of a container, how high it is filled [m], and whether that is known.

    Where only a volume is known, the mix is taken to stand as high as it is wide: good enough for
    a weight, while water and air need the height itself.
    """
    height = container.fill_height_m
    if container.shape is not None and height is not None:
        return container.shape, height, True
    side = (4 * container.fill_l.likely / 1000 / pi) ** (1 / 3)
    return Cylinder(side, side), side, False


def pot_weight(container: Container, dry_kg_per_m3: Spread, in_pot: PotWater) -> PotWeight:
    """Return what a filled container weighs.

    `dry_kg_per_m3` [kg/m3] is the mix's dry density, `in_pot` its water in the shape that
    `fill_shape` gives.
    """
    pot = container.weight_kg or NO_POT
    if container.cells > 1:
        pot = pot.map(lambda kilograms: kilograms / container.cells)
    fill = container.fill_l
    dry = _product(fill, dry_kg_per_m3.map(lambda dense: dense / 1000))
    return PotWeight(
        pot=pot,
        dry=dry,
        drained=_sum(pot, dry, _product(fill, in_pot.capacity)),
        saturated=_sum(pot, dry, _product(fill, in_pot.porosity)),
    )


def _product(one: Spread, other: Spread) -> Spread:
    return Spread(one.low * other.low, one.likely * other.likely, one.high * other.high)


def _sum(*parts: Spread) -> Spread:
    return Spread(
        sum(part.low for part in parts),
        sum(part.likely for part in parts),
        sum(part.high for part in parts),
    )


def floor_load(
    weight: Spread, *, footprint_m2: float | None, count: int = 1, stands_m2: float | None = None
) -> FloorLoad:
    """Return the load of `count` like pots of a weight [kg], under each and over their area.

    `footprint_m2` [m2] is what one pot stands on, `stands_m2` [m2] the area that all stand on.
    Raises ValueError for an area that is not above 0.
    """
    for name, area in (("footprint_m2", footprint_m2), ("stands_m2", stands_m2)):
        if area is not None and not area > 0:
            raise ValueError(f"{name} must be above 0, got {area}")
    under = over = None
    if footprint_m2 is not None:
        under = weight.map(lambda kilograms: kilograms / footprint_m2)
    if stands_m2 is not None:
        over = weight.map(lambda kilograms: kilograms * count / stands_m2)
    return FloorLoad(under, over, stands_m2, live_loads())
