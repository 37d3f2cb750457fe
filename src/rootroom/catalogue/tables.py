"""Reading the catalogue's data files: TOML beside the code, figures into base units.

The unit of a figure stands at the end of its key (`height_in`, `brim_l`), so that a row can be held
against its source; three figures make a spread, one makes a known value.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache, partial
from operator import mul
from pathlib import Path
from typing import Any, Final, TypeVar

from attrs import fields

from rootroom.catalogue.spread import Spread

Record = TypeVar("Record")

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


def in_base(row: Mapping[str, Any], stem: str) -> float:
    """Return one figure of a row in its base unit [m, L or kg]; its key is `stem` and a unit."""
    found = _in_base(row, stem)
    if found is None:
        raise ValueError(f"row must give {stem!r} with a unit, got {sorted(row)}")
    return found.likely


def _in_base(row: Mapping[str, Any], stem: str) -> Spread | None:
    for unit, factor in _TO_BASE.items():
        value = row.get(f"{stem}_{unit}")
        if value is not None:
            return spread_of(value).map(partial(mul, factor))
    return None


def record(
    cls: type[Record], table: Mapping[str, Any], row: Mapping[str, Any], **own: Any
) -> Record:
    """Return a row as a record of `cls`, whose fields are keys of the row unless in `own`.

    A figure in a base unit may be given in another (`height_m` by `height_in`); sources become
    their words; what has a default may be left out. Raises ValueError for an unknown grade.
    """
    if row.get("grade", "A") not in GRADES:
        raise ValueError(f"grade must be one of {GRADES}, got {row['grade']!r}")
    for each in fields(cls):  # type: ignore[arg-type]
        kind = str(each.type)
        if each.name in own:
            continue
        if each.name == "source":
            own["source"] = source_text(table, row["source"])
        elif each.name == "sources":
            own["sources"] = tuple(source_text(table, key) for key in row["sources"])
        elif (found := _in_base(row, each.name.rpartition("_")[0])) is not None:
            own[each.name] = found if kind.startswith("Spread") else found.likely
        elif each.name in row:
            value = row[each.name]
            own[each.name] = spread_of(value) if kind.startswith("Spread") else _frozen(kind, value)
    return cls(**own)


def _frozen(kind: str, value: Any) -> Any:
    if kind.startswith("tuple"):
        return tuple(value)
    return frozenset(value) if kind.startswith("frozenset") else value
