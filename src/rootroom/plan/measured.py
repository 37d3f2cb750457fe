"""What a grower measured of a finished mix: shares, or the volumes of the home test.

The home test: fill a container of known `volume` with the mix, its holes closed; pour in water until
it stands at the top (`poured`); open the holes, let it drain and catch the water (`drained`).
Drained over volume is the air space, poured over volume the porosity of a mix that was dry.
"""

from __future__ import annotations

from attrs import evolve, frozen

from rootroom.plan.findings import Findings, Path
from rootroom.plan.model import Measured
from rootroom.plan.values import Density, Litres, Metres, Share

__all__ = ["MeasuredTable", "read_measured"]


@frozen
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


def read_measured(
    table: MeasuredTable | None, path: Path, findings: Findings
) -> Measured | None:
    """Return what was measured; what is not possible is noted."""
    if table is None:
        return None
    if findings.seen(path):
        return None
    table = _from_volumes(table, path, findings)
    porosity, air, capacity = table.porosity, table.air, table.capacity
    if porosity is None and air is not None and capacity is not None:
        porosity = air + capacity
        if porosity >= 1:
            _impossible(path, "air", f"air and water together are {porosity:.0%} of the mix", findings)
            return None
    if porosity is not None and air is not None and capacity is not None:
        if abs(air + capacity - porosity) > 0.02:
            _impossible(
                path,
                "porosity",
                f"air {air:.0%} and water {capacity:.0%} do not add up to the pores, {porosity:.0%}",
                findings,
            )
            return None
    for key, part in (("air", air), ("capacity", capacity)):
        if porosity is not None and part is not None and part > porosity:
            _impossible(path, key, f"more than all pores, {porosity:.0%}: `{part:.0%}`", findings)
            return None
    if porosity is not None and porosity >= 1:
        _impossible(path, "porosity", f"a mix is not all pores: `{porosity:.0%}`", findings)
        return None
    if table.density is not None and table.density > 2650:
        _impossible(
            path, "density", f"denser than solid stone: `{table.density:.0f} kg/m3`", findings
        )
        return None
    return Measured(porosity, air, capacity, table.density, table.height)


def _from_volumes(table: MeasuredTable, path: Path, findings: Findings) -> MeasuredTable:
    """Return the table with shares in place of the volumes of the home test."""
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
        return table
    if table.drained is not None and table.air is None:
        table = evolve(table, air=table.drained / table.volume)
    if table.poured is not None and table.porosity is None:
        table = evolve(table, porosity=table.poured / table.volume)
    return table


def _impossible(path: Path, key: str, message: str, findings: Findings) -> None:
    findings.error(
        (*path, key) if key else path,
        "impossible-measure",
        message,
        hint="measure again: pores are air and water together, below the whole volume",
    )
