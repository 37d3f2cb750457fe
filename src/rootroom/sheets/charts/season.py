"""The season as a picture: days across, plants and beds down, and below them the mixes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from rootroom.sheets.charts.svg import Drawing, text_width
from rootroom.sheets.plain import clip
from rootroom.sheets.wording import words

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sessions.result import Hardening, Schedule, Window
    from rootroom.sheets.writing import Writer

__all__ = ["season_chart"]

WIDTH = 720.0
NAMES = 176.0
SIZE = 17.0
ROW = 24.5
MOST_ROWS = 40
HATCHED = 2


class _Days:
    """Where a day stands: its left edge [units]; the scale runs from `first` to `last`."""

    def __init__(self, first: date, last: date) -> None:
        self.first, self.last = first, last
        self.a_day = (WIDTH - NAMES - 14) / ((last - first).days + 1)

    def left(self, day: date) -> float:
        inside = min(max(day, self.first), self.last + timedelta(1))
        return NAMES + (inside - self.first).days * self.a_day

    def middle(self, day: date) -> float:
        return self.left(day) + self.a_day / 2


def season_chart(season: Season, writer: Writer) -> str:
    """Return the picture, empty where nothing is planned."""
    schedule = season.schedule
    rows = _rows(schedule)
    if not rows or not schedule.sessions:
        return ""
    days = _scale(season)
    drawing = Drawing("season", words("charts.season"), WIDTH)
    numbers = {session.date: n for n, session in enumerate(schedule.sessions, 1)}
    top = _head(drawing, days, writer)
    mixes = _mix_rows(schedule)
    shown = rows[:MOST_ROWS]
    bottom = top + ROW * (len(shown) + len(mixes)) + 8
    for day in numbers:
        drawing.line(days.middle(day), top - 2, days.middle(day), bottom, width=0.6, dashes="1 4")
    y = top
    for name, windows in shown:
        _name(drawing, y, name)
        hardening = [one for one in schedule.hardening if one.plant == name]
        _row(drawing, days, y, windows, hardening, numbers)
        y += ROW
    drawing.line(0, y + 4, WIDTH, y + 4, width=1.2)
    y += 8
    for mix, marks in mixes:
        _name(drawing, y, mix)
        for x, mark in _apart(days, marks):
            drawing.text(x, y + ROW * 0.72, mark, anchor="middle", size=SIZE, bold=True)
        y += ROW
    if len(rows) > MOST_ROWS:
        drawing.text(0, y + 20, words("charts.rows_more", n=len(rows) - MOST_ROWS), size=SIZE)
    return str(drawing)


def _rows(schedule: Schedule) -> list[tuple[str, list[Window]]]:
    rows: dict[tuple[str, bool], list[Window]] = {}
    for window in schedule.windows:
        rows.setdefault((window.name, window.move is None), []).append(window)
    return [(name, windows) for (name, _), windows in rows.items()]


def _mix_rows(schedule: Schedule) -> list[tuple[str, list[tuple[date, str]]]]:
    rows: dict[str, list[tuple[date, str]]] = {}
    for session in schedule.sessions:
        for batch in session.batches:
            rows.setdefault(batch.mix, []).append((session.date, words("charts.blended_mark")))
        for mix in session.bring.ready_l:
            rows.setdefault(mix, []).append((session.date, words("charts.ready_mark")))
    return list(rows.items())[:MOST_ROWS]


def _apart(days: _Days, marks: list[tuple[date, str]]) -> list[tuple[float, str]]:
    """Return the marks of a row with their places, none over another and each once a day.

    A mark that would lie on the one before stands to its right.
    """
    placed: list[tuple[float, str]] = []
    for day, mark in dict.fromkeys(sorted(marks)):
        x = days.middle(day)
        if placed:
            before, other = placed[-1]
            x = max(x, before + (text_width(other, SIZE) + text_width(mark, SIZE)) / 2 + 2)
        placed.append((x, mark))
    return placed


def _scale(season: Season) -> _Days:
    schedule, work = season.schedule, season.plan.work
    days = [session.date for session in schedule.sessions]
    days += [one.first for one in schedule.hardening]
    days += [window.opens for window in schedule.windows]
    days += [min(window.due, work.last) for window in schedule.windows]
    return _Days(max(min(days), work.first - timedelta(31)), max(days))


def _head(drawing: Drawing, days: _Days, writer: Writer) -> float:
    """Draw months and weeks; return where the rows begin."""
    day = days.first
    free = NAMES
    while day <= days.last:
        if day == days.first or day.day == 1:
            x = days.left(day)
            if x >= free:
                drawing.line(x, 2, x, 40, width=1.2)
                drawing.text(x + 4, 16, writer.month(day), size=SIZE, bold=True)
                free = x + text_width(writer.month(day), SIZE) + 8
        day += timedelta(1)
    day = days.first + timedelta(-days.first.weekday() % 7)
    free = 0.0
    while day <= days.last:
        x = days.left(day)
        drawing.line(x, 36, x, 42)
        if x >= free and x + 16 < WIDTH:
            drawing.text(x + 1, 34, str(day.day), size=SIZE)
            free = x + 32
        day += timedelta(7)
    drawing.line(NAMES, 42, WIDTH, 42, width=1.2)
    return 46.0


def _name(drawing: Drawing, y: float, name: str) -> None:
    shown = clip(name, 40)
    while len(shown) > 4 and text_width(shown, SIZE) > NAMES - 6:
        shown = clip(shown, len(shown) - 1)
    drawing.text(0, y + ROW * 0.72, shown, size=SIZE)


def _row(
    drawing: Drawing,
    days: _Days,
    y: float,
    windows: list[Window],
    hardening: list[Hardening],
    numbers: dict[date, int],
) -> None:
    for window in windows:
        left, right = days.left(window.opens), days.left(window.due + timedelta(1))
        if right > left:
            drawing.bar(left, y + ROW / 2 - 4.5, right - left, 9)
        last = max(window.done, default=window.due)
        if last > window.due:
            middle = y + ROW / 2
            drawing.line(right, middle, days.middle(last), middle, width=2.5, dashes="2 3")
    for one in hardening:
        left, right = days.left(one.first), days.left(one.last + timedelta(1))
        drawing.bar(left, y + ROW / 2 - 7.5, right - left, 15, HATCHED)
    for window in windows:
        for day in window.done:
            drawing.disc(days.middle(day), y + ROW / 2, 12, str(numbers.get(day, "")))
