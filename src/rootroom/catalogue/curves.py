"""What is published of how substrates hold water: checked curves, air and water in a core."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache, partial

from attrs import frozen

from rootroom.catalogue.tables import read_table, record


@frozen(eq=False, repr=False)
class PublishedCurve:
    """A retention curve as printed: shares of the volume, alpha [1/cm]; m is 1 - 1/n."""

    name: str
    theta_s: float
    theta_r: float
    alpha_per_cm: float
    n: float
    source: str
    grade: str


@frozen(eq=False, repr=False)
class CurveShape:
    """How steeply a fitted curve falls: n, and residual water as a share of the porosity."""

    name: str
    n: float
    residual_of_porosity: float
    source: str


@frozen(eq=False, repr=False)
class Retention:
    """How one ingredient holds water, driest, likely and wettest.

    Either `porosity` and `capacity` [shares] in a straight core of `core_m`, or three `curves`.
    """

    ingredient: str
    curves: tuple[PublishedCurve, ...]
    sources: tuple[str, ...]
    grade: str
    porosity: tuple[float, float, float] | None = None
    capacity: tuple[float, float, float] | None = None
    core_m: float | None = None


@frozen(eq=False, repr=False)
class PublishedMix:
    """A mix whose physics were measured: dry density [kg/m3], shares in a 4 in container."""

    name: str
    parts: Mapping[str, int]
    density_kg_per_m3: float
    porosity_share: float
    air_share: float
    water_share: float


_table = partial(read_table, "curves")


@cache
def published_curves() -> Mapping[str, PublishedCurve]:
    """Return every published curve by its name."""
    return {
        name: record(PublishedCurve, _table(), row, name=name, alpha_per_cm=row["alpha"])
        for name, row in _table()["curve"].items()
    }


@cache
def curve_shapes() -> tuple[CurveShape, ...]:
    """Return the shapes of a fitted curve, least steep first."""
    shapes = _table()["family"].items()
    return tuple(record(CurveShape, _table(), row, name=name) for name, row in shapes)


@cache
def retentions() -> Mapping[str, Retention]:
    """Return how each ingredient holds water, by its name."""
    known = published_curves()
    return {
        name: record(
            Retention,
            _table(),
            row,
            ingredient=name,
            curves=tuple(known[curve] for curve in row.get("curves", ())),
        )
        for name, row in _table()["ingredient"].items()
    }


def retention_of(ingredient: str) -> Retention | None:
    """Return how an ingredient holds water; None where nothing is published."""
    return retentions().get(ingredient)


@cache
def published_mixes() -> tuple[PublishedMix, ...]:
    """Return the mixes whose air and water were measured in a 4 in container."""
    return tuple(
        PublishedMix(
            name, row["parts"], row["density"] * 1000, row["porosity"], row["air"], row["water"]
        )
        for name, row in _table()["mix"].items()
    )


@frozen
class CurveValues:
    """Values of a van Genuchten curve as somebody gave them, checked by `check_curve`.

    `theta_s` and `theta_r` are water at saturation and residual water [share of the volume],
    `alpha_per_cm` is per centimetre of tension [1/cm]; m None stands for 1 - 1/n.
    """

    theta_s: float
    theta_r: float
    alpha_per_cm: float
    n: float
    m: float | None = None


@frozen
class CurveFault:
    """What is wrong with one value of a curve: whoever knows its place makes a `Problem` of it."""

    name: str
    value: float
    message: str
    hint: str


def check_curve(
    *, theta_s: float, theta_r: float, alpha_per_cm: float, n: float, m: float | None = None
) -> tuple[CurveFault, ...]:
    """Return every fault in the values of a curve; none means that `Curve` takes them.

    Water contents are shares of the volume, 0 to 1; `alpha_per_cm` in [1/cm].
    """
    faults = []

    def fault(name: str, value: float, message: str, hint: str = "") -> None:
        faults.append(CurveFault(name, value, message, hint))

    given = {"theta_s": theta_s, "theta_r": theta_r, "alpha_per_cm": alpha_per_cm, "n": n}
    for name, value in (given if m is None else {**given, "m": m}).items():
        if not math.isfinite(value):
            fault(name, value, f"{name} must be a finite number")
    if faults:
        return tuple(faults)
    if not 0 < theta_s < 1:
        fault(
            "theta_s",
            theta_s,
            "water at saturation (the total porosity) must lie between 0 and 1",
            "give it as a share of the volume: 0.85 or 85 %, not 85",
        )
    if theta_r < 0:
        fault("theta_r", theta_r, "residual water must not be negative")
    elif theta_r >= theta_s:
        fault(
            "theta_r",
            theta_r,
            "residual water must be less than water at saturation",
            "the two may have been swapped",
        )
    if alpha_per_cm <= 0:
        fault("alpha_per_cm", alpha_per_cm, "alpha must be above 0 per cm")
    if n <= 1:
        fault("n", n, "n must be above 1", "published values for mixes run from about 1.1 to 3")
    if m is not None and m <= 0:
        fault("m", m, "m must be above 0", "leave m out for m = 1 - 1/n")
    return tuple(faults)
