"""The season as a picture: days across, plants and mixes down; long ones on several pictures.

A bar is the time in which work may be done, hatched while plants are hardened off, dotted where
work is late; a numbered disc is the session in which it is done; letters mark days of blending.
Nothing stands on anything else: what has no room beside the day before goes a line down.
Beside it stands how full each place with an area is, week by week.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.sessions.room import RoomUse, room_by_day
from rootroom.sheets.charts.svg import Drawing, fitted, text_width
from rootroom.sheets.layout import clip, day_short
from rootroom.units import show

if TYPE_CHECKING:
    from rootroom.season import Season
    from rootroom.sessions.timeline import Hardening, Schedule, Window
    from rootroom.sheets.writing import Writer

SIZE = 17.0
ROW = 21.0
RADIUS = 10.5
NARROW = RADIUS + 2
"""What is left free at the left of a picture with names above its rows [units]."""
HATCHED = 2

PHONE = 336.0
"""How wide a picture is on a phone [units], one unit being a pixel there."""
HIGH = 110.0
LEFT = 2.0
MOST_PLACES = 8
SOLID = 0
WEEK = timedelta(weeks=1)

MOST_HIGH = 780.0
"""A picture is so high at most [units], so that as wide as the paper it stands on one page."""
MOST_PICTURES = 2
MOST_ROWS = 40
"""Of more rows than these, those that look the same are drawn once."""


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
        return f" +{self.more}" if self.more else ""


@frozen
class _Days:
    """Where a day stands: its left edge [units]; the scale runs from `first` to `last`.

    The drawing is `width` wide, of which names take `names`; where that is no more than the half
    of a disc, they stand above their rows.
    """

    first: date
    last: date
    width: float
    names: float

    @property
    def a_day(self) -> float:
        return (self.width - self.names - 14) / ((self.last - self.first).days + 1)

    @property
    def above(self) -> float:
        """How much of a row its name takes."""
        return 0.0 if self.names > NARROW else ROW

    def left(self, day: date) -> float:
        inside = min(max(day, self.first), self.last + timedelta(1))
        return self.names + (inside - self.first).days * self.a_day

    def middle(self, day: date) -> float:
        return self.left(day) + self.a_day / 2


@frozen
class _Mark:
    """What stands on a day: a text, in a disc or bare, and how wide it is [units]."""

    day: date
    text: str
    width: float


@frozen
class _Band:
    """A row of the picture with its marks in lines, the first line beside the name."""

    name: str
    row: SeasonRow | None
    lines: tuple[tuple[_Mark, ...], ...]
    above: float

    @property
    def height(self) -> float:
        return self.above + ROW * max(len(self.lines), 1)


def season_charts(
    season: Season, writer: Writer, *, width: float = 720.0, names: float = 176.0
) -> Mapping[str, str]:
    """Return the pictures by name, `season`, `season-2`; none where nothing is planned."""
    schedule = season.schedule
    rows = season_rows(schedule, MOST_ROWS)
    if not rows or not schedule.sessions:
        return {}
    days = _scale(season, width, names)
    numbers = {session.date: n for n, session in enumerate(schedule.sessions, 1)}
    bands = [*_row_bands(rows, days, numbers), *_mix_bands(schedule, days)]
    pictures = list(_pages(bands))
    left_out = sum(len(page) for page in pictures[MOST_PICTURES:])
    found = {}
    for number, page in enumerate(pictures[:MOST_PICTURES], 1):
        name = "season" if number == 1 else f"season-{number}"
        last = number == min(len(pictures), MOST_PICTURES)
        found[name] = _picture(name, page, days, numbers, left_out if last else 0, writer)
    return found


def _pages(bands: Iterable[_Band]) -> Iterator[list[_Band]]:
    page: list[_Band] = []
    high = 0.0
    for band in bands:
        if page and high + band.height > MOST_HIGH:
            yield page
            page, high = [], 0.0
        page.append(band)
        high += band.height
    yield page


def _picture(
    name: str, bands: Sequence[_Band], days: _Days, sessions: Iterable[date], left_out: int,
    writer: Writer,
) -> str:  # fmt: skip
    drawing = Drawing(name, "The season, day by day", days.width)
    top = y = _head(drawing, days, writer)
    bottom = top + sum(band.height for band in bands) + 8
    for day in sessions:
        drawing.line(days.middle(day), top - 2, days.middle(day), bottom, width=0.6, dashes="1 4")
    plants = True
    for band in bands:
        if plants and band.row is None:  # a line parts plants and beds from the mixes
            drawing.line(0, y + 4, days.width, y + 4, width=1.2)
            y, plants = y + 8, False
        room = (days.width if days.above else days.names) - RADIUS - 2
        _name(drawing, y, room, band.name, band.row.tail if band.row else "")
        if band.row is not None:
            _bars(drawing, days, y + band.above, band.row)
        _marks(drawing, days, y + band.above, band)
        y += band.height
    if left_out:
        drawing.text(
            0, y + 20, f"and {left_out} more {'row' if left_out == 1 else 'rows'}", size=SIZE
        )
    return str(drawing)


def _row_bands(
    rows: Iterable[SeasonRow], days: _Days, numbers: Mapping[date, int]
) -> Iterator[_Band]:
    for row in rows:
        done = sorted({day for window in row.windows for day in window.done})
        marks = [_Mark(day, str(numbers.get(day, "")), 2 * RADIUS + 1) for day in done]
        yield _Band(row.name, row, _lines(days, marks), days.above)


def _mix_bands(schedule: Schedule, days: _Days) -> Iterator[_Band]:
    """Yield a row for each mix, with what is done with it on which day."""
    found: dict[str, dict[date, str]] = {}
    for session in schedule.sessions:
        for mix in dict.fromkeys(batch.mix for batch in session.batches):
            found.setdefault(mix, {})[session.date] = "B"
        for mix in session.bring.ready_l:
            on = found.setdefault(mix, {})
            on[session.date] = on.get(session.date, "") + "R"
    for mix, said in found.items():
        marks = [_Mark(day, text, text_width(text, SIZE) + 3) for day, text in sorted(said.items())]
        yield _Band(mix, None, _lines(days, marks), days.above)


def _lines(days: _Days, marks: Iterable[_Mark]) -> tuple[tuple[_Mark, ...], ...]:
    """Return the marks in lines, each in the first in which it lies on no other; days in order."""
    lines: list[list[_Mark]] = []
    for mark in marks:
        left = days.middle(mark.day) - mark.width / 2
        for line in lines:
            if days.middle(line[-1].day) + line[-1].width / 2 <= left:
                line.append(mark)
                break
        else:
            lines.append([mark])
    return tuple(tuple(line) for line in lines)


def _scale(season: Season, width: float, names: float) -> _Days:
    schedule, work = season.schedule, season.plan.work
    days = [session.date for session in schedule.sessions]
    days += [one.first for one in schedule.hardening]
    days += [window.opens for window in schedule.windows]
    days += [min(window.due, work.last) for window in schedule.windows]
    return _Days(max(min(days), work.first - timedelta(31)), max(days), width, names)


def _head(drawing: Drawing, days: _Days, writer: Writer) -> float:
    """Draw months and weeks; return where the rows begin."""
    day = days.first
    free = days.names
    while day <= days.last:
        if day == days.first or day.day == 1:
            x = days.left(day)
            if x >= free and x + text_width(writer.month(day), SIZE) + 8 <= days.width:
                drawing.line(x, 2, x, 20, width=1.2)
                drawing.text(x + 4, 16, writer.month(day), size=SIZE, bold=True)
                free = x + text_width(writer.month(day), SIZE) + 8
        day += timedelta(1)
    day = days.first + timedelta(-days.first.weekday() % 7)
    free = 0.0
    while day <= days.last:
        x = days.left(day)
        drawing.line(x, 36, x, 42)
        if x >= free and x + 20 < days.width:
            drawing.text(x + 1, 34, str(day.day), size=SIZE)
            free = x + 32
        day += timedelta(7)
    drawing.line(days.names, 42, days.width, 42, width=1.2)
    return 46.0


def _name(drawing: Drawing, y: float, room: float, name: str, tail: str) -> None:
    shown = fitted(name, 40, room - text_width(tail, SIZE), size=SIZE)
    drawing.text(0, y + ROW * 0.72, shown + tail, size=SIZE)


def _bars(drawing: Drawing, days: _Days, y: float, row: SeasonRow) -> None:
    """Draw when the work may be done, and what is late or hardened off."""
    middle = y + ROW / 2
    for window in row.windows:
        left, right = days.left(window.opens), days.left(window.due + timedelta(1))
        if right > left:
            drawing.bar(left, middle - 4, right - left, 8)
        last = max(window.done, default=window.due)
        if last > window.due:
            drawing.line(right, middle, days.middle(last), middle, width=2.5, dashes="2 3")
    for one in row.hardening:
        left, right = days.left(one.first), days.left(one.last + timedelta(1))
        drawing.bar(left, middle - 6.5, right - left, 13, HATCHED)


def _marks(drawing: Drawing, days: _Days, y: float, band: _Band) -> None:
    for number, line in enumerate(band.lines):
        for mark in line:
            x, middle = days.middle(mark.day), y + ROW * (number + 0.5)
            if band.row is None:
                foot = middle + ROW * 0.22
                drawing.text(x, foot, mark.text, anchor="middle", size=SIZE, bold=True, clear=True)
            else:
                drawing.disc(x, middle, RADIUS, mark.text)


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


def room_charts(season: Season) -> Mapping[str, str]:
    """Return a picture of every place with an area, by name, `room-1` and so on.

    Weeks begin with the first day of work; what is over the area is hatched.
    """
    uses = room_by_day(season.plan, season.schedule.sessions)
    places = list(dict.fromkeys(use.place for use in uses))
    return {
        f"room-{number}": _room_chart(season, number, [use for use in uses if use.place == place])
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


def _room_chart(season: Season, number: int, uses: Sequence[RoomUse]) -> str:
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
