"""What a filled pot, a bag or a vessel of mix weighs, and the load on the floor under pots.

A pot weighs itself, its mix dry, and the water in it: drained (container capacity) or saturated
(every pore full), times the volume filled.
The plant itself comes on top, and so does rain on a saucer.
Loads are shown beside published design live loads and never judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.catalogue.uses import LiveLoad, live_loads
from rootroom.containers.container import Container
from rootroom.containers.shapes import Cylinder, Shape
from rootroom.pot.blend import PotWater, blend_density

if TYPE_CHECKING:
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan

NO_POT = Spread(0, 0, 0)


READY_MADE = Spread(180, 290, 500)
"""Density of a bagged mix as it comes [kg/m3]: 90 to 160 dry at 50 to 60 % moisture by weight
(Univ. of Arkansas, unit 7 section 2); the high end, for mixes with compost, is from memory."""
WATER_KG_PER_M3 = 1000.0


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


def handled_density(
    parts: Mapping[str, float],
    densities: Mapping[str, Spread | None],
    shrink: Spread,
) -> Spread | None:
    """Return the density [kg/m3] of a blend as it is shovelled: mass of its parts over its volume.

    `parts` are loose shares that sum to 1, `densities` [kg/m3] those of the parts as they go in,
    moistened; `shrink` is the volume lost in blending, none where there is one part.
    None where the density of a part is not known.
    """
    known = {name: one for name in parts if (one := densities.get(name)) is not None}
    if len(known) < len(parts):
        return None
    lost = shrink if len(parts) > 1 else Spread(0, 0, 0)
    return blend_density(parts, known, lost)


def moistened_density(row: Ingredient | None) -> Spread | None:
    """Return the density [kg/m3] of an ingredient with the water that it gets before blending."""
    if row is None or row.density_kg_per_m3 is None:
        return None
    loose, water = row.density_kg_per_m3, row.moisten_l_per_l
    if water is None:
        return loose
    return Spread(
        loose.low + WATER_KG_PER_M3 * water.low,
        loose.likely + WATER_KG_PER_M3 * water.likely,
        loose.high + WATER_KG_PER_M3 * water.high,
    )


def turned_density(plan: Plan, mix_name: str) -> Spread | None:
    """Return the density [kg/m3] of a plan's mix as it is turned, through mixes within mixes."""
    mix = plan.mixes[mix_name]
    if mix.bought:
        return READY_MADE
    whole = sum(mix.parts.values())
    parts = {name: float(part / whole) for name, part in mix.parts.items() if part}
    densities = {
        name: turned_density(plan, name)
        if name in plan.mixes
        else moistened_density(plan.ingredients.get(name))
        for name in parts
    }
    return handled_density(parts, densities, mix.shrink)


def bag_weight(plan: Plan, supply: Supply) -> Spread | None:
    """Return what one package weighs [kg]; None for pieces, bulk without density, own heaps."""
    if supply.pack is None:
        return None
    if supply.pack.kilograms is not None:
        return Spread.exactly(float(supply.pack.kilograms))
    if supply.loose_l is None:
        return None if supply.mass_kg is None else Spread.exactly(supply.mass_kg)
    if supply.of_kind == "mix":
        density: Spread | None = READY_MADE
    else:
        row = plan.ingredients.get(supply.of)
        density = None if row is None else row.density_kg_per_m3
    if density is None:
        return None
    loose = supply.loose_l
    return Spread(
        loose.low * density.low / 1000,
        loose.likely * density.likely / 1000,
        loose.high * density.high / 1000,
    )
