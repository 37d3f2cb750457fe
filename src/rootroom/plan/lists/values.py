"""What a cell of a list says, as the text that a tidy row or a plan holds.

Every reading refuses what has two: gallons, sizes without their kind, 3/4/2026, 1.000.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from rootroom.containers.text import read_container
from rootroom.plan.lists.counts import (
    BARE,
    DECIMAL_COMMA,
    is_loose_count,
    may_count,
    plain_number,
    read_count,
)
from rootroom.plan.lists.days import is_loose_day, is_span, may_be_date, read_day, read_span
from rootroom.plan.lists.grid import Cell, cell_text
from rootroom.plan.lists.readings import Readings
from rootroom.plan.lists.table import base, heading_data
from rootroom.plan.names import PLACES, check_name, meant, shown, tidy
from rootroom.plan.tables.csv_sheet import cell_value
from rootroom.plan.values import read_days
from rootroom.problems import TextError

Said = str | int | dict[str, str] | None
"""What a cell says: a text, a count, several columns at once, or nothing."""

_PLACES = re.compile(r"\b(?:bed|border|ground|soil|garden)s?\b", re.IGNORECASE)
_GALLONS = re.compile(
    r"([0-9½¼¾⅓⅔⅛./ ]+?)[ -]?(trade )?(?:g|gal|gals|gallon|gallons|gallonen)\.?"
    r"(?: (trade))?(?: (?:nursery |plastic )?(?:pot|container|can)s?)?",
    re.IGNORECASE,
)
_WIDTH = re.compile(r"[0-9½¼¾⅓⅔⅛][0-9½¼¾⅓⅔⅛./ -]*(?:in|inch|inches|cm|\"|”|″|'')\.?", re.IGNORECASE)
_MIXED = re.compile(r"(?:[0-9]+[ -]?)?(?:[0-9]/[0-9]{1,2}|[½¼¾⅓⅔⅛])")
_ARROW = re.compile(r" *(?:->|–>|=>|>+|→|⇒|⟶) *| (?:to|into|nach|vers) ", re.IGNORECASE)

_WHOLE = ("count", "per_pot", "into", "people", "trays", "cells")

_STILL_SIZES = (
    "ambiguous-container", "container-size", "ambiguous-unit", "ambiguous-number",
)  # fmt: skip
"""Codes of refusals that a container's text gets for want of one word."""

_NO_SIZE = ("bad-number", "two-units", "unknown-unit", "wrong-unit", "missing-unit")
"""Codes of refusals of a text that was tried as a volume, though nobody meant one."""


def is_nothing(cell: Cell) -> bool:
    """Return whether a cell is empty, or holds a mark for that."""
    if cell is None:
        return True
    return isinstance(cell, str) and cell.strip().casefold() in heading_data()["marks"]["nothing"]


def is_same(cell: Cell) -> bool:
    """Return whether a cell holds a mark for what stands above it."""
    return isinstance(cell, str) and cell.strip().casefold() in heading_data()["marks"]["same"]


def read_cell(key: str, cell: Cell, unit: str, readings: Readings) -> Said:
    """Return what a cell of the column `key` says; None for nothing, TextError for a mistake.

    `unit` is what stands in brackets in the heading.
    """
    instead = readings.means.get(cell_text(cell).casefold())
    if instead is not None:
        cell, unit = instead, ""
    if is_nothing(cell):
        return None
    key = base(key)
    if key in _WHOLE:
        return read_count(cell, readings)
    if key in ("now", "to"):
        return _container(key, cell, unit, readings)
    if key == "pots":
        return _steps(cell, unit, readings)
    if key in ("from", "by"):
        return read_day(key, cell, unit, readings)
    if key == "window":
        return read_span(cell, unit, readings)
    if key in ("wait", "harden"):
        return _days(cell, unit)
    text = tidy(cell_text(cell))
    check_name(text, empty=False)
    if key not in ("name", "sort", "place", "tag", "crop", "mix", "note"):
        cell_value(key, text)
    return text


