"""The units that an explanation is worked in: the grower's own, as small as what is told of.

Small pots are worked in cubic inches or millilitres, larger ones in gallons or litres, beds in
cubic feet or litres; so nobody reads a pot in thousandths of a gallon.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.tolerances import ROUNDING
from rootroom.units.reading import read_area_m2, read_length_m, read_mass_kg, read_volume_l

if TYPE_CHECKING:
    from rootroom.units.showing import System


@frozen
class OwnUnit:
    """A unit by its name, and what one of it is in the base unit [L, kg, m2, m or one]."""

    name: str
    size: float

    def of(self, value: float) -> float:
        """Return how many of it a value in the base unit is."""
        return value / self.size


PLAIN = OwnUnit("", 1.0)
VOLUMES = {
    name: OwnUnit(name, read_volume_l(f"1 {name}"))
    for name in ("mL", "L", "cu in", "gal", "cu ft", "yd3", "tbsp", "cup")
}
MASSES = {name: OwnUnit(name, read_mass_kg(f"1 {name}")) for name in ("g", "kg", "oz", "lb")}
BESIDE = {"L": VOLUMES["gal"], "l": VOLUMES["gal"], "kg": MASSES["lb"]}
"""For each base unit of a table the US one that stands beside it."""
AREA = {
    "us": OwnUnit("sq ft", read_area_m2("1 sq ft")),
    "metric": OwnUnit("m2", 1.0),
}
DEPTH = {"us": OwnUnit("in", read_length_m("1 in")), "metric": OwnUnit("cm", 0.01)}
SMALL_POT_L = {"us": read_volume_l("0.5 gal"), "metric": 1.0}
"""Pots below this are told in cubic inches, or in millilitres [L]."""


def pot_unit(litres: float, system: System) -> OwnUnit:
    """Return what a pot of so much [L] is measured in."""
    small, large = ("cu in", "gal") if system == "us" else ("mL", "L")
    return VOLUMES[large if litres >= SMALL_POT_L[system] else small]


def whole_unit(litres: float, system: System) -> OwnUnit:
    """Return what so much mix [L] for all pots, or for a bed, is measured in."""
    if system == "metric":
        return VOLUMES["L"]
    return VOLUMES["cu ft" if litres >= VOLUMES["cu ft"].size else "gal"]


def given_unit(amount: float, kind: str, system: System) -> tuple[OwnUnit, OwnUnit]:
    """Return what so much of an addition [kg or L] is measured in, and the mix that its rate is of.

    `kind` is kg or L.
    """
    if kind == "kg":
        small, large = ("oz", "lb") if system == "us" else ("g", "kg")
        unit = MASSES[large if amount >= MASSES[large].size else small]
        return unit, VOLUMES["yd3" if system == "us" else "L"]
    if system == "us":
        unit = VOLUMES["cup" if amount >= VOLUMES["cup"].size else "tbsp"]
        return unit, VOLUMES["gal"]
    return VOLUMES["L" if amount >= 1 else "mL"], VOLUMES["L"]


def bridge(old: OwnUnit, new: OwnUnit) -> tuple[str, str]:
    """Return what turns an amount of one unit into another, in words and in numbers; or nothing."""
    ratio = old.size / new.size
    if abs(ratio - 1) < ROUNDING:
        return "", ""
    sign, many = ("x", ratio) if ratio > 1 else ("/", 1 / ratio)
    larger, smaller = (old, new) if ratio > 1 else (new, old)
    return f" {sign} {many:.4g} {smaller.name} a {larger.name}", f" {sign} {many:.6g}"


def in_units(value: float, unit: OwnUnit) -> str:
    """Return a value of the base unit as a number of a unit, with the digits of a formula."""
    return f"{unit.of(value):.6g}"
