"""What one value of a plan may be: each kind of value has a type and a reader.

A reader takes the value as TOML gave it and returns it in base units, or raises TextError.
It never guesses: a text where a number belongs is refused, and the other way round.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Any, NewType

from rootroom.plan.dates import MOST_DAYS, YEARS, Window, read_window
from rootroom.plan.names import check_name, closest, tidy
from rootroom.problems import TextError
from rootroom.tolerances import NINE_PLACES, READ_DIGITS
from rootroom.units import (
    read_duration_days,
    read_share,
)
from rootroom.visible import visible

MOST = 10_000_000
"""The largest count that is taken for one; more than that is a slip of the finger."""
_MOST_NUMBER = Decimal(10**9)
"""The largest plain number, far above any amount in a garden: a sum of them stays exact."""

Text = NewType("Text", str)
Name = NewType("Name", str)
Flag = NewType("Flag", bool)
Count = NewType("Count", int)
Whole = NewType("Whole", int)
Number = NewType("Number", Decimal)
Positive = NewType("Positive", Decimal)
Part = NewType("Part", Fraction)
Cents = NewType("Cents", int)
Day = NewType("Day", date)
Clock = NewType("Clock", time)
When = NewType("When", Window)
Days = NewType("Days", int)
Hours = NewType("Hours", Decimal)


def show(value: object) -> str:
    """Return a value as one would write it in the file, in backticks, short and on one line."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, Mapping):
        text = "{ " + ", ".join(f"{key} = ..." for key in value) + " }"
    elif isinstance(value, list):
        text = f"a list of {len(value)}"
    elif isinstance(value, int) and value.bit_length() > 200:
        text = "a very long number"
    elif isinstance(value, Decimal) and not value.is_finite():
        text = str(value).lower().replace("infinity", "inf")
    else:
        text = str(value)
    return f"`{visible(text, 60)}`"


def exact(value: float) -> Fraction:
    """Return the short decimal or fraction that a float read from a text stands for."""
    whole = Fraction(value)
    near = whole.limit_denominator(NINE_PLACES)
    return near if abs(near - whole) * READ_DIGITS <= whole else whole


def wrong_kind(what: str, value: object, hint: str) -> TextError:
    """Return the mistake of a value of another kind than belongs there."""
    return TextError(f"{what}: {show(value)}", code="wrong-kind", hint=hint)


def read_text(value: object) -> str:
    """Return a text that is not empty."""
    if not isinstance(value, str):
        raise wrong_kind("a text belongs here", value, f'write it in quotes: `"{value}"`')
    value = tidy(value)
    check_name(value, empty=False)
    return value


def read_flag(value: object) -> bool:
    """Return true or false."""
    if not isinstance(value, bool):
        raise wrong_kind("`true` or `false` belongs here", value, "write it without quotes")
    return value


def _whole(value: object, least: int) -> int:
    if isinstance(value, Decimal) and value.is_finite() and value.adjusted() < 12:
        value = int(value) if value == int(value) else value
    if isinstance(value, bool) or not isinstance(value, int):
        if isinstance(value, Decimal) and not value.is_finite():
            raise TextError(f"a count must be finite: {show(value)}", code="not-finite")
        if isinstance(value, str):
            plain = value.strip()
            fits = plain.isascii() and plain.isdecimal() and least <= int(plain[:9]) <= MOST
            digits = f"`{plain}`" if fits and len(plain) < 9 else "a whole number in digits"
            hint = f"write {digits}, without quotes"
        else:
            hint = "write a number without a decimal point"
        raise wrong_kind("a whole number belongs here", value, hint)
    if not least <= value <= MOST:
        words = f"a count is a whole number from {least} to {MOST:,}"
        hint = "leave out what there is none of" if value == 0 else ""
        raise TextError(f"{words}: {show(value)}", code="bad-count", hint=hint)
    return value


def read_count(value: object) -> int:
    """Return a whole number from 1."""
    return _whole(value, 1)


def read_decimal(value: object) -> Decimal:
    """Return a finite number from 0 as it was written."""
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise wrong_kind("a plain number belongs here", value, "write it without quotes and unit")
    if isinstance(value, int) and abs(value) > _MOST_NUMBER:
        value = Decimal(10**18).copy_sign(Decimal(-1 if value < 0 else 1))
    number = Decimal(value)
    if not number.is_finite():
        raise TextError(f"a number must be finite: {show(value)}", code="not-finite")
    if number < 0:
        raise TextError(f"a number must not be negative: {show(value)}", code="negative-number")
    if number > _MOST_NUMBER:
        raise TextError(
            f"a number must not be above {_MOST_NUMBER:,}: {show(value)}", code="number-too-large"
        )
    if number and (number.adjusted() < -9 or len(number.as_tuple().digits) > 30):
        raise TextError(
            f"a number too small, or with too many digits: {show(value)}",
            code="too-many-digits",
        )
    return number


def read_positive(value: object) -> Decimal:
    """Return a finite number above 0."""
    number = read_decimal(value)
    if number == 0:
        raise TextError(f"a number above zero belongs here: {show(value)}", code="zero-number")
    return number


def read_hours(value: object) -> Decimal:
    """Return hours of a day [h], above 0 and up to 24."""
    hours = read_positive(value)
    if hours > 24:
        raise TextError(f"a day has 24 hours: {show(value)}", code="bad-hours")
    return hours


def read_hours_of_a_day(value: object) -> Decimal:
    """Return the hours of one weekday or date [h], 0 for none."""
    return Decimal(0) if not isinstance(value, bool) and value == 0 else read_hours(value)


_NO_PART = "write how many parts, or leave out what the mix goes without"


