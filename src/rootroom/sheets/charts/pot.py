"""A pot's section with what it holds by height, as SVG that reads in black and white.

On the left the pot, the darker the wetter; on the right the shares of solid, water and air at each
height, so that the wet foot of every pot is seen.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import pi, sqrt
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from rootroom.pot.blend import likely_profile
from rootroom.pot.weight import fill_shape
from rootroom.sheets.layout import clip
from rootroom.units import show_length

if TYPE_CHECKING:
    from rootroom.containers.shapes import Shape
    from rootroom.pot.report import Pair, PotFigures, PotReport
    from rootroom.season import Season
    from rootroom.units import System

WIDTH, HEIGHT = 296, 244
SIZE = 14
TOP, FOOT = 44, 214
POT_LEFT, POT_RIGHT = 4, 112
CHART_LEFT, CHART_RIGHT = 178, 284
SLICES = 36
MOST = 2
"""Pots drawn on the season's sheets; a command of its own draws every one."""


def pot_drawings(report: PotReport, system: System) -> dict[str, str]:
    """Return the drawing of every pot whose height is known, by container and mix in words."""
    return {
        pair.name: pot_section_svg(report, pair, system)
        for pair in report.pairs
        if pair.water is not None
    }


def drawing_files(report: PotReport, system: System) -> dict[str, bytes]:
    """Return the drawings as files, numbered in the order of the plan."""
    drawings = pot_drawings(report, system)
    return {
        f"pot-{number:02}-{_slug(name)}.svg": svg.encode()
        for number, (name, svg) in enumerate(drawings.items(), 1)
    }


