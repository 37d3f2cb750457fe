"""All charts of a season by name, in their order; bars of demand and cost, and pots in section."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from rootroom.sheets.charts.room import room_charts
from rootroom.sheets.charts.season import NARROW, season_charts
from rootroom.sheets.charts.svg import Drawing, text_width
from rootroom.sheets.layout import clip
from rootroom.sheets.money import per_volume, volume_name
from rootroom.sheets.pot_drawing import pot_section_svg

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer

PHONE = 336.0
"""How wide a picture is on a phone [units], one unit being a pixel there."""


MOST = 2
"""Pots drawn on the season's sheets; a command of its own draws every one."""


WIDTH = 296.0
"""Half as wide as the paper, where text of the drawing has its 12 points."""
BAR = 12.0
GAP = 5.0
BOLD = 1.06
"""Bold letters are so much wider."""
MOST_ROWS = 14
SOLID, WHITE, HATCHED = 0, 1, 2


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


def demand_chart(season: Season, writer: Writer) -> str:
    """Return a bar for each mix: black to plan on, hatched to what it could be."""
    rows = list(season.demand.mixes.items())[:MOST_ROWS]
    most = max((one.high for _, one in rows), default=0.0)
    if most <= 0:
        return ""
    drawing = Drawing("demand", "Mix needed, and its doubt", WIDTH)
    y = _key(drawing, [(SOLID, "plan on"), (HATCHED, "could be as much as")])
    scale = (WIDTH - 4) / most
    for name, figure in rows:
        said = (
            f"{writer.volume(figure.median, like=figure.high)}, up to {writer.volume(figure.high)}"
        )
        y = _label(drawing, y, name, said)
        median = figure.median * scale
        drawing.bar(2, y, median, BAR, SOLID)
        drawing.bar(2 + median, y, (figure.high - figure.median) * scale, BAR, HATCHED)
        y += BAR + GAP
    return str(drawing)


def cost_chart(season: Season, writer: Writer) -> str:
    """Return the cost per volume of each own mix, black, beside each ready-made one, hatched."""
    system = season.plan.garden.system
    bars: list[tuple[str, float, str, int]] = []
    for one in season.shopping.compare:
        if one.own_cents_per_l is None:
            continue
        mix = clip(one.mix, 20)
        own = f"{mix}, own"
        price = per_volume(one.own_cents_per_l, system, writer.currency)
        bars.append((own, float(one.own_cents_per_l), price, SOLID))
        for ready in one.ready:
            name = f"{mix}, ready-made, {clip(ready.pack, 12)}"
            price = per_volume(ready.cents_per_l, system, writer.currency)
            bars.append((name, float(ready.cents_per_l), price, HATCHED))
    bars = bars[:MOST_ROWS]
    most = max((cents for _, cents, _, _ in bars), default=0.0)
    if most <= 0:
        return ""
    drawing = Drawing("cost", "Cost of own and ready-made mix", WIDTH)
    per = f"{clip(writer.currency, 8)} for {volume_name(system)} of finished mix"
    drawing.text(2, 16, per)
    y = 24.0
    for name, cents, price, pattern in bars:
        y = _label(drawing, y, name, price)
        drawing.bar(2, y, cents / most * (WIDTH - 4), BAR, pattern)
        y += BAR + GAP
    return str(drawing)


def _label(drawing: Drawing, y: float, name: str, said: str) -> float:
    """Write a name at the left and what is said of it at the right; return where its bar begins.

    Where both have no room beside each other the name has a line of its own.
    """
    room = WIDTH - 4
    shown = clip(name, 60)
    while len(shown) > 4 and text_width(shown) * BOLD > room:
        shown = clip(shown, len(shown) - 1)
    drawing.text(2, y + 16, shown, bold=True)
    if said and text_width(shown) * BOLD + text_width(said) + 8 > room:
        y += 20
    if said:
        drawing.text(WIDTH - 2, y + 16, said, anchor="end")
    return y + 22


def _key(drawing: Drawing, swatches: Iterable[tuple[int, str]], y: float = 0.0) -> float:
    """Draw what each pattern stands for, in as many lines as it takes; return where it ends."""
    x = 2.0
    for pattern, text in swatches:
        width = 22 + text_width(text) + 12
        if x > 2 and x + width > WIDTH:
            x, y = 2.0, y + 22
        drawing.bar(x, y + 4, 14, 14, pattern)
        drawing.text(x + 20, y + 16, text)
        x += width
    return y + 26
