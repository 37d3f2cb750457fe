"""Paragraphs, plain tables within 80 columns, dates and other small pieces of text, and CSV."""

from __future__ import annotations

import csv
import io
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date, time
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from rootroom.counts import ceil_count
from rootroom.units import read_volume_l, show_volume

if TYPE_CHECKING:
    from rootroom.units import System

WIDTH = 80

LEAST_COLUMN = 10
"""No column is made narrower than this [characters]."""


# What makes a cell a formula in one spreadsheet or another; the full-width forms count too.
FORMULA_SIGNS = tuple("=+-@\t\r\n＝＋－＠")
Cell = str | int | None


# Not from the process's locale: the same plan gives the same bytes everywhere.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
_SIGNS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


def wrap(
    text: str, *, indent: str = "", hanging: str = "", width: int = WIDTH, whole: bool = False
) -> str:
    """Return a paragraph; `indent` begins its first line and `hanging` the others.

    With `whole` a word that is longer than a line stays whole.
    """
    return textwrap.fill(
        text,
        width=width,
        initial_indent=indent,
        subsequent_indent=hanging,
        break_long_words=not whole,
        break_on_hyphens=False,
    )


def fill(text: str, *, indent: str = "", hanging: str = "", width: int = WIDTH) -> str:
    """Return a paragraph in which a figure stays beside its sign."""
    # A character that no text holds stands for the space before the sign.
    text = text.replace(" %", "\0%")
    return wrap(text, indent=indent, hanging=hanging, width=width).replace("\0", " ")


def item(text: str, *, width: int = WIDTH) -> str:
    """Return a paragraph that stands under a head."""
    return fill(text, indent="  ", hanging="    ", width=width)


def listed(head: str, lines: Iterable[str]) -> str:
    """Return lines under their head, nothing where there are none."""
    shown = "\n".join(lines)
    return f"{head}\n{shown}" if shown else ""


def columns(header: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> list[str]:
    """Return the lines of a plain table; `sides` says l or r for each column."""
    from tabulate import tabulate

    align = ["left" if side == "l" else "right" for side in sides]
    text: str = tabulate(
        rows,
        headers=header,
        tablefmt="plain",
        disable_numparse=True,
        colalign=align,
        headersalign=align if header else None,
    )
    return [line.rstrip() for line in text.splitlines()]


def table(header: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> str:
    """Return a plain table, indented; `sides` as in `columns`."""
    return textwrap.indent("\n".join(columns(header, rows, sides)), "  ")


def ruled_table(header: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> str:
    """Return a plain table with a line under its heads; `sides` as in `columns`."""
    # The heads are a row like the others: as heads they would be given room that 80 columns lack.
    head, *lines = columns((), [header, *rows], sides)
    return "\n".join([head, "-" * max(map(len, (head, *lines))), *lines])


def fitted_table(
    header: Sequence[str], rows: Sequence[Sequence[str]], sides: str, *, width: int = WIDTH
) -> str:
    """Return a table no wider than `width` [characters]: names wrapped, empty columns left out.

    That column gives up room which makes the table least longer, the widest first.
    """
    kept = [at for at in range(len(header)) if any(row[at] for row in rows)]
    cells = [[str(row[at]) for at in kept] for row in (header, *rows)]
    if not kept:
        return ""
    lengths = [max(max(map(len, row[at].split("\n"))) for row in cells) for at in range(len(kept))]
    while sum(lengths) + 2 * len(lengths) > width and max(lengths) > LEAST_COLUMN:
        narrower = (
            [length - (at == taken) for at, length in enumerate(lengths)]
            for taken in sorted(range(len(lengths)), key=lambda at: -lengths[at])
            if lengths[taken] > LEAST_COLUMN
        )
        lengths = min(narrower, key=lambda tried: _height(cells, tried))
    wrapped = [[_wrapped(text, most) for text, most in zip(row, lengths, strict=True)]
               for row in cells]  # fmt: skip
    # The heads are a row like the others: as heads they would be given room that is not there.
    return table((), wrapped, "".join(sides[at] for at in kept))


def _height(cells: Sequence[Sequence[str]], lengths: Sequence[int]) -> int:
    """Return the lines of a table whose columns are so wide."""
    return sum(
        max(_wrapped(text, most).count("\n") for text, most in zip(row, lengths, strict=True)) + 1
        for row in cells
    )


@cache
def _wrapped(text: str, width: int) -> str:
    lines = (textwrap.wrap(line, width, break_on_hyphens=False) for line in text.split("\n"))
    return "\n".join("\n".join(line) for line in lines)


# A text that begins with a sign by which spreadsheets know a formula gets an apostrophe before it;
# numbers stay numbers, since they come as such and not as text.
def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return rows as CSV (RFC 4180: commas, CRLF), texts made harmless, None as nothing.

    Numbers that are not whole come as texts written by the caller, decimal point inside: those
    that read as plain numbers are left alone.
    Raises ValueError for a row that is longer or shorter than the header.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header)
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"a row must have {len(header)} cells, got {len(row)}")
        writer.writerow([_harmless(cell) for cell in row])
    return out.getvalue()


def _harmless(cell: Cell) -> str | int:
    if cell is None:
        return ""
    if isinstance(cell, int) or not cell.lstrip(" ").startswith(FORMULA_SIGNS):
        return cell
    return cell if _is_number(cell) else "'" + cell


def _is_number(text: str) -> bool:
    digits = text.removeprefix("-").replace(".", "", 1)
    return digits.isascii() and digits.isdigit()


def plain(number: float | None) -> str | None:
    """Return a number for CSV with at most three decimals, none where it is whole."""
    return None if number is None else f"{number + 0.0:.3f}".rstrip("0").rstrip(".")


def rounded(number: float | Fraction | None) -> float | None:
    """Return a number for JSON, to a millionth; never a negative zero."""
    return None if number is None else round(float(number), 6) + 0.0


def picked(one: object, names: str) -> dict[str, Any]:
    """Return attributes as JSON has them, in the order of their names; `key=attribute` renames.

    Days are texts, rows of texts lists, and `~attribute` is a number that is rounded.
    """
    found: dict[str, Any] = {}
    for key, attribute, inexact in _keys(names):
        value = getattr(one, attribute)
        if inexact:
            value = rounded(value)
        elif isinstance(value, date):
            value = value.isoformat()
        found[key] = list(value) if isinstance(value, tuple) else value
    return found


@cache
def _keys(names: str) -> list[tuple[str, str, bool]]:
    pairs = [name.rpartition("=") for name in names.split()]
    bare = [(key, attribute.removeprefix("~"), "~" in attribute) for key, _, attribute in pairs]
    return [(key or attribute, attribute, inexact) for key, attribute, inexact in bare]


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
    if text.isprintable():  # as most are: it has none of them
        return text
    kept = (" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in text)
    return "".join(c for c in kept if unicodedata.category(c) not in ("Cf", "Cs", "Co"))


def clip(text: str, width: int) -> str:
    """Return a name on one line of at most `width` characters."""
    line = tidy(text)
    return line if len(line) <= width else line[: max(width - 1, 0)].rstrip() + "…"


def wrapped(head: str, parts: Iterable[str]) -> str:
    """Return `head` and the parts, joined by commas and wrapped under each other.

    A short part stays on one line, so that no amount is parted from its unit.
    """
    # A character that no text holds stands for a space at which no line may end.
    body = ", ".join(x.replace(" ", "\0") if len(x) <= WIDTH // 2 else x for x in parts)
    return wrap(body, indent=f"{head:<10}", hanging=" " * 10).replace("\0", " ")
