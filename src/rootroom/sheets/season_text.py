"""The season as a picture in plain characters: days across, plants and mixes down.

A column is one work day; a long season is drawn in blocks below each other.
`.` the window is open, `-` open but late, a figure the move that is done (`#` for a bed), `b` a mix
is blended, `r` a ready-made mix is used, `h` plants are hardened off.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from rootroom.sheets.plain import clip, day_short
from rootroom.sheets.season_rows import SeasonRow, season_rows

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Schedule

__all__ = ["season_picture"]

NAME_WIDTH = 24
MOST_ROWS = 60


def season_picture(plan: Plan, schedule: Schedule, *, width: int = 80) -> str:
    """Return the picture of the season, no line longer than `width` [characters].

    Of a long list rows that look the same are drawn once; what is still too many is counted.
    """
    first = min((window.opens for window in schedule.windows), default=None)
    days = [day.date for day in plan.work.days]
    if not days or first is None:
        return "no work days and nothing to do"
    columns = max(width - NAME_WIDTH - 1, 10)
    blocks = [days[start : start + columns] for start in range(0, len(days), columns)]
    rows = season_rows(schedule, MOST_ROWS)
    drawn = [_block(block, rows, schedule) for block in blocks]
    legend = ". open  - late  1 2 3 move done  # bed  b blended  r ready-made  h hardening off"
    return "\n\n".join([*drawn, clip(legend, width)])


def _block(days: Sequence[date], rows: Sequence[SeasonRow], schedule: Schedule) -> str:
    lines = [*_heads(days)]
    for row in rows[:MOST_ROWS]:
        marks = "".join(_mark(day, row) for day in days)
        name = clip(row.name, NAME_WIDTH - len(row.tail)) + row.tail
        lines.append(f"{name:<{NAME_WIDTH}} {marks}".rstrip())
    if len(rows) > MOST_ROWS:
        lines.append(f"and {len(rows) - MOST_ROWS} more")
    blended = {(s.date, batch.mix) for s in schedule.sessions for batch in s.batches}
    ready = {(s.date, mix) for s in schedule.sessions for mix in s.bring.ready_l}
    for mix in dict.fromkeys(mix for _, mix in sorted(blended | ready)):
        marks = "".join(
            "b" if (day, mix) in blended else "r" if (day, mix) in ready else " " for day in days
        )
        lines.append(f"{clip(mix, NAME_WIDTH):<{NAME_WIDTH}} {marks}".rstrip())
    return "\n".join(lines)


def _mark(day: date, row: SeasonRow) -> str:
    for window in row.windows:
        if day in window.done:
            if window.move is None:
                return "#"
            return str(window.move) if window.move < 10 else "+"
    if any(one.first <= day <= one.last for one in row.hardening):
        return "h"
    for window in row.windows:
        last = max(window.done, default=None)
        if last is not None and day > last:
            continue
        if window.opens <= day <= window.due:
            return "."
        if day > window.due and (last is None or day < last):
            return "-"
    return " "


def _heads(days: Sequence[date]) -> list[str]:
    """Return the day and month where a month or the block begins, and below it the days."""
    top = [" "] * (len(days) + 12)
    free = 0
    for column, day in enumerate(days):
        begins = column == 0 or day.month != days[column - 1].month
        text = day_short(day)
        if begins and column >= free:
            top[column : column + len(text)] = text
            free = column + len(text) + 1
    pad = " " * (NAME_WIDTH + 1)
    tens = "".join(str(day.day // 10) if day.day >= 10 else " " for day in days)
    ones = "".join(str(day.day % 10) for day in days)
    return [(pad + "".join(top)).rstrip(), (pad + tens).rstrip(), pad + ones]