def is_loose(key: str, cell: Cell) -> bool:
    """Return whether a cell is read as something that it only comes near to, which is told."""
    if base(key) in _WHOLE:
        return isinstance(cell, str) and is_loose_count(cell_text(cell))
    return base(key) in ("from", "by") and is_loose_day(cell)


def _steps(cell: Cell, unit: str, readings: Readings) -> dict[str, str]:
    """Return `#1 -> #3 -> #5` as the pot that a plant is in and those it goes to."""
    pots = _ARROW.split(tidy(cell_text(cell)))
    if len(pots) < 2:
        raise TextError(
            f"one pot where two belong: `{shown(cell_text(cell))}`",
            code="unknown-container",
            hint="write both, as `#1 -> #3`",
        )
    found = {"now": _container("now", pots[0], unit, readings) or ""}
    for move, pot in enumerate(pots[1:], start=1):
        key = "to" if move == 1 else f"to {move}"
        found[key] = _container("to", pot, unit, readings) or pots[0]
    return found


def _container(key: str, cell: Cell, unit: str, readings: Readings) -> str | None:
    """Return a container's text as the plan spells it, or a place that a move may go to."""
    text = tidy(cell_text(cell))
    own = meant(text, readings.own)
    if own is not None:
        return own
    if key == "to":
        if text.casefold() in heading_data()["marks"]["stays"]:
            return None
        if text.casefold() in PLACES:
            return text.casefold()
    text = re.sub(r"\bsq\b\.?", "square", _size_numbers(text, readings), flags=re.IGNORECASE)
    pots = heading_data()["pots"]
    text = re.sub(r"[^\W\d_]+", lambda word: pots.get(word[0].casefold(), word[0]), text)
    bare = (BARE.fullmatch(text) or _MIXED.fullmatch(text)) is not None
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
        nowhere = error.code == "unknown-container" and "[containers]" in error.hint
        if error.code in _NO_SIZE or (nowhere and "class" not in error.message):
            raise _no_container(text) from None
        if error.code == "ambiguous-container":
            error.hint += _for_all(key, text, unit if bare else "")
        raise


def _no_container(text: str) -> TextError:
    return TextError(
        f"unknown container: `{shown(text)}`",
        code="unknown-container",
        hint="one pot belongs here, as `#3`, `12 in pot`, `4 in square pot`, `72-cell tray`, "
        f"`5 gal bag`, `C10` or `15 L`; `--means '{shown(text)}=15 L'` reads this text as one",
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
    if readings.gallons == "class" or found[2] or found[3]:
        return f"#{number}"
    return f"{number} gal true" if readings.gallons == "true" else f"{number} gal"


def _size_numbers(text: str, readings: Readings) -> str:
    """Return a size with a decimal point; `1.000 L` has two readings until that is settled."""
    found = re.match(r"(?:[cp] ?)?([0-9]{1,3}[.,][0-9]{3})(?![0-9])", text, re.IGNORECASE)
    if found:
        number = plain_number(found[1], readings)
        return text[: found.start(1)] + f"{float(number):g}" + text[found.end(1) :]
    return DECIMAL_COMMA.sub(r"\1.\2", text)


def _days(cell: Cell, unit: str) -> str:
    text = cell_text(cell)
    if BARE.fullmatch(text):
        text = f"{text} {unit or 'days'}"
    read_days(text)
    return text


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
        return whole or (isinstance(cell, str) and may_count(text))
    if holds == "text":
        return isinstance(cell, str) and re.search(r"[^\W\d_]{2}", text) is not None
    if holds == "date":
        return may_be_date(cell)
    if holds == "span":
        return is_span(cell)
    if holds == "days":
        return re.search(r"[0-9]", text) is not None
    if holds == "flag":
        return says_yes(cell) is not None
    if holds == "steps":
        pots = _ARROW.split(text)
        return len(pots) > 1 and min(_may_be_container(pot, unit) for pot in pots)
    return _may_be_container(cell, unit)


def says_yes(cell: Cell) -> bool | None:
    """Return what a cell of ticks says; None for a cell that is no tick."""
    text = cell_text(cell).casefold()
    if text in heading_data()["marks"]["yes"]:
        return True
    return False if text in heading_data()["marks"]["no"] or is_nothing(cell) else None


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
