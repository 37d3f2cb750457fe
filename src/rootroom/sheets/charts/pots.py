"""What the season's largest pots hold once drained: their sections, drawn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.pot_drawing import pot_section_svg

if TYPE_CHECKING:
    from rootroom.season import Season

MOST = 2
"""Pots drawn on the season's sheets; a command of its own draws every one."""


def pot_charts(season: Season) -> Mapping[str, str]:
    """Return the sections of the pots that take most mix in the season, each mix once.

    A pot whose height is not known is not drawn, nor is a mix that nobody has measured.
    """
    from rootroom.pot.report import PotFigures

    litres: dict[tuple[str, str], float] = {}
    for session in season.schedule.sessions:
        for line in session.work:
            if line.mix and line.mix_l and line.kind in ("move", "refresh"):
                key = (line.mix, line.new or line.old or "")
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
