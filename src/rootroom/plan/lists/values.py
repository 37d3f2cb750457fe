"""What a cell of a list says, as the text that a tidy row or a plan holds.

Every reading refuses what has two: gallons, sizes without their kind, 3/4/2026, 1.000.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Literal

from attrs import define, field

from rootroom.containers.text import read_container
from rootroom.plan.dates import YEARS, date_readings, read_window
from rootroom.plan.lists.grid import Cell, cell_text
from rootroom.plan.lists.headings import heading_data
from rootroom.plan.names import PLACES, check_name, shown, tidy
from rootroom.plan.tables.csv_sheet import cell_value, check_thousands
from rootroom.plan.values import MOST, read_days
from rootroom.problems import TextError

Order = Literal["day-first", "month-first"]

_PLACES = re.compile(r"\b(?:bed|border|ground|soil|garden)s?\b", re.IGNORECASE)
_BARE = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_COUNT = re.compile(
    r"(?:x ?)?([0-9]{1,3}(?:[ \u00a0\u202f'’][0-9]{3})+|[0-9]+(?:[.,][0-9]+)*)"
    r" ?(?:x|×|plants?|pots?|pcs?\.?|pieces?|ea\.?|each|no\.?)?",
    re.IGNORECASE,
)
_GROUPS = re.compile(r"[0-9]{1,3}([.,])[0-9]{3}(?:\1[0-9]{3})+")
_COMMA = re.compile(r"(?<![0-9.,])([0-9]+),([0-9]{1,2})(?![0-9,.])")
_GALLONS = re.compile(
    r"([0-9½¼¾⅓⅔⅛./ ]+?)[ -]?(?:trade )?(?:g|gal|gals|gallon|gallons)\.?"
    r"(?: (?:nursery |plastic )?(?:pot|container|can)s?)?",
    re.IGNORECASE,
)
_WIDTH = re.compile(r"[0-9½¼¾⅓⅔⅛][0-9½¼¾⅓⅔⅛./ -]*(?:in|inch|inches|cm|\"|”|″|'')\.?", re.IGNORECASE)
_ORDINAL = "(?:st|nd|rd|th)?"
_NO_YEAR = re.compile(
    rf"(?:[0-9]{{1,2}}(?:{_ORDINAL}|\.) ?(?:of )?[a-z]{{3,9}}\.?"
    rf"|[a-z]{{3,9}}\.? [0-9]{{1,2}}{_ORDINAL}"
    r"|[0-9]{1,2}[/.-][0-9]{1,2}\.?)",
    re.IGNORECASE,
)

_STILL_SIZES = (
    "ambiguous-container", "container-size", "ambiguous-unit", "ambiguous-number",
)  # fmt: skip
"""Codes of refusals that a container's text gets for want of one word."""

_NO_SIZE = ("bad-number", "two-units", "unknown-unit", "wrong-unit", "missing-unit")
"""Codes of refusals of a text that was tried as a volume, though nobody meant one."""


@define
class Readings:
    """How cells with more than one reading are to be read, as far as somebody said so."""

    dates: Order | None = None
    year: int | None = None
    gallons: Literal["class", "true"] | None = None
    decimal: Literal["point", "comma"] | None = None
    means: dict[str, str] = field(factory=dict)


def is_nothing(cell: Cell) -> bool:
    """Return whether a cell is empty, or holds a mark for that."""
    if cell is None:
        return True
    return isinstance(cell, str) and cell.strip().casefold() in heading_data()["marks"]["nothing"]


def is_same(cell: Cell) -> bool:
    """Return whether a cell holds a mark for what stands above it."""
    return isinstance(cell, str) and cell.strip().casefold() in heading_data()["marks"]["same"]


def read_cell(key: str, cell: Cell, unit: str, readings: Readings) -> str | int | None:
    """Return what a cell of the column `key` says; None for nothing, TextError for a mistake.

    `unit` is what stands in brackets in the heading.
    """
    meant = readings.means.get(cell_text(cell).casefold())
    if meant is not None:
        cell, unit = meant, ""
    if is_nothing(cell):
        return None
    if key in ("count", "per_pot", "into", "people"):
        return _whole(cell, readings)
    if key in ("now", "to"):
        return _container(key, cell, unit, readings)
    if key in ("from", "by"):
        return _day(cell, unit, readings)
    if key in ("wait", "harden"):
        return _days(cell, unit)
    text = tidy(cell_text(cell))
    check_name(text, empty=False)
    if key not in ("name", "sort", "place", "tag", "crop", "mix", "note"):
        cell_value(key, text)
    return text


