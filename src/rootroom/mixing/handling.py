"""How a part behaves when it is blended, and the water that it takes beforehand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from rootroom.mixing.card import Water

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

Handling = Literal["moist", "dusty", "powder", "coated"]


def handling_of(plan: Plan, name: str) -> Handling:
    """Return how a part or an addition is handled; a mix, and what nobody described, is moist.

    Fine dusty parts, as peat, are moistened right through beforehand and then lie like moist ones;
    coarse ones are only damped and still dust.
    """
    ingredient = plan.ingredients.get(name)
    if ingredient is None or name in plan.mixes:
        return "moist"
    if ingredient.coated:
        return "coated"
    if ingredient.powder:
        return "powder"
    moistened = "fine" in ingredient.traits and ingredient.moisten_l_per_l is not None
    return "dusty" if ingredient.dusty and not moistened else "moist"


def water_for(plan: Plan, name: str, litres: float) -> Water | None:
    """Return the water that `litres` [L] of a loose part take before blending, None for none.

    A block soaks what its package says or, without that, what blocks usually take; loose parts are
    moistened by the catalogue's figure.
    """
    ingredient = plan.ingredients.get(name)
    supplies = [supply for supply in plan.supplies if supply.of == name]
    for supply in supplies:
        if supply.water_l is not None and supply.loose_l is not None:
            return Water(name, "soak", litres * supply.water_l / supply.loose_l.likely)
    if ingredient is None or name in plan.mixes:
        return None
    loose_already = any(supply.pack and supply.pack.litres is not None for supply in supplies)
    soak, yields = ingredient.soak_l_per_kg, ingredient.yields_l_per_kg
    if soak is not None and yields is not None and not loose_already:
        return Water(name, "soak", litres * soak.likely / yields.likely)
    if ingredient.moisten_l_per_l is not None:
        return Water(name, "moisten", litres * ingredient.moisten_l_per_l.likely)
    return None
