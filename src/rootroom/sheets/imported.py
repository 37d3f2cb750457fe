"""What was understood of a list of plants, on the terminal."""

from __future__ import annotations

from pathlib import Path

from rootroom.plan.lists.model import ListRead
from rootroom.sheets.layout import clip, counted, fill, fitted_table

MOST_SHOWN = 12
_WIDEST = 24


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
    keys = read.keys
    rows = [
        [str(row.row.number), *(clip(str(row.values.get(key, "")), _WIDEST) for key in keys)]
        for row in read.rows[:MOST_SHOWN]
    ]
    sides = "r" + "".join("r" if key == "count" else "l" for key in keys)
    return fitted_table(["row", *(key.replace("_", " ") for key in keys)], rows, sides, width=78)
