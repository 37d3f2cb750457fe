"""Planned beside real: hours by session, mix by mix, money by good."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

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
    system = plan.garden.system
    blocks: list[tuple[str, list[Row]]] = [
        (
            "Time by session",
            [
                (
                    day_short(one.day), one.planned_min, show_minutes(one.planned_min),
                    one.minutes, show_minutes(one.minutes),
                )
                for one in found.sessions
                if one.minutes is not None
            ],
        ),
        (
            "Mix used for what was done",
            [
                (
                    mix.mix, mix.planned_so_far_l, show_volume(mix.planned_so_far_l, system),
                    mix.used_l, show_volume(mix.used_l, system),
                )
                for mix in found.mixes
                if mix.used_l > 0
            ],
        ),
        (
            f"Money by good [{clip(plan.garden.currency, 8)}]",
            [
                (
                    good.of, float(good.planned_cents),
                    money(good.planned_cents, plan.garden.currency),
                    float(good.paid_cents), money(good.paid_cents, plan.garden.currency),
                )
                for good in found.goods
                if good.packs and not good.not_noted
            ],
        ),
    ]  # fmt: skip
    if not any(rows for _, rows in blocks):
        return ""
    drawing = Drawing("review", "Planned beside real", WIDTH)
    y = _key(drawing)
    for title, rows in blocks:
        if rows:
            y = _block(drawing, y, title, rows[:MOST_ROWS])
    return str(drawing)


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
