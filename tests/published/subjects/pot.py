"""Numbers about water, air and weight, computed by `rootroom.pot`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rootroom.catalogue.curves import published_curves, published_mixes, retentions
from rootroom.catalogue.uses import live_loads
from rootroom.containers.shapes import Cylinder
from rootroom.plan.model import Measured
from rootroom.pot.curve import Curve
from rootroom.pot.lime_and_compost import RAW_MANURE_DAYS
from rootroom.pot.mixture import holding_of_measured

CORE_M = 0.076


def _measured(given: Mapping[str, Any]) -> Any:
    shares = {key: given.get(key, None) for key in ("porosity", "air", "water")}
    measured = Measured(
        porosity_share=shares["porosity"] and shares["porosity"] / 100,
        air_share=shares["air"] and shares["air"] / 100,
        capacity_share=shares["water"] and shares["water"] / 100,
        core_height_m=CORE_M,
    )
    holding = holding_of_measured("sample", measured, None)
    assert holding is not None
    return holding.in_pots([Cylinder(0.1, CORE_M)])[0]


def porosity(given: Mapping[str, Any]) -> float:
    """Return the porosity of a curve fitted to measured air and water, as a percentage."""
    return float(_measured(given).porosity.likely * 100)


def air(given: Mapping[str, Any]) -> float:
    """Return the air in the core of a curve fitted to measured pores and water, a percentage."""
    return float(_measured(given).air.likely * 100)


def sum_of_mix(given: Mapping[str, Any]) -> float:
    """Return air and water of a shipped published mix together, as a percentage."""
    one = next(mix for mix in published_mixes() if mix.name == given["mix"])
    return (one.air_share + one.water_share) * 100


def water_of_curve(given: Mapping[str, Any]) -> float:
    """Return the water of a shipped curve at a tension in kPa, as a percentage."""
    row = published_curves()[given["curve"]]
    curve = Curve(row.theta_s, row.theta_r, row.alpha_per_cm, row.n)
    return curve.water_share(given["kpa"] * 10.1972) * 100


def parameter(given: Mapping[str, Any]) -> float:
    """Return a parameter of a shipped curve, alpha in the unit `in`."""
    row = published_curves()[given["curve"]]
    value = float(getattr(row, given["of"]))
    return value * 100 if given.get("in") == "1/m" else value


def held(given: Mapping[str, Any]) -> float:
    """Return a shipped porosity or capacity of an ingredient, as a percentage."""
    three = getattr(retentions()[given["name"]], given["of"])
    return float(three[{"least": 0, "likely": 1, "most": 2}[given["which"]]] * 100)


def live_load(given: Mapping[str, Any]) -> float:
    """Return a shipped design live load in pounds a square foot, by way of kilograms."""
    one = next(
        load
        for load in live_loads()
        if load.place == given["place"] and given["edition"] in load.edition
    )
    return one.kg_per_m2 * 0.3048**2 / 0.45359237


def days_before_harvest(given: Mapping[str, Any]) -> float:
    """Return the days between raw manure and harvest."""
    return RAW_MANURE_DAYS[given["eaten"]]
