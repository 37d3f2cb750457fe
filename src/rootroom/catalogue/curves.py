"""What is published of how substrates hold water: curves, and air and water in a known core."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import GRADES, read_table, source_text


@frozen
class PublishedCurve:
    """A retention curve as printed: shares of the volume, alpha [1/cm]; m is 1 - 1/n."""

    name: str
    theta_s: float
    theta_r: float
    alpha_per_cm: float
    n: float
    source: str
    grade: str


@frozen
class CurveShape:
    """How steeply a fitted curve falls: n, and residual water as a share of the porosity."""

    name: str
    n: float
    residual_of_porosity: float
    source: str


@frozen
class Retention:
    """How one ingredient holds water, driest, likely and wettest.

    Either `porosity` and `capacity` [shares] in a straight core of `core_m`, or three `curves`.
    """

    ingredient: str
    porosity: tuple[float, float, float] | None
    capacity: tuple[float, float, float] | None
    core_m: float | None
    curves: tuple[PublishedCurve, ...]
    sources: tuple[str, ...]
    grade: str


@frozen
class PublishedMix:
    """A mix whose physics were measured: dry density [kg/m3], shares in a 4 in container."""

    name: str
    parts: Mapping[str, int]
    density_kg_per_m3: float
    porosity_share: float
    air_share: float
    water_share: float


@cache
def _table() -> dict[str, Any]:
    return read_table("curves")


def _grade(row: Mapping[str, Any]) -> str:
    if row["grade"] not in GRADES:
        raise ValueError(f"grade must be one of {GRADES}, got {row['grade']!r}")
    return str(row["grade"])


@cache
def published_curves() -> Mapping[str, PublishedCurve]:
    """Return every published curve by its name."""
    return {
        name: PublishedCurve(
            name,
            row["theta_s"],
            row["theta_r"],
            row["alpha"],
            row["n"],
            source_text(_table(), row["source"]),
            _grade(row),
        )
        for name, row in _table()["curve"].items()
    }


@cache
def curve_shapes() -> tuple[CurveShape, ...]:
    """Return the shapes of a fitted curve, least steep first."""
    return tuple(
        CurveShape(
            name, row["n"], row["residual_of_porosity"], source_text(_table(), row["source"])
        )
        for name, row in _table()["family"].items()
    )


def _three(values: Any) -> tuple[float, float, float]:
    spread = Spread(*values)
    return spread.low, spread.likely, spread.high


@cache
def retentions() -> Mapping[str, Retention]:
    """Return how each ingredient holds water, by its name."""
    found = {}
    for name, row in _table()["ingredient"].items():
        measured = "porosity" in row
        found[name] = Retention(
            name,
            _three(row["porosity"]) if measured else None,
            _three(row["capacity"]) if measured else None,
            row["core_cm"] / 100 if measured else None,
            () if measured else tuple(published_curves()[curve] for curve in row["curves"]),
            tuple(source_text(_table(), key) for key in row["sources"]),
            _grade(row),
        )
    return found


def retention_of(ingredient: str) -> Retention | None:
    """Return how an ingredient holds water; None where nothing is published."""
    return retentions().get(ingredient)


@cache
def published_mixes() -> tuple[PublishedMix, ...]:
    """Return the mixes whose air and water were measured in a 4 in container."""
    return tuple(
        PublishedMix(
            name,
            row["parts"],
            row["density"] * 1000,
            row["porosity"],
            row["air"],
            row["water"],
        )
        for name, row in _table()["mix"].items()
    )
