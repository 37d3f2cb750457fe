"""Windows: the text of a date, and the date that it comes to.

A window's end is a TOML date, `last frost`, or `N days|weeks before|after last frost`.
Weeks are seven days; the calendar's own arithmetic does the rest (leap years included).
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from attrs import frozen

from rootroom.plan.names import NUMBER_WORDS
from rootroom.problems import TextError

__all__ = ["Window", "read_window", "resolve"]

_RELATIVE = re.compile(
    r"(?:the )?"
    r"(?:(?P<number>[0-9]{1,4}|a|an|one) +(?P<unit>days?|weeks?) +(?P<side>before|after) +)?"
    r"(?:the )?last +frost",
    re.IGNORECASE,
)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_MONTHS = "january february march april may june july august september october november december"
_EXAMPLES = '`2027-04-24` without quotes, `"last frost"` or `"2 weeks after last frost"`'
_MOST_DAYS = 3660


@frozen
class Window:
    """One end of a window: a date, or so many days after the last frost (before: negative)."""

    day: date | None = None
    frost_days: int | None = None


def read_window(text: str) -> Window:
    """Return what a text says about a date; TextError with a hint for everything else."""
    plain = " ".join(text.split())
    found = _RELATIVE.fullmatch(plain)
    if found is not None:
        if found["number"] is None:
            return Window(frost_days=0)
        number = int(found["number"]) if found["number"].isdigit() else 1
        days = number * (7 if found["unit"].lower().startswith("week") else 1)
        if days > _MOST_DAYS:
            raise TextError(
                f"a plan is for one season: `{plain}`", code="too-large", hint="use fewer weeks"
            )
        return Window(frost_days=days if found["side"].lower() == "after" else -days)
    short = plain if len(plain) <= 60 else plain[:57] + "..."
    short = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in short)
    raise TextError(f"cannot read the date: `{short}`", code="bad-window", hint=_hint(plain))


def resolve(window: Window, last_frost: date | None) -> date | None:
    """Return the date of a window's end; None where it needs a last frost that is not given."""
    if window.day is not None:
        return window.day
    if last_frost is None or window.frost_days is None:
        return None
    try:
        return last_frost + timedelta(days=window.frost_days)
    except OverflowError:
        return None


def _hint(plain: str) -> str:
    if _ISO.fullmatch(plain):
        return f"a date stands without quotes: `{plain}`"
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
            right = f"{number} {spelled[2].lower()}s {side} last frost"
            return f'write the number in digits: `"{right}"`'
        return 'write it as `"2 weeks before last frost"`, in whole days or weeks'
    return f"write {_EXAMPLES}"
