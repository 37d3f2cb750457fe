"""The lines of work of a session as rows of a view: joined, added up, measured by the pot."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from attrs import evolve

from rootroom.counts import counted
from rootroom.pot.lime_and_compost import above_published
from rootroom.sessions.session import BedLine, Line, PlantLine
from rootroom.sheets.layout import halves
from rootroom.sheets.views.model import Event, Ticked, WorkRow
from rootroom.units import Amount, Rate, show_level, show_minutes, show_rate

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.sheets.writing import Writer
    from rootroom.units import System

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
MOST_OFF = 0.1
"""A pot is measured in quarter scoops where they are off by no more than this share."""


def work_rows(plan: Plan, lines: Sequence[Line], writer: Writer) -> list[WorkRow]:
    """Return the lines of a long day with the rows of each move together, each with its name."""
    found = []
    for ones in alike(lines):
        row = work_row(plan, sum_of(ones), writer)
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
    marks = marks_text(evolve(line, place=""), writer)
    return f"{text} ({marks})" if marks else text


def work_row(plan: Plan, line: Line, writer: Writer) -> WorkRow:
    """Return one line of work as a row."""
    row = WorkRow(
        kind=line.kind,
        start=writer.hour(line.start) if line.minutes or line.kind != "water in" else "",
        minutes=show_minutes(line.minutes) if line.minutes else "",
        number=str(line.count or ""),
        name=writer.name(line.name),
        what=writer.name(line.name),
        people=f"{line.people} people" if line.people > 1 else "",
        record=recorded_event(line),
    )
    if isinstance(line, PlantLine):
        return _plant_row(row, line, writer)
    if isinstance(line, BedLine):
        return _bed_row(row, line, writer)
    return _step_row(plan, row, line, writer)


def _step_row(plan: Plan, row: WorkRow, line: Line, writer: Writer) -> WorkRow:
    """Return the row of a step of no plants or beds; what is mixed into bags may be too much."""
    said = {"wash": f"Wash {row.what}", "mix in": f"Mix into the {row.what}"}
    said |= {"lay out": "Lay out the pots"}
    said |= {} if line.minutes else {"water in": "Water in, with each move"}
    plain = line.kind in ("set up", "water in", "clean up")
    mix = plan.mixes.get(line.name)
    above = above_published(plan, mix) if mix is not None and line.kind == "mix in" else {}
    return evolve(
        row,
        name=said.get(line.kind, line.kind.capitalize()),
        what="" if plain else row.what,
        way="; ".join(f"{one} for {writer.volume(line.mix_l)}" for one in _given(line, writer)),
        adds=[f"{writer.name(of)}: {above_text(x, writer.system)}" for of, x in above.items()],
    )


def above_text(kg_per_m3: float, system: System) -> str:
    """Return that something is given at more than its published rate [kg/m3]."""
    rate = show_rate(Rate(kg_per_m3 / 1000, None), system)
    return f"more than the {rate} that is published: see its label first"


def _bed_row(row: WorkRow, line: BedLine, writer: Writer) -> WorkRow:
    parts = [f"layer {line.layer}: {writer.name(line.of)}"]
    if line.share < 0.999:
        parts.append(f"{writer.share(line.share)} of it")
    if line.lifts > 1:
        parts.append(f"in {line.lifts} lifts")
    laid = [f"{writer.volume(x)} {writer.name(name)}" for name, x in line.laid_l.items()]
    laid_in = f"lay in {', '.join([*laid, *_given(line, writer)])} and fork through"
    return evolve(
        row,
        way=", ".join(parts),
        amount=writer.volume(line.mix_l) if line.mix_l else "",
        adds=[laid_in] if laid else [],
    )


def _plant_row(row: WorkRow, line: PlantLine, writer: Writer) -> WorkRow:
    boxes = line.pots or line.count
    mix = writer.name(line.mix) if line.mix else ""
    shared = dividing_text(line)
    several = line.pots and line.pots != line.count and line.per_pot <= 1
    counts = [counted(line.count, "plant"), shared, counted(line.pots, "pot") if several else ""]
    return evolve(
        row,
        way=_way(line, writer),
        counted=", ".join(text for text in counts if text),
        shared=shared,
        mix=mix,
        pot=pot_text(line, writer) if mix else "",
        pot_exact=writer.volume(line.pot_l) if mix and in_scoops(line) else "",
        adds=[f"{one} a pot" for one in _given(line, writer)],
        checkpoint=_checkpoint(line),
        boxes=boxes if boxes <= MOST_BOXES else 0,
        tally=f"of {writer.number(boxes)} done" if boxes > MOST_BOXES else "",
        weight=_weight(line, writer),
        marks=marks_text(line, writer),
        sorts=_sort_rows(line, writer),
    )


def _given(line: Line, writer: Writer) -> list[str]:
    return [f"{writer.given(of, amount)} {writer.name(of)}" for of, amount in line.add.items()]


def _way(line: PlantLine, writer: Writer) -> str:
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


def _checkpoint(line: PlantLine) -> str:
    if line.checkpoint is None:
        return ""
    scoops = line.checkpoint.scoops
    return f"after {line.checkpoint.pots} pots: {halves(scoops)} scoop{'s' * (scoops > 1)} used"


def _weight(line: PlantLine, writer: Writer) -> str:
    if line.weight_kg is None or line.weight_kg < LIGHT_KG:
        return ""
    several = "a pack" if (line.new or "").endswith("-pack") else "a tray"
    return f"about {writer.mass(line.weight_kg)} {several if line.in_trays else 'each'}, wet"


def dividing_text(line: PlantLine) -> str:
    """Return how plants are divided and how many share a pot, nothing where each stays alone."""
    texts = [f"divide {-(-line.count // line.into)} in {line.into} each"] if line.into > 1 else []
    if line.per_pot > 1:
        texts += [f"{line.per_pot} to a pot", counted(line.pots, "pot")]
    return ", ".join(texts)


def pot_text(line: PlantLine, writer: Writer) -> str:
    """Return the mix of one pot as one measures it: quarter scoops, or a volume.

    A quarter scoop that would be off by more than a tenth is not what the pot needs.
    """
    if not line.pot_l:
        return ""
    if in_scoops(line):
        return f"{halves(line.pot_scoops, 4)} scoop{'s' if line.pot_scoops >= 1.125 else ''}"
    return writer.volume(line.pot_l)


def in_scoops(line: PlantLine) -> bool:
    """Whether whole quarters of a scoop come close enough to the mix of one pot."""
    quarters = round(line.pot_scoops * 4) / 4
    return quarters > 0 and abs(quarters - line.pot_scoops) <= MOST_OFF * line.pot_scoops


def marks_text(line: PlantLine, writer: Writer) -> str:
    """Return where plants stand, their tag, and how many of which sort; nothing for no marks."""
    tag = f"tag {line.tag}" if line.tag else ""
    return writer.marks("; ".join(one for one in (line.place, tag, sorts_text(line)) if one))


def sorts_text(line: PlantLine) -> str:
    """Return `6 Early black, 2 Old gold`."""
    return ", ".join(f"{many} {sort}" for sort, many in line.sorts.items())


def _sort_rows(line: PlantLine, writer: Writer) -> list[Ticked]:
    """Return a row for each sort of several, and one for what belongs to none."""
    if len(line.sorts) < 2:
        return []
    rest = line.count - sum(line.sorts.values())
    rows = [
        Ticked(f"{writer.number(many)} {writer.name(sort)}", recorded_event(line, sort, many))
        for sort, many in line.sorts.items()
    ]
    other = Ticked(f"{writer.number(rest)} of no sort", recorded_event(line, count=rest))
    return [*rows, *([other] if rest else [])]


def recorded_event(line: Line, sort: str | None = None, count: int | None = None) -> Event:
    """Return what the record calls this line (or one sort of it), in names of the plan."""
    if isinstance(line, PlantLine):
        told: dict[str, Any] = {"kind": "moved", "plant": line.name, "move": line.move}
        told |= {} if sort is None else {"sort": sort}
        return {**told, "planned": line.count if count is None else count}
    if isinstance(line, BedLine):
        share = round(line.share, 6)
        return {"kind": "filled", "bed": line.name, "layer": line.layer, "planned": share}
    return {}


def joined_lines(lines: Iterable[Line]) -> list[Line]:
    """Return the lines, portions of one bed layer that follow each other made one line."""
    found: list[Line] = []
    for line in lines:
        last = found[-1] if found else None
        if (
            isinstance(line, BedLine)
            and isinstance(last, BedLine)
            and (line.name, line.layer) == (last.name, last.layer)
        ):
            found[-1] = evolve(
                last,
                count=last.count + line.count,
                minutes=last.minutes + line.minutes,
                mix_l=last.mix_l + line.mix_l,
                share=last.share + line.share,
                lifts=last.lifts + line.lifts,
                laid_l={name: x + line.laid_l.get(name, 0.0) for name, x in last.laid_l.items()},
                add={name: _sum(x, line.add[name]) for name, x in last.add.items()},
            )
        else:
            found.append(line)
    return found


def _sum(one: Amount, other: Amount) -> Amount:
    return Amount(
        None if one.kg is None else one.kg + (other.kg or 0.0),
        None if one.l is None else one.l + (other.l or 0.0),
    )


def alike(lines: Iterable[Line]) -> list[list[Line]]:
    """Return the lines in groups: rows of plants that make the same move, each other line alone."""
    found: dict[object, list[Line]] = {}
    for number, line in enumerate(lines):
        same = (
            (line.kind, line.old, line.new, line.mix, line.pot_l, line.into, line.per_pot,
             line.people, tuple(line.add.items()), line.place, line.filled)
            if isinstance(line, PlantLine) else number
        )  # fmt: skip
        found.setdefault(same, []).append(line)
    return list(found.values())


def sum_of(ones: Sequence[Line]) -> Line:
    """Return one line for all of a group; a line alone as it is."""
    first, moves = ones[0], [line for line in ones if isinstance(line, PlantLine)]
    if len(ones) == 1 or not isinstance(first, PlantLine):
        return first
    return evolve(
        first,
        name=f"{len(ones)} rows",
        count=sum(line.count for line in moves),
        minutes=sum(line.minutes for line in moves),
        pots=sum(line.pots for line in moves),
        mix_l=sum(line.mix_l for line in moves),
        checkpoint=None,
        sorts={},
        tag="",
    )
