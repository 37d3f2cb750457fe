"""Numbers about mixes, computed by the demand for one bed and by the mix card."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

from rootroom import units
from rootroom.catalogue.ingredients import ingredients
from rootroom.containers.shapes import Cylinder
from rootroom.demand.find import find_demand
from rootroom.mixing.blend import blend, sized
from rootroom.plan.model import Factors, Mix, Plan
from tests.support import plans

# A source that names parts and a whole leaves packing, spill and settling out.
PLAIN = Factors(*(plans.spread(value) for value in (1.0, 0.0, 1.0, 0.0)))
FOOT = 0.3048


def recipe(given: Mapping[str, Any]) -> Mix:
    """Return the mix of `parts`, of which `shrink` is lost, with the rates of `add`."""
    rates = {name: units.read_rate(text) for name, text in given.get("add", {}).items()}
    return plans.mix("mix", given["parts"], shrink=given.get("shrink", 0.0), add=rates)


def garden(given: Mapping[str, Any]) -> Plan:
    """Return a plan with one bed, of `length`, `width` and `depth`, or one that takes `makes`."""
    if "makes" in given:
        sides_m3 = units.read_volume_l(given["makes"]) / 1000
        area_m2, depth_m = sides_m3 / FOOT, FOOT
    else:
        long, wide, depth_m = (units.read_length_m(given[k]) for k in ("length", "width", "depth"))
        area_m2 = long * wide
    bed = plans.bed("bed", area_m2, depth_m, [("mix", None)], settles=0.0)
    vessel = {
        key: units.read_volume_l(given[name])
        for key, name in (("vessel_l", "vessel"), ("scoop_l", "scoop"))
        if name in given
    }
    return plans.plan(
        [], [recipe(given)], [bed], factors=PLAIN, ingredients=ingredients(),
        work=plans.work(**vessel),
    )  # fmt: skip


def part(given: Mapping[str, Any]) -> float:
    """Return how much of the part `of` the bed or the volume takes, in the unit `in`."""
    needed = find_demand(garden(given), draws=2).ingredients[given["of"]].likely
    return needed / units.read_volume_l("1 " + given["in"])


def part_of_bags(given: Mapping[str, Any]) -> float:
    """Return how much of the part `of` fills flat bags, each as wide as `flat` and `high`.

    Filled, a flat bag is round: twice its width goes around it.
    """
    width_m, high_m = units.read_length_m(given["flat"]), units.read_length_m(given["high"])
    bag = Cylinder(2 * width_m / pi, high_m)
    return part({**given, "makes": f"{given['bags'] * bag.volume_l()} L"})


def addition(given: Mapping[str, Any]) -> float:
    """Return how much of the addition `of` goes into the volume `makes`, in the unit `in`."""
    found = find_demand(garden(given), draws=2).additions[given["of"]]
    assert found.unit == "kg"
    return found.amount.likely / units.read_mass_kg("1 " + given["in"])


def scoops(given: Mapping[str, Any]) -> float:
    """Return the level scoops of the part `of` in one batch."""
    plan = garden(given)
    return blend(plan).cards["mix"].scoops[given["of"]]


def batch_addition(given: Mapping[str, Any]) -> float:
    """Return what one batch gets of the addition `of`, in the unit `in`."""
    plan = garden(given)
    # A vesselful, as the recipes are printed.
    card = blend(plan).cards["mix"]
    (found,) = sized(card, card.units_most).additions
    assert found.kg is not None
    return found.kg / units.read_mass_kg("1 " + given["in"])


def moistening_at_least(given: Mapping[str, Any]) -> float:
    """Return the least water that moistens the volume `loose` of `of`, in the unit `in`."""
    water = ingredients()[given["of"]].moisten_l_per_l
    assert water is not None
    litres = water.low * units.read_volume_l(given["loose"])
    return litres / units.read_volume_l("1 " + given["in"])
