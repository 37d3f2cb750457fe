"""What to do the evening before a session, and what to do when it is over.

The evening's work lies outside the minutes of the session.
Water the plants that move (a wet ball holds together and comes out whole), soak coir and moisten
peat so that both are ready and do not dust, wash the pots that serve again, fetch what is needed
for the first time, enough of it for the whole season, as the shopping list has it (common practice,
no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from attrs import evolve

from rootroom.catalogue.minutes import minutes
from rootroom.counts import ceil_count
from rootroom.mixing.blend import water_for
from rootroom.sessions.session import (
    CARRIED,
    Batches,
    BedLine,
    Before,
    Bring,
    Line,
    PlantLine,
    Session,
)
from rootroom.sessions.timetable import Effort
from rootroom.sessions.totals import ContainerUse
from rootroom.tolerances import UNMEASURED

if TYPE_CHECKING:
    from rootroom.catalogue.minutes import Pace
    from rootroom.containers.container import Container
    from rootroom.plan.model import Plan

_WET: tuple[Literal["soak", "moisten"], ...] = ("soak", "moisten")

MOST_ROWS = 12
"""Groups that are named one by one when plants are watered; more are counted together."""

Good = tuple[str, str]
Unit = Literal["l", "kg", "pieces"]


def evening_before(
    plan: Plan,
    lines: Sequence[Line],
    batches: Sequence[Batches],
    used: ContainerUse,
    new_goods: Iterable[tuple[Good, float, Unit]],
    containers: Mapping[str, Container],
) -> tuple[Before, ...]:
    """Return the steps of the evening before, in the order in which they are best done.

    `new_goods` are goods that no session before needed, with their amount and its unit.
    """
    steps = []
    for (_, name), amount, unit in new_goods:
        pieces = round(amount) if unit == "pieces" else 0
        steps.append(Before("fetch", name, pieces, unit=unit, amount=amount))
    effort = Effort(plan)
    if not effort.wash_counts:  # else they were washed in the session that freed them
        for text, count in used.from_freed.items():
            took = effort.wash_min(containers[text], count)
            steps.append(
                Before("wash", text, count=count, minutes=took, unit="pieces", amount=count)
            )
    steps += _wetting(plan, batches, lines)
    steps += _watering(lines, containers, plan.work.pace)
    return tuple(steps)


def _wetting(plan: Plan, batches: Sequence[Batches], lines: Sequence[Line]) -> list[Before]:
    """Return what is soaked and moistened, each ingredient once; what is laid into beds as well."""
    steps = []
    laid = [one for line in lines if isinstance(line, BedLine) for one in line.laid_l.items()]
    wetted = [(loose, found) for part, loose in laid if (found := water_for(plan, part, loose))]
    for how in _WET:
        litres: dict[str, float] = {}
        water: dict[str, float] = {}
        for batch in batches:
            poured = batch.soak_l if how == "soak" else batch.moisten_l
            for part, amount in poured.items():
                water[part] = water.get(part, 0.0) + amount
                litres[part] = litres.get(part, 0.0) + batch.ingredients_l.get(part, 0.0)
        for loose, found in wetted:
            if found.how == how:
                water[found.of] = water.get(found.of, 0.0) + found.likely_l
                litres[found.of] = litres.get(found.of, 0.0) + loose
        for part, amount in water.items():
            took = minutes("moisten", litres[part], plan.work.pace).likely
            ingredient = plan.ingredients.get(part)
            if how == "soak" and ingredient is not None and ingredient.soak_l_per_kg is not None:
                took = minutes(
                    "soak", amount / ingredient.soak_l_per_kg.likely, plan.work.pace
                ).likely
            loose = litres[part]
            steps.append(
                Before(how, part, 0, loose, water_l=amount, minutes=took, unit="l", amount=loose)
            )
    return steps


def _watering(
    lines: Sequence[Line], containers: Mapping[str, Container], pace: Pace
) -> list[Before]:
    each_min = {
        text: minutes("water", box.fill_l.likely, pace).likely
        for text, box in containers.items()
        if box.holds
    }
    wet = [
        (line.name, count := ceil_count(line.count, line.into), count * each_min[line.old])
        for line in lines
        # Wet pots are heavier to carry than they need be.
        if isinstance(line, PlantLine) and line.kind not in ("sell", *CARRIED)
        if line.old in each_min
    ]
    if len(wet) > MOST_ROWS:
        total, took = sum(count for _, count, _ in wet), sum(one for _, _, one in wet)
        wet = [("plants to be moved", total, took)]
    return [
        Before("water", name, count, minutes=took, unit="plants", amount=count)
        for name, count, took in wet
    ]


def goods_of(bring: Bring) -> dict[Good, tuple[float, Unit]]:
    """Return every good of a session with its amount and unit, by kind and name."""
    goods: dict[Good, tuple[float, Unit]] = {}
    for name, count in bring.bought.items():
        goods["container", name] = (float(count), "pieces")
    for name, litres in bring.ready_l.items():
        goods["mix", name] = (litres, "l")
    for name, litres in bring.ingredients_l.items():
        goods["ingredient", name] = (litres, "l")
    for name, kg in bring.additions_kg.items():
        goods["addition", name] = (kg, "kg")
    for name, litres in bring.additions_l.items():
        goods["addition", name] = (litres, "l")
    return goods


def fetch_for_all(sessions: Sequence[Session], plan: Plan) -> tuple[Session, ...]:
    """Return the sessions, each fetching what it needs first for itself and for all later ones.

    What the grower has is not fetched.
    """
    total: dict[tuple[str, str], float] = {}
    for session in sessions:
        for (_, name), (amount, unit) in goods_of(session.bring).items():
            total[name, unit] = total.get((name, unit), 0.0) + amount
    for good in total:
        total[good] -= _there(plan, *good)
    return tuple(
        evolve(
            session,
            before=tuple(
                _of_amount(step, total[step.name, step.unit]) if step.kind == "fetch" else step
                for step in session.before
                if step.kind != "fetch" or total[step.name, step.unit] > UNMEASURED
            ),
        )
        for session in sessions
    )


def _there(plan: Plan, name: str, unit: str) -> float:
    """Return how much of a good an own heap and opened packs come to; containers are stock."""
    found = 0.0
    for supply in plan.supplies:
        if supply.of == name and unit == "l":
            each = supply.loose_l.likely if supply.loose_l is not None else 0.0
            found += float(supply.have_l or 0) + float(supply.on_hand) * each
        elif supply.of == name and unit == "kg":
            found += float(supply.have_kg or 0) + float(supply.on_hand) * (supply.mass_kg or 0.0)
    return found


def _of_amount(step: Before, amount: float) -> Before:
    return evolve(step, amount=amount, count=round(amount) if step.unit == "pieces" else 0)


def afterwards(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return what to do when the work is done, as plain words."""
    steps = []
    if any(line.kind in ("move", "plant out", "refresh", "fill up") for line in lines):
        steps.append("water in until it drains")
    if any(line.kind in ("move", "plant out") for line in lines):
        steps += ["shade from sun and wind for some days", "label every pot with name and date"]
    if any(line.kind == "fill bed" for line in lines):
        steps.append("water the bed so that it settles")
    washed = {line.name for line in lines if line.kind == "wash"}
    moved = [line for line in lines if isinstance(line, PlantLine)]
    if any(line.frees_count and line.frees not in washed for line in moved):
        steps.append("stack the empty pots for washing")
    return tuple(steps)
