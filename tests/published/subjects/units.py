"""Numbers about units, computed by reading texts with `rootroom.units`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rootroom import units

READERS: dict[str, Callable[[str], float]] = {
    "volume": units.read_volume_l,
    "length": units.read_length_m,
    "area": units.read_area_m2,
    "mass": units.read_mass_kg,
    "density": units.read_density_kg_per_m3,
}


def _convert(given: Mapping[str, Any], kind: str) -> float:
    return READERS[kind](given["text"]) / READERS[kind]("1 " + given["in"])


def volume(given: Mapping[str, Any]) -> float:
    """Return the volume `text` in the unit `in`."""
    return _convert(given, "volume")


def length(given: Mapping[str, Any]) -> float:
    """Return the length `text` in the unit `in`."""
    return _convert(given, "length")


def mass(given: Mapping[str, Any]) -> float:
    """Return the mass `text` in the unit `in`."""
    return _convert(given, "mass")


def density(given: Mapping[str, Any]) -> float:
    """Return the density `text` in the unit `in`."""
    return _convert(given, "density")


def volume_of_sides(given: Mapping[str, Any]) -> float:
    """Return the product of three lengths `sides` in the unit `in`."""
    long, wide, high = (units.read_length_m(side) for side in given["sides"])
    return long * wide * high * 1000 / units.read_volume_l("1 " + given["in"])


def layer(given: Mapping[str, Any]) -> float:
    """Return the volume of the area `area` covered `deep`, in the unit `in`."""
    area, deep = units.read_area_m2(given["area"]), units.read_length_m(given["deep"])
    return area * deep * 1000 / units.read_volume_l("1 " + given["in"])


def rate(given: Mapping[str, Any]) -> float:
    """Return how much the rate `text` puts into the volume `into`, in the unit `in`."""
    read = units.read_rate(given["text"])
    litres = units.read_volume_l(given["into"])
    if read.kg_per_l is not None:
        return read.kg_per_l * litres / units.read_mass_kg("1 " + given["in"])
    assert read.l_per_l is not None
    return read.l_per_l * litres / units.read_volume_l("1 " + given["in"])


def layer_of_sides(given: Mapping[str, Any]) -> float:
    """Return the volume of the rectangle `sides` covered `deep`, in the unit `in`."""
    return volume_of_sides({"sides": [*given["sides"], given["deep"]], "in": given["in"]})


def coverage(given: Mapping[str, Any]) -> float:
    """Return the area that `volume` covers `deep`, in the unit `in`."""
    litres, deep = units.read_volume_l(given["volume"]), units.read_length_m(given["deep"])
    return litres / 1000 / deep / units.read_area_m2("1 " + given["in"])
