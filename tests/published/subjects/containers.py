"""Numbers about shapes, containers, beds and the catalogue's own figures."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

from rootroom import units
from rootroom.catalogue.ingredients import factor, ingredients
from rootroom.catalogue.minutes import minutes
from rootroom.containers import shapes
from rootroom.containers.beds import read_bed_shape
from rootroom.containers.own import own_container
from rootroom.containers.text import read_container
from rootroom.counts import ceil_count

LITRES_PER_M3 = 1000.0


def solid(given: Mapping[str, Any]) -> float:
    """Return a volume in cubes of the unit that the sizes are given in."""
    kind = getattr(shapes, given["shape"])
    sizes = {key: value for key, value in given.items() if key != "shape"}
    return kind(**sizes).volume_l() / LITRES_PER_M3


def round_solid(given: Mapping[str, Any]) -> float:
    """Return a cone frustum's volume from the perimeters of its ends and its height."""
    cone = shapes.Cone(given["top"] / pi, given["bottom"] / pi, given["height"])
    return cone.volume_l() / LITRES_PER_M3


def bucket_litres(given: Mapping[str, Any]) -> float:
    """Return the litres of a bucket from its diameters and height in centimetres."""
    top, bottom, height = (given[key] / 100 for key in ("top", "bottom", "height"))
    return shapes.Cone(top, bottom, height).volume_l()


def container(given: Mapping[str, Any]) -> float:
    """Return what a container's text comes to: `of` brim or fill, `which` of its spread."""
    spread = getattr(read_container(given["text"]), given.get("of", "brim") + "_l")
    return getattr(spread, given.get("which", "likely")) / units.read_volume_l("1 " + given["in"])


def tray(given: Mapping[str, Any]) -> float:
    """Return the litres of so many cells of a tray."""
    return read_container(given["text"]).fill_l.likely * given["cells"]


def flat_minutes(given: Mapping[str, Any]) -> float:
    """Return the minutes of moving a plant into every cell of a tray."""
    tray = read_container(given["text"])
    return tray.cells * minutes("up-pot", tray.fill_l.likely, given["pace"]).likely


def flat_cents(given: Mapping[str, Any]) -> float:
    """Return the cents of moving a plant into every cell of a tray, at `dollars` an hour."""
    return flat_minutes(given) / 60 * float(given["dollars"]) * 100


def flat_seconds(given: Mapping[str, Any]) -> float:
    """Return the seconds of moving a plant into every cell of a tray, at one end of the minutes."""
    tray = read_container(given["text"])
    spread = minutes("up-pot", tray.fill_l.likely, given["pace"])
    return float(tray.cells * getattr(spread, given["which"]) * 60)


def pot_hours(given: Mapping[str, Any]) -> float:
    """Return the hours of moving a plant into each of so many pots, at one end of the minutes."""
    pot = read_container(given["text"])
    spread = minutes("up-pot", pot.fill_l.likely, given["pace"])
    return float(given["pots"] * getattr(spread, given["which"]) / 60)


def trays_for(given: Mapping[str, Any]) -> float:
    """Return how many whole trays take so many plants."""
    return float(ceil_count(given["plants"], read_container(given["text"]).cells))


def watering_minutes(given: Mapping[str, Any]) -> float:
    """Return the minutes of watering so many pots."""
    pot = read_container(given["text"])
    return float(given["pots"] * minutes("water", pot.fill_l.likely, given["pace"]).likely)


def pots_from(given: Mapping[str, Any]) -> float:
    """Return how many pots a volume of loose mix fills, at the likely fill and packing."""
    pot = read_container(given["text"])
    loose = pot.fill_l.likely * pot.cells * factor("packing").likely
    return units.read_volume_l(given["mix"]) / loose


def pots_of(given: Mapping[str, Any]) -> float:
    """Return how many pots of a known volume another volume fills."""
    pot = own_container("pot", volume_l=units.read_volume_l(given["each"]))
    return units.read_volume_l(given["mix"]) / pot.fill_l.likely


def shipped_factor(given: Mapping[str, Any]) -> float:
    """Return one end of a shipped factor, times `times`."""
    return getattr(factor(given["name"]), given["which"]) * given.get("times", 1)


def blended(given: Mapping[str, Any]) -> float:
    """Return what is left of loose parts once blended, at one end of a shipped shrink."""
    return sum(given["parts"]) * (1 - getattr(factor(given["shrink"]), given["which"]))


def density(given: Mapping[str, Any]) -> float:
    """Return a shipped density, `dry` or as handled, in grams a cubic centimetre."""
    row = ingredients()[given["name"]]
    spread = row.dry_density_kg_per_m3 if given["dry"] else row.density_kg_per_m3
    assert spread is not None
    return float(getattr(spread, given["which"])) / 1000


def ounces(given: Mapping[str, Any]) -> float:
    """Return the ounces of a spoon or cup of an addition."""
    dense = ingredients()[given["name"]].density_kg_per_m3
    assert dense is not None
    kilograms = units.read_volume_l(given["text"]) / 1000 * dense.likely
    return kilograms / units.read_mass_kg("1 oz")


def spoons_per_m3(given: Mapping[str, Any]) -> float:
    """Return what spoons of an addition in a bushel of mix come to, in kilograms a cubic metre."""
    dense = getattr(ingredients()[given["name"]].density_kg_per_m3, given["which"])
    kilograms = units.read_volume_l(given["text"]) / 1000 * dense
    return float(kilograms / units.read_volume_l("1 bu") * 1000)


def bed(given: Mapping[str, Any]) -> float:
    """Return the volume of a bed, by its shape and depth."""
    litres = read_bed_shape(given["shape"]).area_m2 * units.read_length_m(given["depth"]) * 1000
    return litres / units.read_volume_l("1 " + given["in"])
