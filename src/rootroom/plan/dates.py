"""Windows: the text of a date, and the date that it comes to.

A window's end is a TOML date, `last frost`, or `N days|weeks before|after last frost`, or
the same of the first frost of autumn.
Weeks are seven days; the calendar's own arithmetic does the rest (leap years included).
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from attrs import frozen

from rootroom.plan.names import NUMBER_WORDS, shown
from rootroom.problems import TextError

_RELATIVE = re.compile(
    r"(?:the )?"
    r"(?:(?P<number>[0-9]{1,4}|a|an|one) +(?P<unit>days?|weeks?) +(?P<side>before|after) +)?"
    r"(?:the )?(?P<frost>last|first) +frost",
    re.IGNORECASE,
)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_WRITTEN = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_MONTHS = "january february march april may june july august september october november december"
_NUMBERS = re.compile(r"([0-9]{1,4})([/.-]) ?([0-9]{1,2})\2 ?([0-9]{1,4})")
_DAY_MONTH = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th|\.)? (?:of )?([a-z]{3,9})\.?,? ([0-9]{4})")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
_EXAMPLES = '`2027-04-24` without quotes, `"last frost"` or `"2 weeks after last frost"`'
MOST_DAYS = 3660
"""Ten years [days]: no step of a plan lies further from another, so more is a slip."""

YEARS = range(1900, 2201)
"""Years that a date may lie in; another is a slip."""


@frozen
class Window:
    """One end of a window: a date, or so many days after a frost (before: negative).

    `autumn` says that it is the first frost of autumn that counts, not the last one of spring.
    """

    day: date | None = None
    frost_days: int | None = None
    autumn: bool = False


def read_window(text: str) -> Window:
    """Return what a text says about a date; TextError with a hint for everything else."""
    plain = " ".join(text.split())
    found = _RELATIVE.fullmatch(plain)
    if found is not None:
        autumn = found["frost"].lower() == "first"
        if found["number"] is None:
            return Window(frost_days=0, autumn=autumn)
        number = int(found["number"]) if found["number"].isdigit() else 1
        days = number * (7 if found["unit"].lower().startswith("week") else 1)
        if days > MOST_DAYS:
            raise TextError(
                f"a plan is for one season: `{plain}`", code="too-large", hint="use fewer weeks"
            )
        days = days if found["side"].lower() == "after" else -days
        return Window(frost_days=days, autumn=autumn)
    if _ISO.fullmatch(plain):
        return Window(day=read_date(plain))
    raise TextError(f"cannot read the date: `{shown(plain)}`", code="bad-window", hint=_hint(plain))


def resolve(
    window: Window, last_frost: date | None, first_frost: date | None = None
) -> date | None:
    """Return the date of a window's end; None where it needs a frost that is not given."""
    if window.day is not None:
        return window.day
    frost = first_frost if window.autumn else last_frost
    if frost is None or window.frost_days is None:
        return None
    try:
        return frost + timedelta(days=window.frost_days)
    except OverflowError:
        return None


def read_date(text: str) -> date:
    """Return a date that stands outside a plan file, as an option or in a note.

    TextError for all but year-month-day, with what another order may mean.
    """
    written = _WRITTEN.fullmatch(text.strip())
    if written is None:
        days = " or ".join(f"`{day}`" for day in date_readings(text) if day.year in YEARS)
        raise TextError(
            f"a date is written year-month-day: `{shown(text)}`",
            code="not-a-date",
            hint=f"write {days}" if days else "as 2027-05-01 for the first of May",
        )
    if int(written[1]) not in YEARS:
        raise TextError(f"a year must lie in 1900 to 2200: `{text}`", code="bad-date")
    try:
        return date(*map(int, written.groups()))
    except ValueError:
        raise TextError(
            f"no such date: `{text}`", code="bad-date", hint="as 2027-05-01 for the first of May"
        ) from None


def date_readings(text: str) -> tuple[date, ...]:
    """Return what a date in another order or with its month's name may mean, the likelier first.

    Points stand between day and month where days come first; strokes may mean either order.
    """
    plain = " ".join(text.split()).lower()
    numbers = _NUMBERS.fullmatch(plain)
    if numbers is not None:
        first, mark, second, third = numbers.groups()
        orders = [(first, second, third)]
        if len(first) < 4:
            year = f"20{third}" if len(third) == 2 else third
            orders = [(year, second, first)]
            if mark != ".":
                orders.insert(0, (year, first, second))
    elif (found := _DAY_MONTH.fullmatch(plain)) is not None:
        orders = [(found[3], month_number(found[2]), found[1])]
    elif (found := _MONTH_DAY.fullmatch(plain)) is not None:
        orders = [(found[3], month_number(found[1]), found[2])]
    else:
        return ()
    days = []
    for year, month, day in orders:
        try:
            days.append(date(int(year), int(month), int(day)))
        except ValueError:
            continue
    return tuple(dict.fromkeys(days))


def month_number(name: str) -> str:
    """Return the number of a month of that name, or of its beginning; 0 for another word."""
    months = _MONTHS.split()
    return str(next((n for n, month in enumerate(months, 1) if month.startswith(name)), 0))


def _hint(plain: str) -> str:
    if readings := date_readings(plain):
        days = " or ".join(f"`{day}`" for day in readings)
        return f"write {days}: year-month-day, no quotes"
    if re.fullmatch(r"\d{1,4}[/.-]\d{1,2}[/.-]\d{1,4}", plain):
        return "write a date as year-month-day without quotes: `2027-04-24`"
    if (
        any(word[:3].lower() in _MONTHS for word in re.findall(r"[A-Za-z]{3,}", plain))
        and re.search(r"\d", plain)
        and "frost" not in plain.lower()
    ):
        return "write a date as year-month-day without quotes: `2027-04-24`"
    if "frost" in plain.lower():
        spelled = re.match(rf"({'|'.join(NUMBER_WORDS)}) +(day|week)s?\b", plain, re.IGNORECASE)
        if spelled is not None:
            number = NUMBER_WORDS[spelled[1].lower()]
            side = "after" if "after" in plain.lower() else "before"
            frost = "first" if "first" in plain.lower() else "last"
            right = f"{number} {spelled[2].lower()}s {side} {frost} frost"
            return f'write the number in digits: `"{right}"`'
        return 'write it as `"2 weeks before last frost"`, in whole days or weeks'
    return f"write {_EXAMPLES}"
