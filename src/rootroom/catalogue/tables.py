"""Reading the catalogue's data files: TOML beside the code, figures into base units.

The unit of a figure stands at the end of its key (`height_in`, `brim_l`), so that a row can be held
against its source; three figures make a spread, one makes a known value.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from rootroom.catalogue.spread import Spread

GRADES: Final = ("A", "B", "C", "M")
"""A standard, government, university, journal; B grower, trade press; C general page; M memory."""

_DATA: Final = Path(__file__).parent / "data"  # `importlib.resources` takes 5 ms to load

_TO_BASE: Final[Mapping[str, float]] = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "in": 0.0254,
    "l": 1.0,
    "ml": 0.001,
    "in3": 0.016387064,
    "gal": 3.785411784,
    "kg": 1.0,
}


@cache
def read_table(name: str) -> Mapping[str, Any]:
    """Return the data file `name` (without `.toml`) as tomllib reads it, read once."""
    return tomllib.loads((_DATA / f"{name}.toml").read_text(encoding="utf-8"))


def source_text(table: Mapping[str, Any], keys: str | Sequence[str]) -> str:
    """Return the words of one source or of several; ValueError for a key that is not listed."""
    listed = table["sources"]
    each = (keys,) if isinstance(keys, str) else keys
    for key in each:
        if key not in listed:
            raise ValueError(f"source must be listed under [sources], got {key!r}")
    return "; ".join(str(listed[key]) for key in each)


def spread_of(value: float | Sequence[float]) -> Spread:
    """Return the spread of one figure, or of low, likely and high."""
    if isinstance(value, int | float):
        return Spread.exactly(value)
    low, likely, high = value
    return Spread(low, likely, high)


def _find(row: Mapping[str, Any], stem: str) -> tuple[Any, float]:
    """Return the figure whose key is `stem` and a unit, and that unit's factor to the base."""
    for unit, factor in _TO_BASE.items():
        if f"{stem}_{unit}" in row:
            return row[f"{stem}_{unit}"], factor
    raise ValueError(f"row must give {stem!r} with a unit, got {sorted(row)}")


def in_base(row: Mapping[str, Any], stem: str) -> float:
    """Return one figure of a row in its base unit [m, L or kg]."""
    value, factor = _find(row, stem)
    return float(value) * factor


def spread_in_base(row: Mapping[str, Any], stem: str) -> Spread:
    """Return three figures of a row in their base unit [m, L or kg]."""
    value, factor = _find(row, stem)
    return spread_of(value).map(lambda figure: figure * factor)
