"""The lifts of a session's pots, from the ground to a bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.pot.lifting import PotLift, lift_of_pot, reach_width_m

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.plan.model import Plan
    from rootroom.sessions.session import PlantLine, Session


def session_lifts(plan: Plan, session: Session) -> list[tuple[PlantLine, PotLift]]:
    """Return the lift of every line whose pots' weight and size are known, the heaviest first.

    Each pot is lifted once, from the ground to a bench, as often as the line's time on the clock
    has it, for as long as the line takes (8 hours at most).
    """
    moves = (move.stands_in for kind in plan.plants.kinds for move in kind.moves)
    boxes = {box.text: box for box in moves if box is not None and box.holds}
    found = []
    for line in session.plant_lines:
        box = None if line.kind == "fill up" else boxes.get(line.stands_in or "")
        lift = None if box is None else _lift(plan, line, box)
        if lift is not None:
            found.append((line, lift))
    return sorted(found, key=lambda one: -one[1].weight_kg)


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