def read_part(value: object) -> Fraction:
    """Return a part of a mix: a number above 0, or a share as text."""
    if isinstance(value, str):
        if re.fullmatch(r"[0-9]+(\.[0-9]+)?", value.strip()):
            raise wrong_kind("a plain number belongs here", value, "write it without quotes")
        part = exact(read_share(value))
        if part <= 0:
            message = f"a part must be above zero: {show(value)}"
            raise TextError(message, code="zero-number", hint=_NO_PART)
        return part
    if not isinstance(value, bool) and value == 0:
        message = f"a number above zero belongs here: {show(value)}"
        raise TextError(message, code="zero-number", hint=_NO_PART)
    return Fraction(read_positive(value))


def _bare_number(text: str) -> str:
    """Return the only number of a price as a plan has it, to end a hint; nothing if unsure."""
    found = re.findall(r"[0-9]+(?:[.,][0-9]+)*", text)
    if len(found) != 1 or not re.fullmatch(r"[0-9]+([.,][0-9]{2})?", found[0]):
        return ""
    return f": `{found[0].replace(',', '.')}`"


def read_cents(value: object) -> int:
    """Return a price in whole cents."""
    if isinstance(value, str):
        raise TextError(
            f"a price is a plain number: {show(value)}",
            code="price-with-sign",
            hint="write it without quotes and sign, in the garden's `currency`"
            + _bare_number(value),
        )
    cents = read_decimal(value) * 100
    if cents != cents.to_integral_value():
        raise TextError(f"a price has at most two decimals: {show(value)}", code="price-decimals")
    return int(cents)


def read_day(value: object) -> date:
    """Return a date, written as a TOML date or as the same in quotes."""
    if isinstance(value, datetime):
        raise wrong_kind("a date without a time belongs here", value, "write it as `2027-04-24`")
    if isinstance(value, date):
        if value.year not in YEARS:
            raise TextError(f"a year must lie in 1900 to 2200: {show(value)}", code="bad-date")
        return value
    if isinstance(value, str):
        window = read_window(value)
        if window.day is not None:
            return window.day
    raise TextError(
        f"a date belongs here: {show(value)}",
        code="not-a-date",
        hint="write it as year-month-day without quotes: `2027-04-24`",
    )


def read_when(value: object) -> Window:
    """Return a date, or days or weeks before or after a frost."""
    if isinstance(value, str):
        return read_window(value)
    if isinstance(value, date):
        return Window(day=read_day(value))
    raise TextError(
        f"a date or a window belongs here: {show(value)}",
        code="bad-window",
        hint='write `2027-04-24` or `"2 weeks after last frost"`',
    )


def read_clock(value: object) -> time:
    """Return a time of day."""
    if isinstance(value, time):
        return value
    right = "09:00"
    if isinstance(value, str):
        if of_day := _OF_DAY.fullmatch(value.strip()):
            return time(int(of_day[1]), int(of_day[2]))
        right = _on_24_hours(value) or right
    raise TextError(
        f"a time of day belongs here: {show(value)}",
        code="bad-time",
        hint=f'write it as `"{right}"`, on the 24-hour clock',
    )


_OF_DAY = re.compile(r"([01]?\d|2[0-3]):([0-5]?\d)")
_HALF_DAY = re.compile(r"(1[0-2]|0?[1-9])(?:[:.]([0-5][0-9]))? ?([ap])\.?m\.?", re.IGNORECASE)


def _on_24_hours(text: str) -> str | None:
    """Return `9 am` or `2:30 pm` as hours and minutes; None for another text."""
    found = _HALF_DAY.fullmatch(text.strip())
    if found is None:
        return None
    hours = int(found[1]) % 12 + (12 if found[3].lower() == "p" else 0)
    return f"{hours:02d}:{found[2] or '00'}"


def read_days(value: object) -> int:
    """Return a length of time in whole days."""
    days = read_duration_days(with_unit(value, "`10 weeks` or `3 days`"))
    if days > MOST_DAYS:
        raise TextError(f"a plan is for one season: {show(value)}", code="too-large")
    return days


def read_whole_days(value: object) -> int:
    """Return days, as a whole number or as a text with a unit."""
    return read_days(value) if isinstance(value, str) else _whole(value, 0)


def choice(*names: str, hint: str = "") -> Callable[[object], str]:
    """Return a reader that takes one of `names` and nothing else; `hint` tells them apart."""

    def reader(value: object) -> str:
        if value in names:
            return str(value)
        quoted = [f'`"{name}"`' for name in names]
        wanted = " or ".join(quoted) if len(names) < 3 else "one of " + ", ".join(quoted)
        near = closest(str(value), names)
        raise TextError(
            f"{wanted} belongs here: {show(value)}",
            code="bad-choice",
            hint=f"did you mean `{near}`?" if near else hint,
        )

    return reader


READERS: dict[Any, Callable[[object], Any]] = {
    Text: read_text,
    Name: read_text,
    Flag: read_flag,
    Count: read_count,
    Whole: lambda value: _whole(value, 0),
    Number: read_decimal,
    Positive: read_positive,
    Part: read_part,
    Cents: read_cents,
    Day: read_day,
    Clock: read_clock,
    When: read_when,
    Days: read_whole_days,
    Hours: read_hours,
}


def with_unit(value: object, examples: str) -> str:
    """Return the value if it is a text, else say that a text with a unit belongs here."""
    if not isinstance(value, str):
        raise TextError(
            f"a text with a unit belongs here: {show(value)}",
            code="needs-unit",
            hint=f"write it in quotes with its unit, as {examples}",
        )
    return value
