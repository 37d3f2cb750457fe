"""The lifts of a session in a few lines: what is heavy, its index, and what to do instead."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.pot.carrying import PotLift, lift_of_pot, reach_width_m
from rootroom.sheets.plain import tidy
from rootroom.units import show_mass

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import Line, Session

MOST = 3
"""Lines on a sheet; the heaviest are named, the others are lighter lifts of the same kind."""


def session_lifts(plan: Plan, session: Session) -> list[tuple[Line, PotLift]]:
    """Return the lift of every line whose pots' weight and size are known, the heaviest first.

    Each pot is lifted once, from the ground to a bench, as often as the line's time on the clock
    has it, for as long as the line takes (8 hours at most).
    """
    boxes = _boxes(plan)
    found = []
    for line in session.work:
        box = boxes.get(line.new or "")
        lift = None if box is None else _lift(plan, line, box)
        if lift is not None:
            found.append((line, lift))
    return sorted(found, key=lambda one: -one[1].weight_kg)


def _boxes(plan: Plan) -> dict[str, Container]:
    """Return every container that a move of the plan fills, by its text."""
    return {
        move.new.text: move.new
        for kind in plan.plants.kinds
        for move in kind.moves
        if move.new is not None and move.new.holds
    }


def _lift(plan: Plan, line: Line, box: Container) -> PotLift | None:
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
        text = f"{tidy(line.new or line.name)}, {show_mass(lift.weight_kg, system)}: {lift.text}"
        lines.append(f"{text}; {' or '.join(lift.advice)}" if advice else text)
    return list(dict.fromkeys(lines))[:MOST]
