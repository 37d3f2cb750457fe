"""The season as a picture in plain characters: days across, plants and mixes down.

A column is one work day; a long season is drawn in blocks below each other.
`.` the window is open, `-` open but late, a figure the move that is done (`#` for a bed), `b` a mix
is blended, `r` a ready-made mix is used, `h` plants are hardened off.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.sheets.plain import clip, day_short
from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Hardening, Schedule, Window

__all__ = ["SeasonRow", "season_picture", "season_rows"]

NAME_WIDTH = 24
MOST_ROWS = 60


@frozen
class SeasonRow:
    """A name, when its work may be done and is done, and when it is hardened off.

    `more` rows that look the same are not drawn for themselves.
    """

    name: str
    windows: tuple[Window, ...]
    hardening: tuple[Hardening, ...]
    more: int = 0

    @property
    def tail(self) -> str:
        """Return what follows the name, which may be cut: ` +14`."""
        return words("charts.and_more", n=self.more) if self.more else ""


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


def season_rows(schedule: Schedule, most: int) -> list[SeasonRow]:
    """Return the rows in the order of the plan; of more than `most`, alike ones made one."""
    windows: dict[tuple[str, bool], list[Window]] = {}
    for window in schedule.windows:
        windows.setdefault((window.name, window.move is None), []).append(window)
    hardening: dict[str, list[Hardening]] = {}
    for one in schedule.hardening:
        hardening.setdefault(one.plant, []).append(one)
    rows = [
        SeasonRow(name, tuple(found), tuple(() if bed else hardening.get(name, ())))
        for (name, bed), found in windows.items()
    ]
    return rows if len(rows) <= most else _joined(rows)


def _joined(rows: list[SeasonRow]) -> list[SeasonRow]:
    """Return rows whose pictures are the same as one row, named after the first."""
    alike: dict[object, list[SeasonRow]] = {}
    for row in rows:
        picture = (
            tuple((one.move, one.opens, one.due, tuple(one.done)) for one in row.windows),
            tuple((one.first, one.last) for one in row.hardening),
        )
        alike.setdefault(picture, []).append(row)
    return [evolve(ones[0], more=len(ones) - 1) for ones in alike.values()]
