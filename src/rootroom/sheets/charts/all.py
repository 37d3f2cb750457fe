"""All charts of a season by name, in the order in which they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.charts.bars import cost_chart, demand_chart
from rootroom.sheets.charts.pots import pot_charts
from rootroom.sheets.charts.season import season_charts

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer

__all__ = ["charts"]


def charts(season: Season, writer: Writer) -> Mapping[str, str]:
    """Return each chart as an SVG element; one that would be empty is left out."""
    found = {
        **season_charts(season, writer),
        "demand": demand_chart(season, writer),
        "cost": cost_chart(season, writer),
        **pot_charts(season),
    }
    return {name: svg for name, svg in found.items() if svg}
