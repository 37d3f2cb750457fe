"""Plans side by side as bars: mix, cost, time, sessions and weight, a pattern for each plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from rootroom.sheets.charts.svg import Drawing, text_width
from rootroom.sheets.comparing import NONE, measures
from rootroom.sheets.layout import clip

if TYPE_CHECKING:
    from rootroom.comparing import Outcome

WIDTH = 420.0
BAR = 16.0
MOST_PLANS = 8
MOST_MIXES = 6
ORDER = (0, 2, 3, 1, 4, 5, 6, 7)
"""Patterns in the order in which they are told apart best."""


def comparison_chart(outcomes: Sequence[Outcome]) -> str:
    """Return an SVG with a group of bars for each figure, one bar a plan."""
    shown = outcomes[:MOST_PLANS]
    drawing = Drawing("compare", "Plans side by side", WIDTH)
    y = _key(drawing, shown)
    said = dict(measures(shown))
    for head, figure in _figures(shown, list(said)):
        values = [figure(one) for one in shown]
        if max(values) > 0:
            y = _group(drawing, y, head, values, [said[head](one) or NONE for one in shown])
    return str(drawing)


def _figures(
    outcomes: Sequence[Outcome], heads: Sequence[str]
) -> list[tuple[str, Callable[[Outcome], float]]]:
    """Return each figure by its name in the table."""
    names = list(dict.fromkeys(name for one in outcomes for name in one.mixes))

    def mix(name: str) -> Callable[[Outcome], float]:
        return lambda one: one.mixes[name].median if name in one.mixes else 0.0

    cost = next(head for head in heads if head.startswith("cost"))
    mixes = zip(heads[: len(names)], names, strict=True)
    return [
        *((head, mix(name)) for head, name in list(mixes)[:MOST_MIXES]),
        (cost, lambda one: float(one.cost_cents)),
        ("sessions", lambda one: float(one.sessions)),
        ("work", lambda one: one.minutes),
        ("heaviest to lift", lambda one: one.heaviest_kg),
        ("moved in all", lambda one: one.moved_kg),
        ("late", lambda one: float(one.late_plant_days)),
        ("left out", lambda one: float(one.left_out)),
    ]


def _key(drawing: Drawing, outcomes: Sequence[Outcome]) -> float:
    x, y = 2.0, 4.0
    for number, one in enumerate(outcomes):
        text = clip(one.name, 30)
        width = 20 + text_width(text) * 1.1 + 16
        if x > 2 and x + width > WIDTH:
            x, y = 2.0, y + 24
        drawing.bar(x, y, 14, 14, ORDER[number])
        drawing.text(x + 20, y + 12, text)
        x += width
    return y + 26


def _group(
    drawing: Drawing, y: float, head: str, values: Sequence[float], texts: Sequence[str]
) -> float:
    """Draw a head and a bar for each plan; return where it ends."""
    drawing.text(2, y + 16, head, bold=True)
    y += 24
    # A tenth more than the estimate: fractions are wide.
    room = 1.1 * max(map(text_width, texts)) + 12
    scale = (WIDTH - 4 - room) / max(values)
    for number, (value, text) in enumerate(zip(values, texts, strict=True)):
        drawing.bar(2, y, value * scale, BAR, ORDER[number])
        drawing.text(2 + value * scale + 6, y + BAR - 3, text)
        y += BAR + 3
    return y + 8
