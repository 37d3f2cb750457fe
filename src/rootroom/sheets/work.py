"""The lines of a session's work: joined, added up, measured by the pot, as a table; its lifts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.counts import counted
from rootroom.pot.lifting import PotLift, lift_of_pot, reach_width_m
from rootroom.sessions.session import BedLine, Line, PlantLine
from rootroom.sheets.layout import clip, fill, halves, hour, ruled_table, tidy
from rootroom.sheets.money import addition_text
from rootroom.units import Amount, show_level, show_mass, show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Unit
    from rootroom.containers.container import Container
    from rootroom.demand.recipes import Spoons
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Session
    from rootroom.units import System

WORK_WIDTH, WAY_WIDTH = 25, 28

MOST_OFF = 0.1
"""A pot is measured in quarter scoops where they are off by no more than this share."""

MOST_LINES = 40
"""Lines of work shown one by one; a nursery's day has thousands."""


MOST = 3
"""Lines on a sheet; the heaviest are named, the others are lighter lifts of the same kind."""


def work_text(session: Session, system: System, spoons: Spoons | None = None) -> str:
    """Return the ordered lines of work with their times, as a table."""
    given = spoons or {}
    every = joined_lines(session.work)
    added = len(every) > MOST_LINES
    work = added_up(every) if added else every
    hidden, work = len(work) - MOST_LINES, work[:MOST_LINES]
    lines = [_table(session, work, system, given)]
    if hidden > 0:
        lines.append(f"and {counted(hidden, 'more line')} (sessions --json has them all)")
    if added:
        lines.append(
            "Rows that make the same move are added together; sessions --json has every row."
        )
    told = _told_below(work, system, given)
    return "\n".join([*lines, *(fill(text, indent="  ", hanging="    ") for text in told)])


def _table(session: Session, work: Sequence[Line], system: System, spoons: Spoons) -> str:
    heads = ["time", "work", "count", "from and to", "mix a pot"]
    rows = [
        [
            _time(line),
            _kind(line),
            _count(line, session),
            _way(line, system, spoons),
            pot_text(line, system),
        ]
        for line in work
    ]
    return ruled_table(heads, rows, "llrll")


def _told_below(work: Sequence[Line], system: System, spoons: Spoons) -> Iterable[str]:
    """Return what no column has room for: marks, what is laid in or shared, additions, checks."""
    moved = [line for line in work if isinstance(line, PlantLine)]
    marks = [f"{clip(line.name, 30)}: {tidy(text)}" for line in moved if (text := marks_text(line))]
    laid = [
        f"{clip(line.name, 30)}: {text}"
        for line in work
        if isinstance(line, BedLine) and (text := laid_in_text(line, system, spoons))
    ]
    shared = [f"{clip(line.name, 30)}: {text}" for line in moved if (text := dividing_text(line))]
    each = [
        f"{clip(line.name, 30)}: {_given(name, amount, spoons, system)} {tidy(name)} a pot"
        for line in moved
        for name, amount in line.add.items()
    ]
    checks = [
        f"after {line.checkpoint.pots} pots of {clip(line.name, 30)} you should have used "
        f"{_scoops(line.checkpoint.scoops)} of {clip(line.mix or '', 20)}"
        for line in moved
        if line.checkpoint is not None
    ]
    return (*marks, *laid, *shared, *each, *checks)


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


def laid_in_text(line: BedLine, system: System, spoons: Spoons) -> str:
    """Return what is laid into a bed and turned under there; empty for a line that is not so."""
    if not line.laid_l:
        return ""
    parts = [f"{show_volume(x, system)} {tidy(name)}" for name, x in line.laid_l.items()]
    given = [f"{_given(name, x, spoons, system)} {tidy(name)}" for name, x in line.add.items()]
    return f"lay in {', '.join([*parts, *given])} and fork through"


def added_up(lines: Iterable[Line]) -> list[Line]:
    """Return the lines, rows of plants that make the same move made one line in the first's place.

    The name of such a line says how many rows it stands for.
    """
    return [sum_of(ones) for ones in alike(lines)]


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


def dividing_text(line: PlantLine) -> str:
    """Return how plants are divided and how many share a pot, nothing where each stays alone."""
    texts = [f"divide {-(-line.count // line.into)} in {line.into} each"] if line.into > 1 else []
    if line.per_pot > 1:
        texts.append(f"{line.per_pot} to a pot")
        texts.append(counted(line.pots, "pot"))
    return ", ".join(texts)


def marks_text(line: PlantLine) -> str:
    """Return where plants stand, their tag, and how many of which sort; nothing for no marks."""
    tag = f"tag {line.tag}" if line.tag else ""
    return "; ".join(part for part in (line.place, tag, sorts_text(line)) if part)


def sorts_text(line: PlantLine) -> str:
    """Return `6 Early black, 2 Old gold`."""
    return ", ".join(f"{many} {sort}" for sort, many in line.sorts.items())


def _time(line: Line) -> str:
    """Return when a line starts; watering in has no time of its own, it goes with each move."""
    return "" if line.kind == "water in" and not line.minutes else hour(line.start)


