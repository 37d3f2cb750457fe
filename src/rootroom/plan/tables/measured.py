"""What a grower measured of a finished mix: shares, or the volumes of the home test.

The home test: fill a container of known `volume` with the mix, its holes closed; pour in water
until it stands at the top (`poured`); open the holes, let it drain, catch the water (`drained`).
Drained over volume is the air space, poured over volume the porosity of a mix that was dry.
A laboratory's retention curve may stand in place of all three.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.measures import Density, Litres, Metres, Share
from rootroom.plan.model import Measured
from rootroom.plan.values import Number

if TYPE_CHECKING:
    from rootroom.catalogue.curves import CurveValues


@frozen(eq=False, repr=False)
class CurveTable:
    """The key `curve` of `measured`: a van Genuchten curve, alpha per centimetre of tension."""

    saturated: Share | None = None
    residual: Share | None = None
    alpha: Number | None = None
    n: Number | None = None
    m: Number | None = None


@frozen(eq=False, repr=False)
class MeasuredTable:
    """The key `measured` of a mix as written."""

    porosity: Share | None = None
    air: Share | None = None
    capacity: Share | None = None
    density: Density | None = None
    height: Metres | None = None
    volume: Litres | None = None
    poured: Litres | None = None
    drained: Litres | None = None
    curve: CurveTable | None = None


def read_measured(table: MeasuredTable | None, path: Path, findings: Findings) -> Measured | None:
    """Return what was measured; what is not possible is noted."""
    if table is None or findings.seen(path):
        return None
    porosity, air, capacity = _shares(table, path, findings)
    wrong = _contradiction(porosity, air, capacity, table.density)
    if wrong is not None:
        key, message = wrong
        written, subject = _as_written(key, table)
        findings.error(
            (*path, written),
            "impossible-measure",
            f"{subject}{message}",
            hint="weigh a known volume of the mix once it has dried"
            if key == "density"
            else "measure again: the pores are air and water together, below the whole volume",
        )
        return None
    if porosity is None and air is not None and capacity is not None:
        porosity = air + capacity
    curve = None
    if table.curve is not None:
        curve = _curve(table.curve, (*path, "curve"), findings)
        if curve is None:
            return None
    return Measured(porosity, air, capacity, table.density, table.height, curve)


def _as_written(key: str, table: MeasuredTable) -> tuple[str, str]:
    """Return the key of the plan that a share came from, and how to speak of a home test's."""
    if key == "porosity" and table.porosity is None:
        return "poured", "what was poured, over the volume: "
    if key == "air" and table.air is None:
        return "drained", "what drained, over the volume: "
    return key, ""


_CURVE_KEYS = {
    "theta_s": "saturated",
    "theta_r": "residual",
    "alpha_per_cm": "alpha",
    "n": "n",
    "m": "m",
}


def _curve(table: CurveTable, path: Path, findings: Findings) -> CurveValues | None:
    """Return the values of a curve; what no curve has is noted at its key."""
    from rootroom.catalogue.curves import CurveValues, check_curve  # few plans give a curve

    missing = [key for key in ("saturated", "alpha", "n") if getattr(table, key) is None]
    if missing:
        findings.error(
            path,
            "missing-key",
            f"a curve needs its `{missing[0]}`",
            hint='write `curve = { saturated = "85 %", residual = "10 %", alpha = 0.1, n = 2.0 }`',
            key=True,
        )
        return None
    assert table.saturated is not None
    assert table.alpha is not None
    assert table.n is not None
    values = CurveValues(
        theta_s=table.saturated,
        theta_r=table.residual or 0.0,
        alpha_per_cm=float(table.alpha),
        n=float(table.n),
        m=None if table.m is None else float(table.m),
    )
    faults = check_curve(
        theta_s=values.theta_s,
        theta_r=values.theta_r,
        alpha_per_cm=values.alpha_per_cm,
        n=values.n,
        m=values.m,
    )
    for fault in faults:
        share = fault.name in ("theta_s", "theta_r")
        shown = f"{fault.value:.0%}" if share else f"{fault.value:g}"
        findings.error(
            (*path, _CURVE_KEYS[fault.name]),
            "impossible-measure",
            f"{fault.message}: `{shown}`",
            hint=fault.hint,
        )
    return None if faults else values


def _shares(
    table: MeasuredTable, path: Path, findings: Findings
) -> tuple[float | None, float | None, float | None]:
    """Return porosity, air and capacity: as given, else from the volumes of the home test."""
    porosity, air = table.porosity, table.air
    if table.volume is None:
        for key in ("poured", "drained"):
            if getattr(table, key) is not None:
                findings.error(
                    (*path, key),
                    "missing-key",
                    f"`{key}` needs `volume`: what the container of the test holds",
                    hint='write `volume = "3 L"` beside it',
                    key=True,
                )
        return porosity, air, table.capacity
    volume_l = table.volume
    return (
        table.poured / volume_l if porosity is None and table.poured is not None else porosity,
        table.drained / volume_l if air is None and table.drained is not None else air,
        table.capacity,
    )


def _contradiction(
    porosity: float | None, air: float | None, capacity: float | None, density: float | None
) -> tuple[str, str] | None:
    """Return which key cannot be right, and why."""
    both = None if air is None or capacity is None else air + capacity
    if porosity is not None and porosity >= 1:
        return "porosity", f"a mix is not all pores: `{porosity:.0%}`"
    for key, part in (("air", air), ("capacity", capacity)):
        if part is not None and part >= (1 if porosity is None else porosity):
            whole = "the whole volume" if porosity is None else f"all pores, {porosity:.0%},"
            return key, f"as much as {whole} or more: `{part:.0%}`"
    if both is not None and porosity is None and both >= 1:
        return "air", f"air and water together are {both:.0%} of the volume"
    if both is not None and porosity is not None and abs(both - porosity) > 0.02:
        return "porosity", f"air and water add up to {both:.0%}, not to the pores: `{porosity:.0%}`"
    if density is not None and density > 2650:
        return "density", f"denser than solid stone: `{density:.0f} kg/m3`"
    return None
