"""What a cell says about a day: a date in many orders, `mid April`, `week 15`, from day to day.

Nothing is guessed: what may be two days is refused, and what is only near a day is told.
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable
from datetime import date, timedelta

from rootroom.plan.dates import YEARS, date_readings, month_number, read_window
from rootroom.plan.lists.grid import Cell, Order, Readings, cell_text
from rootroom.plan.lists.table import heading_data
from rootroom.plan.names import shown
from rootroom.problems import TextError

_ORDINAL = "(?:st|nd|rd|th)?"
_NO_YEAR = re.compile(
    rf"(?:[0-9]{{1,2}}(?:{_ORDINAL}|\.) ?(?:of )?[a-z]{{3,9}}\.?"
    rf"|[a-z]{{3,9}}\.? [0-9]{{1,2}}{_ORDINAL}"
    r"|[0-9]{1,2}[/.-][0-9]{1,2}\.?)",
    re.IGNORECASE,
)
_WEEKDAY = re.compile(
    r"^(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? |(?:mo|di|mi|do|fr|sa|so)[.,]+ ?)", re.I
)
_PART = re.compile(
    r"(?:(?P<part>early|start|beginning|mid|middle|late|end|anfang|mitte|ende|début|mi|fin)"
    r"[ -]?(?:of )?)?(?P<month>[a-z]{3,9})\.?(?:,? (?P<year>[0-9]{4}))?",
    re.IGNORECASE,
)
_WEEK = re.compile(
    r"(?:(?:calendar )?(?:week|wk|woche|semaine)|kw|cw|w)\.?(?: ?(?:no\.?|number|#))? ?"
    r"(?P<week>[0-9]{1,2})(?:(?: of|,| /|/|-)? ?(?P<year>[0-9]{4}))?"
    r"|(?P<iso_year>[0-9]{4})-?W(?P<iso_week>[0-9]{1,2})",
    re.IGNORECASE,
)
_WEEK_OF = re.compile(r"(?:week of|w/c|wc|week commencing|week beginning|week from) (.+)", re.I)
_FROST = re.compile(r"(after|before) (?:the )?(?:last )?frosts?", re.IGNORECASE)
_BETWEEN = re.compile(r"(.+?)(?: *(?:–|—|→|->) *| - | (?:to|until|till|through|bis|au) )(.+)", re.I)
_DAYS_OF = re.compile(
    r"(?P<first>[0-9]{1,2})\.? ?[-–] ?(?P<last>[0-9]{1,2})\.? "
    r"(?P<rest>[a-z]{3,9}\.?(?:,? [0-9]{4})?)"
    r"|(?P<month>[a-z]{3,9})\.? (?P<from>[0-9]{1,2}) ?[-–] ?(?P<to>[0-9]{1,2})"
    r"(?P<year>,? [0-9]{4})?",
    re.IGNORECASE,
)


def read_day(key: str, cell: Cell, unit: str, readings: Readings) -> str:
    """Return a date as year-month-day, or a window as the plan writes it.

    `key` is `from` or `by`: of a week or a month the first day or the last.
    """
    if isinstance(cell, date):
        if cell.year not in YEARS:
            raise TextError(f"a year must lie in 1900 to 2200: `{cell}`", code="bad-date")
        return cell.isoformat()
    text = " ".join(cell_text(cell).split())
    if isinstance(cell, int | float):
        raise TextError(
            f"a number, and no date: `{shown(text)}`",
            code="not-a-date",
            hint="format the cells of this column as dates, or write year-month-day",
        )
    plain = _tidied(text)
    days = day_readings(plain, readings.year)
    order = order_of(unit) or readings.dates
    if len(days) > 1 and order is not None:
        days = tuple(day for day in days if _in_order(plain, day, order))
    if len(days) == 1:
        return days[0].isoformat()
    if len(days) > 1:
        raise TextError(
            f"may be {' or '.join(str(day) for day in days)}: `{shown(text)}`",
            code="ambiguous-date",
            hint="write year-month-day; or for the whole list `--dates day-first` or "
            "`--dates month-first`",
        )
    loose = _loosely(key, plain, readings.year)
    if loose is not None:
        return loose
    if readings.year is None and (_NO_YEAR.fullmatch(plain) or _loosely(key, plain, 2027)):
        raise TextError(
            f"a date without a year: `{shown(text)}`",
            code="bad-window",
            hint="write it with the year, or for the whole list `--year 2027`",
        )
    return _window(text, plain)


def _window(text: str, plain: str) -> str:
    """Return a text that the plan reads as a window; TextError with how a list says it."""
    try:
        read_window(plain)
    except TextError as error:
        if error.code == "bad-window" and "frost" not in plain.casefold():
            error.hint = (
                "write year-month-day, `last frost` or `2 weeks after last frost`; "
                f"`--means '{shown(text)}=2027-04-24'` reads this text so, `=-` as nothing"
            )
            if _BETWEEN.fullmatch(plain) or _DAYS_OF.fullmatch(plain):
                error.hint = 'for a column from one day to another: `--heading "...=window"`'
        raise
    return plain


def is_loose_day(cell: Cell) -> bool:
    """Return whether a text is read as a day though it is only near one."""
    plain = _tidied(cell_text(cell)) if isinstance(cell, str) else ""
    return not day_readings(plain, 2027) and _loosely("from", plain, 2027) is not None


def read_span(cell: Cell, unit: str, readings: Readings) -> dict[str, str]:
    """Return the two ends of `Mar 20 - Apr 10 2027`, of a month or of a week."""
    text = " ".join(cell_text(cell).split())
    ends = _ends(text)
    if ends is None:
        if isinstance(cell, str) and is_loose_day(cell):
            ends = (text, text)
        else:
            raise TextError(
                f"one day where two ends belong: `{shown(text)}`",
                code="bad-window",
                hint="write both, as `2027-03-20 to 2027-04-10`; or say which it is: "
                '`--heading "...=from"` or `--heading "...=by"`',
            )
    first, last = (
        read_day(key, end, unit, readings) for key, end in zip(("from", "by"), ends, strict=True)
    )
    return {"from": first, "by": last}


def is_span(cell: Cell) -> bool:
    """Return whether a text may go from one day to another."""
    return isinstance(cell, str) and _ends(" ".join(cell.split())) is not None


def _ends(text: str) -> tuple[str, str] | None:
    """Return both ends as texts, the first with what it shares with the last."""
    plain = _english(text)
    if (found := _DAYS_OF.fullmatch(plain)) is not None:
        if found["rest"]:
            return f"{found['first']} {found['rest']}", f"{found['last']} {found['rest']}"
        year = (found["year"] or "").replace(",", "")
        return tuple(f"{found[day]} {found['month']}{year}" for day in ("from", "to"))  # type: ignore[return-value]
    found = _BETWEEN.fullmatch(plain)
    if found is None or not all(_near_day(end) for end in found.groups()):
        return None
    first, last = found[1], found[2]
    year = re.search(r"\b[0-9]{4}\b", last)
    if year and not re.search(r"\b[0-9]{4}\b", first):
        numbers = re.fullmatch(r"[0-9]{1,2}([/.-])[0-9]{1,2}\.?", first)
        mark = "" if numbers is None or first.endswith(".") else numbers[1]
        first = f"{first}{mark or ('' if numbers else ' ')}{year[0]}"
    return first, last


def _near_day(text: str) -> bool:
    plain = _tidied(text)
    frost = "frost" in plain.casefold()
    return frost or bool(day_readings(plain, 2027)) or _loosely("from", plain, 2027) is not None


def _tidied(text: str) -> str:
    """Return a date's text without weekday and time of day, its month in English."""
    text = _WEEKDAY.sub("", text)
    text = re.sub(r"(?:,? |T)[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?$", "", text)
    return _spelled(_english(text))


