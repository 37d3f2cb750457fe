"""Text with a unit to a float in a base unit, and back: the one home of pint.

Base units: litre, metre, square metre, kilogram, minute (and whole days), shares of one.
"""

from __future__ import annotations

from rootroom.units.numbers import read_number
from rootroom.units.reading import (
    Amount,
    Rate,
    read_amount,
    read_area_m2,
    read_density_kg_per_m3,
    read_duration_days,
    read_length_m,
    read_mass_kg,
    read_minutes,
    read_rate,
    read_share,
    read_volume_l,
)
from rootroom.units.showing import (
    Kind,
    System,
    show,
    show_length,
    show_level,
    show_mass,
    show_minutes,
    show_rate,
    show_spoons,
    show_volume,
)

__all__ = [
    "Amount",
    "Kind",
    "Rate",
    "System",
    "read_amount",
    "read_area_m2",
    "read_density_kg_per_m3",
    "read_duration_days",
    "read_length_m",
    "read_mass_kg",
    "read_minutes",
    "read_number",
    "read_rate",
    "read_share",
    "read_volume_l",
    "show",
    "show_length",
    "show_level",
    "show_mass",
    "show_minutes",
    "show_rate",
    "show_spoons",
    "show_volume",
]
