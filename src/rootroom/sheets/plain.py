"""Small pieces of plain text for the terminal: dates, names cut to a width, wrapped lists."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable
from datetime import date, time
from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.counts import ceil_count
from rootroom.units import read_volume_l, show_volume

if TYPE_CHECKING:
    from rootroom.units import System

# Not from the process's locale: the same plan gives the same bytes everywhere.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
_SIGNS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


def day_short(day: date) -> str:
    """Return `10 Apr`."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def day_long(day: date) -> str:
    """Return `Sat 10 Apr 2027`."""
    return f"{_WEEKDAYS[day.weekday()]} {day_short(day)} {day.year}"


def hour(moment: time) -> str:
    """Return `09:30`."""
    return f"{moment.hour:02}:{moment.minute:02}"


def halves(number: float, steps: int = 2) -> str:
    """Return a number in halves (or other steps of one, at most quarters) with a sign: `2½`."""
    whole, over = divmod(Fraction(round(number * steps), steps), 1)
    sign = _SIGNS.get(over, "")
    return f"{whole}{sign}" if whole or not sign else sign


def water(litres: float, system: System) -> str:
    """Return water [L] rounded up as one pours it: in gallons, never in cubic feet."""
    if system == "us" and litres >= read_volume_l("1 cu ft"):
        return f"{ceil_count(litres, read_volume_l('1 gal'))} gal"
    return show_volume(litres, system, up=True)


def tidy(text: str) -> str:
    """Return a name on one line: no control or direction marks, which could rewrite a terminal."""
    kept = (" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in text)
    return "".join(c for c in kept if unicodedata.category(c) not in ("Cf", "Cs", "Co"))


def clip(text: str, width: int) -> str:
    """Return a name on one line of at most `width` characters."""
    line = tidy(text)
    return line if len(line) <= width else line[: max(width - 1, 0)].rstrip() + "…"


def wrapped(head: str, parts: Iterable[str], *, width: int = 80, indent: int = 10) -> str:
    """Return `head` and the parts, joined by commas and wrapped under each other.

    A short part stays on one line, so that no amount is parted from its unit.
    """
    # A character that no text holds stands for a space at which no line may end.
    body = ", ".join(x.replace(" ", "\0") if len(x) <= width // 2 else x for x in parts)
    return textwrap.fill(
        body,
        width=width,
        initial_indent=f"{head:<{indent}}",
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    ).replace("\0", " ")


def counted(number: int, one: str) -> str:
    """Return `1 plant` or `3 plants`."""
    return f"{number} {one}{'' if number == 1 else 's'}"
