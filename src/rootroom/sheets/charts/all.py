"""All charts of a season by name, in their order, and which pots are drawn in section."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.charts.bars import cost_chart, demand_chart
from rootroom.sheets.charts.room import room_charts
from rootroom.sheets.charts.season import NARROW, season_charts
from rootroom.sheets.pot_drawing import pot_section_svg

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer

PHONE = 336.0
"""How wide a picture is on a phone [units], one unit being a pixel there."""


MOST = 2
"""Pots drawn on the season's sheets; a command of its own draws every one."""


def charts(season: Season, writer: Writer, *, phone: bool = False) -> Mapping[str, str]:
    """Return each chart as an SVG element; one that would be empty is left out.

    Paper has no room for the pots and the places, and narrow pictures are for the phone.
    """
    size = {"width": PHONE, "names": NARROW} if phone else {}
    found = {
        **season_charts(season, writer, **size),
        "demand": demand_chart(season, writer),
        "cost": cost_chart(season, writer),
        **({**room_charts(season), **pot_charts(season)} if phone else {}),
    }
    return {name: svg for name, svg in found.items() if svg}


def pot_charts(season: Season) -> Mapping[str, str]:
    """Return the sections of the pots that take most mix in the season, each mix once.

    A pot whose height is not known is not drawn, nor is a mix that nobody has measured.
    """
    from rootroom.pot.report import PotFigures

    litres: dict[tuple[str, str], float] = {}
    for session in season.schedule.sessions:
        for line in session.plant_lines:
            if line.mix and line.mix_l and line.kind in ("move", "refresh", "fill up"):
                key = (line.mix, line.new or line.old)
                litres[key] = litres.get(key, 0.0) + line.mix_l
    figures = PotFigures(season.plan)
    found: dict[str, str] = {}
    drawn: set[str] = set()
    for mix, container in sorted(litres, key=lambda one: -litres[one]):
        pair = figures.pairs.get((mix, container))
        if mix in drawn or pair is None or pair.water is None:
            continue
        drawn.add(mix)
        found[f"pot-{len(drawn)}"] = pot_section_svg(figures, pair, season.plan.garden.system)
        if len(drawn) == MOST:
            break
    return found
