"""What was read of a plan or a list of plants, and what is taken for granted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rootroom.counts import counted, some_of
from rootroom.plan.lists.model import ListRead
from rootroom.sheets.layout import WIDTH, clip, fill, fitted_table, item, listed, tidy
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Plan
    from rootroom.units import System


def check_text(plan: Plan, *, width: int = WIDTH) -> str:
    """Return what the plan holds, and a line for each thing that it leaves to the program."""
    plants, beds = len(plan.plants), len(plan.beds)
    counts = [
        f"{plants:,} plant group{'s' if plants != 1 else ''} ({sum(plan.plants.counts):,} plants)",
        f"{beds:,} bed{'s' if beds != 1 else ''}",
    ]
    pots, litres, memory = _pots(plan)
    if pots:
        volume = show_volume(litres, plan.garden.system)
        counts.append(f"{pots:,} pots to fill, {volume} to their fill lines")
    head = fill(f"{tidy(plan.file)}: fine, {', '.join(counts)}", hanging="  ", width=width)
    taken = (item(text, width=width) for text in _taken(plan, memory))
    return "\n".join(filter(None, [head, listed("Taken for granted:", taken)]))


def _pots(plan: Plan) -> tuple[int, float, list[str]]:
    """Return the pots that the moves fill, their likely fill [L], and those known from memory."""
    pots, litres = 0, 0.0
    memory: dict[str, None] = {}
    for move, plants, groups in plan.plants.moves_alike():
        if move.to is None or not move.to.holds:
            continue
        filled = move.containers(plants) * groups
        pots += filled
        litres += filled * move.to.cells * move.to.fill_l.likely
        if move.to.grade == "M":
            memory[move.to.text] = None
    return pots, litres, list(memory)


def _taken(plan: Plan, memory: list[str]) -> list[str]:
    lines = []
    if memory:
        lines.append(
            f"what {_named(memory)} holds is from memory: measure one, and write its `volume` "
            "under [containers]"
        )
    lines += [f"`{clip(one.text, 24)}`: {one.note}" for one in plan.containers.values() if one.note]
    flat = [
        f"{one.of} {one.pack.text}"
        for one in plan.supplies
        if one.pack is not None
        and one.pack.litres is not None
        and one.swells is None
        and one.of in plan.ingredients
        and plan.ingredients[one.of].swells is not None
    ]
    if flat:
        lines.append(f"{_named(flat)} does not swell: write `swells` if it is a pressed bale")
    lines += pressed_lines(plan.supplies, plan.garden.system)
    lines += _without_room(plan)
    if len(plan.plants) and not plan.minutes:
        table = "a nursery's" if plan.work.pace == "nursery" else "the shipped"
        lines.append(f"how long work takes is {table} table: time one pot, and write [minutes]")
    if (plan.mixes or plan.beds) and not plan.suppliers:
        lines.append("no supplier charges a trip, a delivery or tax: write [suppliers] if one does")
    return lines


def _without_room(plan: Plan) -> list[str]:
    """Return a line for containers in a place with an area whose width nobody knows."""
    boxes = {
        box.text
        for group in plan.plants
        if group.marks.place in plan.places
        for box in (group.kind.now, *(move.new for move in group.kind.moves))
        if box is not None and box.holds and box.footprint_m2 is None
    }
    if not boxes:
        return []
    return [
        f"how wide {_named(sorted(boxes))} is nobody knows, so its place counts it as nothing: "
        "write its `round`, `square` or `box` under [containers]"
    ]


def pressed_lines(supplies: Iterable[Supply], system: System) -> list[str]:
    """Return a line for each key of a bale or a block that was left out, naming the packs."""
    packs: dict[str, list[str]] = {"swells": [], "yields": []}
    for one in supplies:
        if one.assumed and one.pack is not None and one.loose_l is not None:
            low, high = (show_volume(x, system) for x in (one.loose_l.low, one.loose_l.high))
            packs[one.assumed].append(
                f"`{clip(one.of, 24)} {clip(one.pack.text, 16)}` ({low} to {high} loose)"
            )
    ways = {
        "swells": "counts as a pressed bale: write `swells = 1` if it is loose",
        "yields": "counts as a pressed block, soaked: write `yields` once you measured one",
    }
    return [
        f"{some_of(dict.fromkeys(packs[key]))} {text}" for key, text in ways.items() if packs[key]
    ]


def _named(names: list[str]) -> str:
    return some_of(dict.fromkeys(f"`{clip(name, 24)}`" for name in names))


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
    lines += map(item, read.told)
    if read.rows:
        lines += ["", _rows(read)]
    if len(read.rows) > MOST_SHOWN:
        lines.append(f"  ... and {counted(len(read.rows) - MOST_SHOWN, 'row')} more")
    if read.notes:
        notes = [f"row {row.number}: {words}" for row, words in read.notes]
        shown = notes[:MOST_SHOWN]
        lines += ["", *map(item, shown)]
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
