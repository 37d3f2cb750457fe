"""What bags and a vessel of mix weigh as they are handled: loose, at their usual moisture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.pot.blend import blend_density

if TYPE_CHECKING:
    from rootroom.plan.goods import Supply
    from rootroom.plan.model import Plan

READY_MADE = Spread(180, 290, 500)
"""Density of a bagged mix as it comes [kg/m3]: 90 to 160 dry at 50 to 60 % moisture by weight
(Univ. of Arkansas, unit 7 section 2); the high end, for mixes with compost, is from memory."""

WATER_KG_PER_M3 = 1000.0
ENDS: tuple[Literal["low", "likely", "high"], ...] = ("low", "likely", "high")


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
