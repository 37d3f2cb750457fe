"""All charts of a season by name, in the order in which they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.charts.bars import cost_chart, demand_chart
from rootroom.sheets.charts.pots import pot_charts
from rootroom.sheets.charts.season import NARROW, season_charts

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer

PHONE = 336.0
"""How wide a picture is on a phone [units], one unit being a pixel there."""


def charts(season: Season, writer: Writer, *, phone: bool = False) -> Mapping[str, str]:
    """Return each chart as an SVG element; one that would be empty is left out.

    Paper has no room for the pots, and narrow pictures are for the phone.
    """
    size = {"width": PHONE, "names": NARROW} if phone else {}
    found = {
        **season_charts(season, writer, **size),
        "demand": demand_chart(season, writer),
        "cost": cost_chart(season, writer),
        **(pot_charts(season) if phone else {}),
    }
    return {name: svg for name, svg in found.items() if svg}