def _english(text: str) -> str:
    months = heading_data()["months"]
    text = re.sub(r"\b1er\b", "1", text, flags=re.IGNORECASE)
    return re.sub(r"[^\W\d_]+", lambda word: months.get(word[0].casefold(), word[0]), text)


def _spelled(text: str) -> str:
    """Return `20-Mar-27` as `20 Mar 2027`; other texts stay."""
    found = re.fullmatch(
        r"([0-9]{1,2})[-/. ]+([a-z]{3,9})\.?(?:[-/., ]+([0-9]{2}|[0-9]{4}))?", text, re.I
    )
    if found is None:
        return text
    year = "" if found[3] is None else f" 20{found[3]}" if len(found[3]) == 2 else f" {found[3]}"
    return f"{found[1]} {found[2]}{year}"


def _loosely(key: str, text: str, year: int | None) -> str | None:
    """Return the day that stands for part of a month, a week, or a side of the frost."""
    if (frost := _FROST.fullmatch(text)) is not None:
        fits = frost[1].casefold() == ("after" if key == "from" else "before")
        return "last frost" if fits else None
    if (week := _WEEK_OF.fullmatch(text)) is not None:
        days = day_readings(_tidied(week[1]), year)
        day = days[0] if len(days) == 1 else None
    elif (found := _WEEK.fullmatch(text)) is not None:
        day = _monday(found, year)
    else:
        return _of_month(key, text, year)
    if day is None:
        return None
    return (day if key == "from" else day + timedelta(days=6)).isoformat()