def _whole(cell: Cell, readings: Readings) -> int:
    number: float | None = None
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        number = float(cell)
    elif isinstance(cell, str) and (found := _COUNT.fullmatch(cell.strip().removeprefix("'"))):
        number = float(_plain_number(re.sub(r"[\s'’]", "", found[1]), readings))
    if number is None or not number.is_integer() or not 0 <= number <= MOST:
        raise TextError(
            f"a count is a whole number from 1 to {MOST:,}: `{shown(cell_text(cell))}`",
            code="bad-count",
        )
    return int(number)


def _plain_number(text: str, readings: Readings) -> str:
    """Return a number with a decimal point; refuse `1.000` and `1,000` unless that is settled."""
    if readings.decimal is None:
        try:
            check_thousands(text)
        except TextError as error:
            error.hint += (
                "; or say what marks decimals in this list: `--decimal point` or `--decimal comma`"
            )
            raise
        if _GROUPS.fullmatch(text):
            return re.sub("[.,]", "", text)
    if readings.decimal == "comma":
        text = text.replace(".", "").replace(",", ".")
    elif readings.decimal == "point":
        text = text.replace(",", "")
    else:
        text = _COMMA.sub(r"\1.\2", text)
    return text if _BARE.fullmatch(text) else "nan"


def _container(key: str, cell: Cell, unit: str, readings: Readings) -> str | None:
    """Return a container's text as the plan spells it, or a place that a move may go to."""
    text = tidy(cell_text(cell))
    if key == "to":
        if text.casefold() in heading_data()["marks"]["stays"]:
            return None
        if text.casefold() in PLACES:
            return text.casefold()
    text = re.sub(r"\bsq\b\.?", "square", _size_numbers(text, readings), flags=re.IGNORECASE)
    bare = _BARE.fullmatch(text) is not None
    if bare:
        if not unit:
            raise TextError(
                f"a size without its unit: `{shown(text)}`",
                code="missing-unit",
                hint=f"write `#{text}`, `{text} in pot` or `{text} L`; or for the whole column "
                f'`--heading "...={key} (#)"`, `"...={key} (in pot)"` or `"...={key} (L)"`',
            )
        text = f"#{text}" if unit.casefold() in ("#", "class", "trade") else f"{text} {unit}"
    elif unit and _WIDTH.fullmatch(text) and not _WIDTH.fullmatch(f"1 {unit}"):
        text = f"{text} {re.sub(r'^(in|inch|inches|cm) ', '', unit)}"
    text = _gallons(text, readings)
    try:
        return read_container(text).text
    except TextError as error:
        if key == "to" and error.code == "unknown-container" and _PLACES.search(text):
            return text  # a bed's own name
        if error.code in _NO_SIZE:
            raise _no_container(text) from None
        if error.code == "ambiguous-container":
            error.hint += _for_all(key, text, unit if bare else "")
        raise


def _no_container(text: str) -> TextError:
    return TextError(
        f"unknown container: `{shown(text)}`",
        code="unknown-container",
        hint="one pot belongs here, as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, "
        "`5 gal bag`, `C10` or `15 L`; `--means 'TEXT=POT'` reads another text as one",
    )


def _for_all(key: str, text: str, unit: str) -> str:
    if _GALLONS.fullmatch(text):
        return "; for the whole list `--gallons class` or `--gallons true`"
    way = f'; for the whole column `--heading "...={key} ({unit} pot)"`'.replace("( ", "(")
    return way if _WIDTH.fullmatch(text) else ""


def _gallons(text: str, readings: Readings) -> str:
    """Return `7g` and the like as the gallons that the list's owner means."""
    found = _GALLONS.fullmatch(text)
    if found is None:
        return text
    number = found[1].strip()
    if readings.gallons == "class":
        return f"#{number}"
    return f"{number} gal true" if readings.gallons == "true" else f"{number} gal"


