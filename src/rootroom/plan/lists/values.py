"""What a cell of a list says, as the text that a tidy row or a plan holds.

Every reading refuses what has two: gallons, sizes without their kind, 3/4/2026, 1.000.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from rootroom.plan.lists.counts_and_pots import (
    BARE,
    by_trays,
    is_counted,
    is_loose_count,
    may_be_pot,
    may_be_steps,
    may_count,
    read_count,
    read_counted,
    read_pot,
    read_steps,
)
from rootroom.plan.lists.days import is_loose_day, is_span, may_be_date, read_day, read_span
from rootroom.plan.lists.grid import Cell, Readings, cell_text
from rootroom.plan.lists.table import base, heading_data
from rootroom.plan.names import check_name, shown, tidy
from rootroom.plan.tables.csv_sheet import cell_value
from rootroom.plan.values import read_days
from rootroom.problems import TextError

Said = str | int | dict[str, str] | None
"""What a cell says: a text, a count, several columns at once, or nothing."""

_WHOLE = ("count", "per_pot", "into", "people", "trays", "cells")


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
    if key == "count" and (trays := by_trays(cell)) is not None:
        return {"trays": trays}
    if key in _WHOLE:
        return read_count(cell, readings)
    if key in ("now", "to"):
        return read_pot(key, cell, unit, readings)
    if key == "counted":
        return read_counted(cell, readings)
    if key == "pots":
        return read_steps(cell, unit, readings)
    if key in ("from", "by"):
        return read_day(key, cell, unit, readings)
    if key == "window":
        return read_span(cell, unit, readings)
    if key in ("wait", "harden"):
        return _days(key, cell, unit)
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


def _days(key: str, cell: Cell, unit: str) -> str:
    text = cell_text(cell)
    if BARE.fullmatch(text):
        if not unit:
            raise TextError(
                f"days or weeks: `{shown(text)}`",
                code="missing-unit",
                hint=f"write `{text} weeks` or `{text} days`; or for the whole column "
                f'`--heading "...={key} (weeks)"` or `"...={key} (days)"`',
            )
        text = f"{text} {unit}"
    read_days(text)
    return text


def fit(holds: str, cells: Sequence[Cell], unit: str) -> float:
    """Return the share of cells that may hold what a column `holds`."""
    cells = [cell for cell in cells if not is_nothing(cell) and not is_same(cell)]
    if holds == "any" or not cells:
        return 1.0
    return sum(_may_hold(holds, cell, unit) for cell in cells) / len(cells)


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
    if holds == "counted":
        return is_counted(cell)
    if holds == "steps":
        return may_be_steps(text, unit)
    return may_be_pot(cell, unit)


def says_yes(cell: Cell) -> bool | None:
    """Return what a cell of ticks says; None for a cell that is no tick."""
    text = cell_text(cell).casefold()
    if text in heading_data()["marks"]["yes"]:
        return True
    return False if text in heading_data()["marks"]["no"] or is_nothing(cell) else None


def means_of(pairs: Mapping[str, str]) -> dict[str, str]:
    """Return texts to be read as others, by their one form."""
    return {" ".join(text.split()).casefold(): meant.strip() for text, meant in pairs.items()}