def _monday(found: re.Match[str], year: int | None) -> date | None:
    number = int(found["week"] or found["iso_week"])
    in_year = found["year"] or found["iso_year"] or year
    if in_year is None:
        return None
    try:
        return date.fromisocalendar(int(in_year), number, 1)
    except ValueError:
        return None


def _of_month(key: str, text: str, year: int | None) -> str | None:
    found = _PART.fullmatch(text)
    if found is None or not (found["year"] or year):
        return None
    month = int(month_number(found["month"].casefold()))
    in_year = int(found["year"] or year or 0)
    if not month or in_year not in YEARS:
        return None
    last = calendar.monthrange(in_year, month)[1]
    part = heading_data()["parts"].get((found["part"] or "").casefold(), [1, 0])
    day = part[0] if key == "from" else part[1]
    return date(in_year, month, day or last).isoformat()


def day_readings(text: str, year: int | None) -> tuple[date, ...]:
    """Return the days that a text may mean, none for a text that is no date."""
    try:
        if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
            return (date.fromisoformat(text),)
        return _written(text, year)
    except ValueError:
        return ()


def _written(text: str, year: int | None) -> tuple[date, ...]:
    days = date_readings(text)
    if not days and year is not None and _NO_YEAR.fullmatch(text):
        numbers = re.fullmatch(r"([0-9]{1,2})([/.-])([0-9]{1,2})\.?", text)
        text = (
            f"{numbers[1]}{numbers[2]}{numbers[3]}{numbers[2]}{year}"
            if numbers
            else (f"{text} {year}")
        )
        days = date_readings(text)
    return tuple(day for day in days if day.year in YEARS)


def _in_order(text: str, day: date, order: Order) -> bool:
    first = re.match(r"[0-9]+", text)
    return first is not None and int(first[0]) == (day.day if order == "day-first" else day.month)


def order_of(unit: str) -> Order | None:
    """Return the order that a heading's brackets tell: `dd/mm/yy`."""
    letters = re.sub("[^dm]", "", unit.casefold())
    if letters.startswith("d") and "m" in letters:
        return "day-first"
    return "month-first" if letters.startswith("m") and "d" in letters else None


def orders_told(cells: Iterable[Cell], year: int | None) -> dict[Order, str]:
    """Return the orders of day and month that some cells leave no choice about, each with one."""
    found: dict[Order, str] = {}
    for cell in cells:
        text = cell_text(cell)
        numbers = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})(?:[/.-][0-9]{2,4})?\.?", text)
        if not isinstance(cell, str) or numbers is None:
            continue
        if len(day_readings(text, year or 2027)) != 1 or numbers[1] == numbers[2]:
            continue
        found.setdefault("day-first" if int(numbers[1]) > 12 else "month-first", text)
    return found


def may_be_date(cell: Cell) -> bool:
    """Return whether a cell may say one day."""
    if isinstance(cell, date):
        return True
    text = cell_text(cell)
    if is_span(cell):
        return False
    if _near_day(text):
        return True
    return re.search(r"[0-9]", text) is not None and re.search("[/.-]|[a-z]{3}", text) is not None
