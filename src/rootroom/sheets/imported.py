"""What was understood of a list of plants, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rootroom.counts import counted
from rootroom.plan.lists.model import ListRead
from rootroom.sheets.layout import WIDTH, clip, fill, fitted_table

MOST_SHOWN = 12
_WIDEST = 24
_FIRST = ("name", "count", "now", "to", "from", "by", "sort", "mix", "place", "tag")
"""Columns from the one that is needed most."""


def imported_text(read: ListRead) -> str:
    """Return how the columns were read, the first rows as understood, and what was left out."""
    name = Path(read.grid.file).name
    sheet = f", sheet `{read.grid.sheet}`" if read.grid.sheet else ""
    plants = sum(int(row.values["count"]) for row in read.rows if not row.carries_on)
    lines = [f"{name}{sheet}: {counted(len(read.rows), 'row')}, {counted(plants, 'plant')}", ""]
    lines += [fill(line, indent="  ", hanging="    ") for line in read.told]
    if read.rows:
        lines += ["", _rows(read)]
    if len(read.rows) > MOST_SHOWN:
        lines.append(f"  ... and {counted(len(read.rows) - MOST_SHOWN, 'row')} more")
    if read.notes:
        notes = [f"row {row.number}: {words}" for row, words in read.notes]
        shown = notes[:MOST_SHOWN]
        lines += ["", *(fill(line, indent="  ", hanging="    ") for line in shown)]
        if len(notes) > len(shown):
            lines.append(f"  ... and {counted(len(notes) - len(shown), 'more row')} like these")
    return "\n".join(lines)


def _rows(read: ListRead) -> str:
    """Return the first rows as a table of 80 columns; what has no room is named below it."""
    keys, hidden = list(read.keys), []
    text = _table(read, keys)
    while max(map(len, text.split("\n"))) > WIDTH and len(keys) > 1:
        hidden.append(max(keys, key=_place_of))
        keys.remove(hidden[-1])
        text = _table(read, keys)
    more = f"\n  (read too, with no room here: {', '.join(reversed(hidden))})" if hidden else ""
    return text + more


def _place_of(key: str) -> int:
    return _FIRST.index(key) if key in _FIRST else len(_FIRST)


def _table(read: ListRead, keys: Sequence[str]) -> str:
    rows = [
        [str(row.row.number), *(clip(str(row.values.get(key, "")), _WIDEST) for key in keys)]
        for row in read.rows[:MOST_SHOWN]
    ]
    sides = "r" + "".join("r" if key == "count" else "l" for key in keys)
    return fitted_table(["row", *(key.replace("_", " ") for key in keys)], rows, sides, width=78)
