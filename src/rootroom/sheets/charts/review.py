"""Planned beside real: hours by session, mix by mix, money by good."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from rootroom.sheets.charts.svg import Drawing, text_width
from rootroom.sheets.layout import clip, day_short
from rootroom.sheets.money import money
from rootroom.units import show_minutes, show_volume

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.planned_and_real import Review

WIDTH = 420.0
BAR = 16.0
MOST_ROWS = 14
SOLID, HATCHED = 0, 2

Row = tuple[str, float, str, float, str]
"""A name, then planned and real, each as a figure and in words."""


def review_chart(plan: Plan, found: Review) -> str:
    """Return an SVG of all that was both planned and noted; empty if nothing was."""
    blocks = _blocks(plan, found)
    if not any(rows for _, rows in blocks):
        return ""
    drawing = Drawing("review", "Planned beside real", WIDTH)
    y = _key(drawing)
    for title, rows in blocks:
        if rows:
            y = _block(drawing, y, title, rows[:MOST_ROWS])
    return str(drawing)


def _blocks(plan: Plan, found: Review) -> list[tuple[str, list[Row]]]:
    """Return what is drawn, each block with its title."""
    system, currency = plan.garden.system, plan.garden.currency

    def row(name: str, planned: float, real: float, say: Callable[[Any], str]) -> Row:
        return name, float(planned), say(planned), float(real), say(real)

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


def _key(drawing: Drawing) -> float:
    x = 2.0
    for pattern, text in ((HATCHED, "planned"), (SOLID, "real")):
        drawing.bar(x, 4, 14, 14, pattern)
        drawing.text(x + 20, 16, text)
        x += 20 + text_width(text) + 20
    return 30.0


def _block(drawing: Drawing, y: float, title: str, rows: Sequence[Row]) -> float:
    """Draw a title and two bars for each row; return where it ends."""
    drawing.text(2, y + 18, title, bold=True)
    y += 28
    most = max(max(planned, real) for _, planned, _, real, _ in rows) or 1.0
    # A tenth more than the estimate: fractions are wide.
    room = 1.1 * max(text_width(text) for row in rows for text in (row[2], row[4])) + 12
    scale = (WIDTH - 4 - room) / most
    for name, planned, planned_text, real, real_text in rows:
        drawing.text(2, y + 14, clip(name, 44))
        for bar, (value, text, pattern) in enumerate(
            ((planned, planned_text, HATCHED), (real, real_text, SOLID))
        ):
            top = y + 20 + bar * (BAR + 3)
            drawing.bar(2, top, value * scale, BAR, pattern)
            drawing.text(2 + value * scale + 6, top + BAR - 3, text)
        y += 20 + 2 * (BAR + 3) + 8
    return y + 6
