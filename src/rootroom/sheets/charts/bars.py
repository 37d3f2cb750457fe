"""Bars with their figures: mix and its doubt, costs, plans side by side, planned and real."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rootroom.sheets.answers.comparing import NONE, measures
from rootroom.sheets.charts.svg import Drawing, fitted, text_width
from rootroom.sheets.layout import clip, day_short
from rootroom.sheets.writing import money, per_volume, volume_name
from rootroom.units import show_minutes, show_volume

if TYPE_CHECKING:
    from rootroom.comparing import Outcome
    from rootroom.plan.model import Plan
    from rootroom.record.planned_and_real import Review
    from rootroom.season import Season
    from rootroom.sheets.writing import Writer

HALF = 296.0
"""Half as wide as the paper, where text of the drawing has its 12 points."""
WHOLE = 420.0
BAR, THICK = 12.0, 16.0
BOLD = 1.06
"""Bold letters are so much wider."""
MOST_ROWS = 14
SOLID, HATCHED = 0, 2
MOST_PLANS, MOST_MIXES = 8, 6
ORDER = (0, 2, 3, 1, 4, 5, 6, 7)
"""Patterns in the order in which they are told apart best."""

Bar = tuple[float, str, int]
"""A figure, the same in words, and a pattern."""


def demand_chart(season: Season, writer: Writer) -> str:
    """Return a bar for each mix: black to plan on, hatched to what it could be."""
    rows = list(season.demand.mixes.items())[:MOST_ROWS]
    most = max((one.high for _, one in rows), default=0.0)
    if most <= 0:
        return ""
    drawing = Drawing("demand", "Mix needed, and its doubt", HALF)
    y = _key(drawing, [(SOLID, "plan on"), (HATCHED, "could be as much as")])
    scale = (HALF - 4) / most
    for name, figure in rows:
        median = figure.median * scale
        said = writer.volume(figure.median, like=figure.high)
        y = _label(drawing, y, name, f"{said}, up to {writer.volume(figure.high)}")
        drawing.bar(2, y, median, BAR, SOLID)
        drawing.bar(2 + median, y, (figure.high - figure.median) * scale, BAR, HATCHED)
        y += BAR + 5
    return str(drawing)


def cost_chart(season: Season, writer: Writer) -> str:
    """Return the cost per volume of each own mix, black, beside each ready-made one, hatched."""
    system = season.plan.garden.system
    bars = []
    for one in season.shopping.compare:
        if one.own_cents_per_l is not None:
            mix = clip(one.mix, 20)
            bars.append((f"{mix}, own", one.own_cents_per_l, SOLID))
            bars += [
                (f"{mix}, ready-made, {clip(ready.pack, 12)}", ready.cents_per_l, HATCHED)
                for ready in one.ready
            ]
    most = float(max((cents for _, cents, _ in bars[:MOST_ROWS]), default=0))
    if most <= 0:
        return ""
    drawing = Drawing("cost", "Cost of own and ready-made mix", HALF)
    per = f"{clip(writer.currency, 8)} for {volume_name(system)} of finished mix"
    drawing.text(2, 16, per)
    y = 24.0
    for name, cents, pattern in bars[:MOST_ROWS]:
        y = _label(drawing, y, name, per_volume(cents, system, writer.currency))
        drawing.bar(2, y, float(cents) / most * (HALF - 4), BAR, pattern)
        y += BAR + 5
    return str(drawing)


def _label(drawing: Drawing, y: float, name: str, said: str) -> float:
    """Write a name at the left and what is said of it at the right; return where its bar begins.

    Where both have no room beside each other the name has a line of its own.
    """
    room = HALF - 4
    shown = fitted(name, 60, room, wider=BOLD)
    drawing.text(2, y + 16, shown, bold=True)
    if text_width(shown) * BOLD + text_width(said) + 8 > room:
        y += 20
    drawing.text(HALF - 2, y + 16, said, anchor="end")
    return y + 22


def comparison_chart(outcomes: Sequence[Outcome]) -> str:
    """Return an SVG with a group of bars for each figure, one bar a plan."""
    shown = outcomes[:MOST_PLANS]
    drawing = Drawing("compare", "Plans side by side", WHOLE)
    y = _key(drawing, [(ORDER[at], clip(one.name, 30)) for at, one in enumerate(shown)])
    found = measures(shown)
    mixes = len(dict.fromkeys(name for one in shown for name in one.mixes))
    for measure in [*found[: min(mixes, MOST_MIXES)], *found[mixes:]]:
        if measure.drawn and max(map(measure.of, shown)) > 0:
            drawing.text(2, y + 16, measure.head, bold=True)
            bars = [
                (measure.of(one), measure.say(one) or NONE, ORDER[at])
                for at, one in enumerate(shown)
            ]
            y = _bars(drawing, y + 24, bars, _scale(bars)) + 8
    return str(drawing)


def review_chart(plan: Plan, found: Review) -> str:
    """Return an SVG of all that was both planned and noted; empty if nothing was."""
    blocks = [(title, rows) for title, rows in _noted(plan, found) if rows]
    if not blocks:
        return ""
    drawing = Drawing("review", "Planned beside real", WHOLE)
    y = _key(drawing, [(HATCHED, "planned"), (SOLID, "real")])
    for title, rows in blocks:
        drawing.text(2, y + 18, title, bold=True)
        y += 28
        scale = _scale([bar for _, bars in rows[:MOST_ROWS] for bar in bars])
        for name, bars in rows[:MOST_ROWS]:
            drawing.text(2, y + 14, clip(name, 44))
            y = _bars(drawing, y + 20, bars, scale) + 8
        y += 6
    return str(drawing)


def _noted(plan: Plan, found: Review) -> list[tuple[str, list[tuple[str, list[Bar]]]]]:
    """Return what is drawn, each block with its title; of each row what was planned and real."""
    system, currency = plan.garden.system, plan.garden.currency

    def row(name: str, planned: float, real: float, say: Callable[[Any], str]) -> Any:
        return name, [(float(planned), say(planned), HATCHED), (float(real), say(real), SOLID)]

    def volume(litres: float) -> str:
        return show_volume(litres, system)

    def price(cents: int) -> str:
        return money(cents, currency)

    times = [
        row(day_short(one.day), one.planned_min, one.minutes, show_minutes)
        for one in found.sessions
        if one.minutes is not None
    ]
    mixes = [
        row(mix.mix, mix.planned_so_far_l, mix.used_l, volume)
        for mix in found.mixes
        if mix.used_l > 0
    ]
    goods = [
        row(good.of, good.planned_cents, good.paid_cents, price)
        for good in found.goods
        if good.packs and not good.not_noted
    ]
    return [
        ("Time by session", times),
        ("Mix used for what was done", mixes),
        (f"Money by good [{clip(currency, 8)}]", goods),
    ]


def _scale(bars: Iterable[Bar]) -> float:
    """Return how long one is, so that every bar has room for its figure behind it."""
    listed = list(bars)
    # A tenth more than the estimate: fractions are wide.
    room = 1.1 * max(text_width(text) for _, text, _ in listed) + 12
    return (WHOLE - 4 - room) / (max(value for value, _, _ in listed) or 1.0)


def _bars(drawing: Drawing, y: float, bars: Iterable[Bar], scale: float) -> float:
    """Draw bars below each other, each with its figure; return where they end."""
    for value, text, pattern in bars:
        drawing.bar(2, y, value * scale, THICK, pattern)
        drawing.text(2 + value * scale + 6, y + THICK - 3, text)
        y += THICK + 3
    return y


def _key(drawing: Drawing, swatches: Iterable[tuple[int, str]]) -> float:
    """Draw what each pattern stands for, in as many lines as it takes; return where it ends."""
    x, y = 2.0, 0.0
    for pattern, text in swatches:
        width = 22 + text_width(text) + 12
        if x > 2 and x + width > drawing.width:
            x, y = 2.0, y + 22
        drawing.bar(x, y + 4, 14, 14, pattern)
        drawing.text(x + 20, y + 16, text)
        x += width
    return y + 26
