"""All charts of a season by name, in their order; how full each place is; which pots are drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from rootroom.sessions.room import RoomUse, room_by_day
from rootroom.sheets.charts.bars import cost_chart, demand_chart
from rootroom.sheets.charts.pot import pot_section_svg
from rootroom.sheets.charts.season import NARROW, season_charts
from rootroom.sheets.charts.svg import Drawing
from rootroom.sheets.layout import clip, day_short
from rootroom.units import show

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer


PHONE = 336.0
"""How wide a picture is on a phone [units], one unit being a pixel there."""
HIGH = 110.0
LEFT = 2.0
MOST_PLACES = 8
SOLID, HATCHED = 0, 2
WEEK = timedelta(weeks=1)


def room_charts(season: Season) -> Mapping[str, str]:
    """Return a picture of every place with an area, by name, `room-1` and so on.

    Weeks begin with the first day of work; what is over the area is hatched.
    """
    uses = room_by_day(season.plan, season.schedule.sessions)
    places = list(dict.fromkeys(use.place for use in uses))
    return {
        f"room-{number}": _chart(season, number, [use for use in uses if use.place == place])
        for number, place in enumerate(places[:MOST_PLACES], 1)
    }


def weeks(uses: Sequence[RoomUse], last: date) -> list[tuple[date, float]]:
    """Return the first day of each week and the most that is taken in it [m2].

    What stands in a place at the end of a week still stands there in the next one.
    """
    begin, found = uses[0].date, []
    week, taken = begin, uses[0].taken_m2
    while week <= max(last, begin):
        here = [use.taken_m2 for use in uses if week <= use.date < week + WEEK]
        found.append((week, max([taken, *here])))
        taken = here[-1] if here else taken
        week += WEEK
    return found


def _chart(season: Season, number: int, uses: Sequence[RoomUse]) -> str:
    system, area = season.plan.garden.system, uses[0].area_m2
    rows = weeks(uses, uses[-1].date + WEEK)
    most = max(area, *(taken for _, taken in rows))
    drawing = Drawing(f"room{number}", f"Room in {uses[0].place}", PHONE)
    title = f"{clip(uses[0].place, 20)}: {show(area, 'area', system)}"
    unknown = dict.fromkeys(text for use in uses for text in use.unknown)
    drawing.text(LEFT, 16, title, bold=True)
    top, each = 44.0, (PHONE - 2 * LEFT) / len(rows)
    scale = HIGH / most
    base = top + HIGH
    for at, (_, taken) in enumerate(rows):
        x, held = LEFT + at * each, min(taken, area) * scale
        drawing.bar(x, base - held, each - 2, held, SOLID)
        if taken > area:
            drawing.bar(x, base - taken * scale, each - 2, (taken - area) * scale, HATCHED)
    drawing.line(LEFT, base - area * scale, PHONE - LEFT, base - area * scale, width=1.6)
    week, fullest = max(rows, key=lambda row: row[1])
    said = f"most {show(fullest, 'area', system)}, week of {day_short(week)}"
    drawing.text(PHONE - LEFT, 36, said, anchor="end")
    drawing.text(LEFT, base + 17, day_short(rows[0][0]))
    drawing.text(PHONE - LEFT, base + 17, day_short(rows[-1][0]), anchor="end")
    if unknown:
        drawing.text(LEFT, base + 37, clip(f"without {', '.join(unknown)}: size not known", 44))
    return str(drawing)


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