def _size_numbers(text: str, readings: Readings) -> str:
    """Return a size with a decimal point; `1.000 L` has two readings until that is settled."""
    found = re.match(r"(?:[cp] ?)?([0-9]{1,3}[.,][0-9]{3})(?![0-9])", text, re.IGNORECASE)
    if found:
        number = _plain_number(found[1], readings)
        return text[: found.start(1)] + f"{float(number):g}" + text[found.end(1) :]
    return _COMMA.sub(r"\1.\2", text)


def _days(cell: Cell, unit: str) -> str:
    text = cell_text(cell)
    if _BARE.fullmatch(text):
        text = f"{text} {unit or 'days'}"
    read_days(text)
    return text


def _day(cell: Cell, unit: str, readings: Readings) -> str:
    """Return a date as year-month-day, or a window as the plan writes it."""
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
    text = re.sub(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? ", "", text, flags=re.IGNORECASE)
    text = re.sub(r"(?:,? |T)[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?$", "", text)
    text = _spelled(text)
    days = day_readings(text, readings.year)
    order = order_of(unit) or readings.dates
    if len(days) > 1 and order is not None:
        days = tuple(day for day in days if _in_order(text, day, order))
    if len(days) == 1:
        return days[0].isoformat()
    if len(days) > 1:
        raise TextError(
            f"may be {' or '.join(str(day) for day in days)}: `{shown(text)}`",
            code="ambiguous-date",
            hint="write year-month-day; or for the whole list `--dates day-first` or "
            "`--dates month-first`",
        )
    if _NO_YEAR.fullmatch(text) and readings.year is None:
        raise TextError(
            f"a date without a year: `{shown(text)}`",
            code="bad-window",
            hint="write it with the year, or for the whole list `--year 2027`",
        )
    read_window(text)
    return text


def _spelled(text: str) -> str:
    """Return `20-Mar-27` as `20 Mar 2027`; other texts stay."""
    found = re.fullmatch(
        r"([0-9]{1,2})[-/. ]([a-z]{3,9})\.?(?:[-/., ]+([0-9]{2}|[0-9]{4}))?", text, re.I
    )
    if found is None:
        return text
    year = "" if found[3] is None else f" 20{found[3]}" if len(found[3]) == 2 else f" {found[3]}"
    return f"{found[1]} {found[2]}{year}"


def day_readings(text: str, year: int | None) -> tuple[date, ...]:
    """Return the days that a text may mean, none for a text that is no date."""
    try:
        return (
            (date.fromisoformat(text),)
            if re.fullmatch(r"\d{4}-\d\d-\d\d", text)
            else (_written(text, year))
        )
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


def fit(holds: str, cells: Sequence[Cell], unit: str) -> float:
    """Return the share of cells that may hold what a column `holds`."""
    cells = [cell for cell in cells if not is_nothing(cell) and not is_same(cell)]
    if holds == "any" or not cells:
        return 1.0
    return sum(_may_hold(holds, cell, unit) for cell in cells) / len(cells)


_NUMBER_AS_SIZE = 0.6
"""How well a bare number fits where a container belongs: it lacks its unit."""


def _may_hold(holds: str, cell: Cell, unit: str) -> float:
    text = cell_text(cell)
    if holds == "whole":
        whole = isinstance(cell, int | float) and float(cell).is_integer()
        return whole or (isinstance(cell, str) and _COUNT.fullmatch(text) is not None)
    if holds == "text":
        return isinstance(cell, str) and re.search(r"[^\W\d_]{2}", text) is not None
    if holds == "date":
        return isinstance(cell, date) or _may_be_date(text)
    if holds == "days":
        return re.search(r"[0-9]", text) is not None
    if holds == "flag":
        return text.casefold() in ("yes", "no", "y", "n", "x", "true", "false", "1", "0")
    return _may_be_container(cell, unit)


def _may_be_date(text: str) -> bool:
    if day_readings(text, 2027) or "frost" in text.casefold():
        return True
    return re.search(r"[0-9]", text) is not None and re.search("[/.-]|[a-z]{3}", text) is not None


def _may_be_container(cell: Cell, unit: str) -> float:
    try:
        _container("to", cell, unit, Readings())
    except TextError as error:
        if error.code == "missing-unit":
            return _NUMBER_AS_SIZE
        return error.code in _STILL_SIZES
    return 1.0


def means_of(pairs: Mapping[str, str]) -> dict[str, str]:
    """Return texts to be read as others, by their one form."""
    return {" ".join(text.split()).casefold(): meant.strip() for text, meant in pairs.items()}