def _slug(name: str) -> str:
    """Return a name as it may stand in a file's name on every system."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40].strip("-")


def pot_section_svg(report: PotReport | PotFigures, pair: Pair, system: System) -> str:
    """Return the section of a pot with its mix, water and air by height as one SVG.

    Raises ValueError for a pair whose water is not known.
    """
    water = report.mixes[pair.mix].water
    if pair.water is None or water is None:
        raise ValueError(f"no water to draw in {pair.name}")
    shape, fill_m, _ = fill_shape(pair.container)
    middles = [fill_m * (number + 0.5) / SLICES for number in range(SLICES)]
    porosity, held = likely_profile(water, middles)
    air = pair.water.air
    holds = f"{air.likely:.0%} air once drained".replace("%", " %")
    title = f"{pair.name}: {holds}"
    name = clip(pair.name, 34)
    body = [*_pot(shape, fill_m, held, porosity), *_chart(held, porosity), *_scale(fill_m, system)]
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
            'role="img" font-family="DejaVu Sans, system-ui, sans-serif" '
            f'font-size="{SIZE}">',
            f"<title>{escape(title)}</title>",
            f"<desc>{escape(_described(held, porosity))}</desc>",
            f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
            f'<text x="{POT_LEFT}" y="15" font-weight="bold">{escape(name)}</text>',
            f'<text x="{POT_LEFT}" y="33">{escape(holds)}</text>',
            *body,
            "</svg>",
            "",
        ]
    )


def _described(held: Sequence[float], porosity: float) -> str:
    """Return the picture in words."""
    bottom, top = held[0], held[-1]
    return (
        f"At the bottom {bottom:.0%} water and {porosity - bottom:.0%} air, "
        f"at the fill line {top:.0%} water and {porosity - top:.0%} air."
    ).replace("%", " %")


def _y(share: float) -> float:
    """Return the place of a share of the fill height."""
    return FOOT - (FOOT - TOP) * share


def _pot(shape: Shape, fill_m: float, held: Sequence[float], porosity: float) -> list[str]:
    """Return the pot in slices, as wide as a round one of the same section, darker the wetter."""
    edges = [fill_m * number / SLICES for number in range(SLICES + 1)]
    widths = [sqrt(shape.section_m2(min(z, shape.height_m)) / pi) for z in edges]
    middle = (POT_LEFT + POT_RIGHT) / 2
    # True to the pot's own proportions, unless it is too wide for the page.
    scale = min((FOOT - TOP) / fill_m, (POT_RIGHT - POT_LEFT) / 2 / max(widths))
    found = []
    for number, water in enumerate(held):
        low, high = widths[number] * scale, widths[number + 1] * scale
        foot, top = _y(number / SLICES), _y((number + 1) / SLICES)
        # Half a point over the next slice, so that no white line shows between them.
        points = (
            (middle - low, foot + 0.5),
            (middle + low, foot + 0.5),
            (middle + high, top),
            (middle - high, top),
        )
        grey = round(245 - 150 * water / porosity)
        found.append(f'<polygon points="{_points(points)}" fill="rgb({grey},{grey},{grey})"/>')
    sides = [(middle - w * scale, _y(n / SLICES)) for n, w in enumerate(widths)][::-1]
    sides += [(middle + w * scale, _y(n / SLICES)) for n, w in enumerate(widths)]
    found.append(
        f'<polyline points="{_points(sides)}" fill="none" stroke="#000" stroke-width="2"/>'
    )
    found.append(f'<text x="{POT_LEFT}" y="{FOOT + 18}">the darker the wetter</text>')
    return found


def _chart(held: Sequence[float], porosity: float) -> list[str]:
    """Return solid mix, water and air side by side at every height."""

    def x(share: float) -> float:
        return CHART_LEFT + (CHART_RIGHT - CHART_LEFT) * share

    solid = 1 - porosity
    heights = [(number + 0.5) / SLICES for number in range(SLICES)]
    curve = [(x(solid + water), _y(share)) for water, share in zip(held, heights, strict=True)]
    curve = [(curve[0][0], FOOT), *curve, (curve[-1][0], TOP)]
    water = [*curve, (x(solid), TOP), (x(solid), FOOT)]
    frame = f'x="{CHART_LEFT}" y="{TOP}" width="{CHART_RIGHT - CHART_LEFT}" height="{FOOT - TOP}"'
    low = FOOT - 8
    # The word stands where the band is still as narrow as at its upper edge.
    narrow = held[int(SLICES * (FOOT - low + SIZE) / (FOOT - TOP)) + 1]
    return [
        f'<rect x="{CHART_LEFT}" y="{TOP}" width="{x(solid) - CHART_LEFT:.1f}" '
        f'height="{FOOT - TOP}" fill="#ddd"/>',
        f'<polygon points="{_points(water)}" fill="#aaa"/>',
        f'<polyline points="{_points(curve)}" fill="none" stroke="#000" stroke-width="1.5"/>',
        f'<rect {frame} fill="none" stroke="#000"/>',
        _upright((CHART_LEFT + x(solid)) / 2, low, "solid"),
        _label((x(solid) + x(solid + narrow)) / 2, low, "water"),
        _label((x(solid + held[-1]) + CHART_RIGHT) / 2, TOP + 16, "air"),
        _label(CHART_LEFT, FOOT + 18, "0"),
        _label((CHART_LEFT + CHART_RIGHT) / 2, FOOT + 18, "50"),
        f'<text x="{WIDTH - 1}" y="{FOOT + 18}" text-anchor="end">100 %</text>',
    ]


def _scale(fill_m: float, system: System) -> list[str]:
    """Return the heights between pot and chart."""
    found = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = _y(share)
        text = "bottom" if share == 0 else show_length(fill_m * share, system)
        found.append(
            f'<line x1="{CHART_LEFT - 6}" x2="{CHART_LEFT}" y1="{y:.1f}" y2="{y:.1f}" '
            'stroke="#000"/>'
        )
        found.append(
            f'<text x="{CHART_LEFT - 10}" y="{y + 4:.1f}" text-anchor="end">{escape(text)}</text>'
        )
    return found


def _label(x: float, y: float, text: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle">{escape(text)}</text>'


def _upright(x: float, y: float, text: str) -> str:
    """Return a text that reads from below, for a band that is narrower than its word."""
    x += SIZE * 0.36
    return f'<text x="{x:.1f}" y="{y:.1f}" transform="rotate(-90 {x:.1f} {y:.1f})">{text}</text>'


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


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