def _count(line: Line, session: Session) -> str:
    if line.kind == "blend":
        counts = (x.full + (x.units_last > 0) for x in session.batches if x.mix == line.name)
        return next(map(str, counts), "")
    return str(line.count or "")


def _scoops(number: float) -> str:
    return f"{halves(number)} scoop{'s' if number > 1 else ''}"


def _kind(line: Line) -> str:
    if line.kind == "water in" and not line.minutes:
        return "water in, with each move"
    if line.kind in ("set up", "clean up", "water in"):
        return line.kind
    return clip(f"{line.kind}: {tidy(line.name)}", WORK_WIDTH)


def _way(line: Line, system: System, spoons: Spoons) -> str:
    if isinstance(line, BedLine):
        lifts = f", {line.lifts} lifts" if line.lifts > 1 else ""
        part = "" if line.share > 0.999 else f", {line.share:.0%}"
        return clip(line.of, WAY_WIDTH - len(lifts) - len(part)) + part + lifts
    if line.kind == "mix in":
        return "\n".join(
            clip(f"{_given(name, amount, spoons, system)} {tidy(name)}", WAY_WIDTH)
            for name, amount in line.add.items()
        )
    if not isinstance(line, PlantLine):
        return ""
    if line.kind == "refresh":
        return clip(line.old, WAY_WIDTH)
    level = show_level(line.filled)
    if line.kind == "fill up":
        return f"{clip(line.old, WAY_WIDTH - len(level) - 2)}, {level}"
    old, new = tidy(line.old), tidy(line.new or "")
    new += f", {level}" if line.filled < 1 else ""
    if len(old) + len(new) + len(" to ") > WAY_WIDTH:  # names are read in full, on two lines
        return f"{clip(old, WAY_WIDTH)}\n  to {clip(new, WAY_WIDTH - 5)}"
    return f"{old} to {new}"


def _given(name: str, amount: Amount, spoons: Spoons, system: System) -> str:
    unit: Unit = "l" if amount.kg is None else "kg"
    return addition_text(name, amount.kg or amount.l or 0.0, unit, spoons, system)


def pot_text(line: Line, system: System) -> str:
    """Return the mix of one pot as one measures it: quarter scoops, or a volume.

    A quarter scoop that would be off by more than a tenth is not what the pot needs.
    """
    if isinstance(line, BedLine) or line.kind == "mix in":
        return show_volume(line.mix_l, system) if line.mix_l else ""
    if not isinstance(line, PlantLine) or not line.pot_l:
        return ""
    if in_scoops(line):
        return f"{halves(line.pot_scoops, 4)} scoop{'s' if line.pot_scoops >= 1.125 else ''}"
    return show_volume(line.pot_l, system)


def in_scoops(line: PlantLine) -> bool:
    """Whether whole quarters of a scoop come close enough to the mix of one pot."""
    quarters = round(line.pot_scoops * 4) / 4
    return quarters > 0 and abs(quarters - line.pot_scoops) <= MOST_OFF * line.pot_scoops


def session_lifts(plan: Plan, session: Session) -> list[tuple[PlantLine, PotLift]]:
    """Return the lift of every line whose pots' weight and size are known, the heaviest first.

    Each pot is lifted once, from the ground to a bench, as often as the line's time on the clock
    has it, for as long as the line takes (8 hours at most).
    """
    boxes = _boxes(plan)
    found = []
    for line in session.plant_lines:
        box = None if line.kind == "fill up" else boxes.get(line.stands_in or "")
        lift = None if box is None else _lift(plan, line, box)
        if lift is not None:
            found.append((line, lift))
    return sorted(found, key=lambda one: -one[1].weight_kg)


def _boxes(plan: Plan) -> dict[str, Container]:
    """Return every container that plants of the plan are moved or carried in, by its text."""
    boxes = (move.stands_in for kind in plan.plants.kinds for move in kind.moves)
    return {box.text: box for box in boxes if box is not None and box.holds}


def _lift(plan: Plan, line: PlantLine, box: Container) -> PotLift | None:
    width, height = reach_width_m(box), box.height_m
    if not line.weight_kg or not line.pots or width is None or height is None:
        return None
    clock = max(line.clock_min, 1.0)
    return lift_of_pot(
        weight_kg=line.weight_kg,
        width_m=width,
        height_m=height,
        system=plan.garden.system,
        per_min=line.pots / box.cells / clock,
        hours=min(clock / 60, 8.0),
        people=line.people,
        refreshed=line.kind == "refresh",
    )


def heavy_lifts(plan: Plan, session: Session, *, advice: bool = True) -> list[str]:
    """Return a line for each of the heaviest lifts above the goal of the equation, else nothing.

    With `advice` a line says what to do instead.
    """
    system, lines = plan.garden.system, []
    for line, lift in session_lifts(plan, session):
        if not lift.advice:
            continue
        text = (
            f"{tidy(line.stands_in or line.name)}, {show_mass(lift.weight_kg, system)}: {lift.text}"
        )
        lines.append(f"{text}; {' or '.join(lift.advice)}" if advice else text)
    return list(dict.fromkeys(lines))[:MOST]
