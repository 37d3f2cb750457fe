"""The lines of work of a session as rows of a view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from attrs import evolve

from rootroom.counts import counted
from rootroom.sessions.session import BedLine, Line, PlantLine
from rootroom.sheets.layout import halves
from rootroom.sheets.views.model import Event, SortRow, WorkRow
from rootroom.sheets.work import (
    alike,
    dividing_text,
    in_scoops,
    laid_in_text,
    marks_text,
    pot_text,
    sum_of,
)
from rootroom.units import show_level, show_minutes

if TYPE_CHECKING:
    from rootroom.sheets.writing import Writer

MOST_BOXES = 20
"""A box a pot up to so many; more are tallied."""
MOST_LINES = 60
"""Of more lines of work than these, paper shows rows that make the same move together."""
MOST_NAMES = 400
"""Names of rows that make one move on one sheet."""
VERBS = {
    "move": "pot up", "refresh": "refresh", "fill up": "fill up", "plant out": "plant out",
    "sell": "ready to sell", "bring in": "bring in", "set out": "set out", "fill bed": "fill",
}  # fmt: skip
"""What a kind of work is called in the title of a session."""
LIGHT_KG = 5.0
"""A pot or tray lighter than this has no weight beside it [kg]; common practice, no source."""
HEAVY = "lifting"
"""The caution that says how a heavy pot is moved; beside it no lift says so again."""


def work_rows(lines: Sequence[Line], writer: Writer) -> list[WorkRow]:
    """Return the lines of a long day with the rows of each move together, each with its name."""
    found = []
    for ones in alike(lines):
        row = work_row(sum_of(ones), writer)
        if len(ones) > 1:
            moves = [one for one in ones[:MOST_NAMES] if isinstance(one, PlantLine)]
            names = [_name_in_group(one, writer) for one in moves]
            rest = len(ones) - len(names)
            more = f"and {counted(rest, 'more row')} (tables/work.csv has them all)" if rest else ""
            row = evolve(row, names=names, more_names=more, boxes=0, tally="")
        found.append(row)
    return found


def _name_in_group(line: PlantLine, writer: Writer) -> str:
    """Return `18 × Fig (6 Early black, 12 Old gold; tag F)`; the place is that of the group."""
    text = writer.name(line.name)
    if line.count > 1:
        text = f"{writer.number(line.count)} × {text}"
    marks = writer.marks(marks_text(evolve(line, place="")))
    return f"{text} ({marks})" if marks else text


def _sort_rows(line: PlantLine, writer: Writer) -> list[SortRow]:
    """Return a row for each sort of several, and one for what belongs to none."""
    if len(line.sorts) < 2:
        return []
    rest = line.count - sum(line.sorts.values())
    rows = [
        SortRow(f"{writer.number(many)} {writer.name(sort)}", recorded_event(line, sort, many))
        for sort, many in line.sorts.items()
    ]
    other = SortRow(f"{writer.number(rest)} of no sort", {**recorded_event(line), "planned": rest})
    return [*rows, *([other] if rest else [])]


def work_row(line: Line, writer: Writer) -> WorkRow:
    """Return one line of work as a row."""
    name = writer.name(line.name)
    mix = writer.name(line.mix) if line.mix else ""
    bed, moved = isinstance(line, BedLine), line if isinstance(line, PlantLine) else None
    boxes = 0 if moved is None else moved.pots or moved.count
    scooped = moved if mix and moved is not None and in_scoops(moved) else None
    return WorkRow(kind=line.kind,
start="" if line.kind == "water in" and not line.minutes else writer.hour(line.start),
minutes=show_minutes(line.minutes) if line.minutes else "",
name=name if moved or bed else _said(line, name),
way=_way(line, writer),
counted=_count_text(moved, writer) if moved else "",
mix=mix,
pot="" if not mix or bed else pot_text(line, writer.system),
pot_exact=writer.volume(scooped.pot_l) if scooped else "",
amount=writer.volume(line.mix_l) if bed and line.mix_l else "",
adds=[
            f"and {writer.given(what, amount)} {writer.name(what)} each"
            for what, amount in (line.add.items() if moved else ())
        ],
checkpoint=_checkpoint(moved) if moved else "",
boxes=boxes if boxes <= MOST_BOXES else 0,
tally=f"of {writer.number(boxes)} done" if boxes > MOST_BOXES else "",
weight=_weight(moved, writer) if moved else "",
people=f"{line.people} people" if line.people > 1 else "",
names=[],
more_names="",
record=recorded_event(line),
marks=writer.marks(marks_text(moved)) if moved else "",
sorts=_sort_rows(moved, writer) if moved else [],)  # fmt: skip


def _weight(line: PlantLine, writer: Writer) -> str:
    if line.weight_kg is None or line.weight_kg < LIGHT_KG:
        return ""
    several = "a pack" if (line.new or "").endswith("-pack") else "a tray"
    return f"about {writer.mass(line.weight_kg)} {several if line.in_trays else 'each'}, wet"


def _said(line: Line, name: str) -> str:
    """Return what a line of no plants or beds is called."""
    if line.kind == "wash":
        return f"Wash {name}"
    if line.kind == "mix in":
        return f"Mix into the {name}"
    if line.kind == "lay out":
        return "Lay out the pots"
    return "Water in, with each move" if line.kind == "water in" else line.kind.capitalize()


def _way(line: Line, writer: Writer) -> str:
    if line.kind == "mix in":
        return "; ".join(
            (f"{writer.given(what, amount)} {writer.name(what)} for {writer.volume(line.mix_l)}")
            for what, amount in line.add.items()
        )
    if isinstance(line, BedLine):
        parts = [f"layer {line.layer}: {writer.name(line.of)}"]
        if line.share < 0.999:
            parts.append(f"{writer.share(line.share)} of it")
        if line.lifts > 1:
            parts.append(f"in {line.lifts} lifts")
        if laid := laid_in_text(line, writer.system, writer.spoons):
            parts.append(writer.name(laid))
        return ", ".join(parts)
    if not isinstance(line, PlantLine):
        return ""
    old, new = writer.name(line.old), writer.name(line.new or "")
    if line.filled < 1 or line.begun:
        new = f"{new}, {show_level(line.filled)}"
    ways = {
        "fill up": f"fill up the {new}",
        "refresh": f"refresh in the {old}",
        "plant out": f"plant out, {old} to {new}",
        "bring in": f"bring in under cover, in {old}",
        "set out": f"set out, in {old}",
        "sell": f"to be sold, in {old}",
    }
    return ways.get(line.kind, f"{old} to {new}")


def _count_text(line: PlantLine, writer: Writer) -> str:
    """Return `18 plants`, and the pots where they are not as many."""
    text = counted(line.count, "plant")
    divided = dividing_text(line)
    if divided:
        text += ", " + divided
    if line.pots and line.pots != line.count and line.per_pot <= 1:
        text += ", " + counted(line.pots, "pot")
    return text


def _checkpoint(line: PlantLine) -> str:
    if line.checkpoint is None:
        return ""
    scoops = line.checkpoint.scoops
    return f"after {line.checkpoint.pots} pots: {halves(scoops)} scoop{'s' * (scoops > 1)} used"


def recorded_event(line: Line, sort: str | None = None, count: int | None = None) -> Event:
    """Return what the record calls this line (or one sort of it), in names of the plan."""
    if isinstance(line, PlantLine):
        told: dict[str, Any] = {"kind": "moved", "plant": line.name, "move": line.move}
        told |= {} if sort is None else {"sort": sort}
        return {**told, "planned": line.count if count is None else count}
    if isinstance(line, BedLine):
        return {
            "kind": "filled", "bed": line.name, "layer": line.layer, "planned": round(line.share, 6)
        }  # fmt: skip
    return {}
