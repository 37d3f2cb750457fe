"""Where the doubt comes from: the inputs that widen the answer most.

The answer is what the season takes of everything loose: all ingredients, and mixes bought ready.
Each input is taken as known in turn, at its likely value, and the draws are worked out again; the
one that takes most of the spread between the 10th and the 90th percentile away comes first.
It then stays known while the next is looked for, as it will be once it has been measured: beside a
great doubt the small ones cannot be told from chance, and so the shares add up.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

from attrs import frozen

from rootroom.catalogue.ingredients import factor_row
from rootroom.demand.draws import Draws, Streams, tenth_and_ninetieth
from rootroom.demand.estimates import Doubt
from rootroom.demand.workload import Factor, Values, Workload, drawn_values, with_known

if TYPE_CHECKING:
    from rootroom.containers.container import Container
    from rootroom.demand.find import Demand
    from rootroom.demand.room import Room
    from rootroom.plan.model import Plan

MOST = 3

# An input that takes away less of the spread than this is not told from chance.
LEAST_SHARE = 0.001


def doubts(plan: Plan, demand: Demand) -> tuple[Doubt, ...]:
    """Return the three inputs that widen the season's demand most, the widest first.

    Fewer where fewer matter, none when nothing is in doubt.
    The `share` of each is of the whole spread, and goes once those before it are known too.
    """
    work = demand.work
    values = drawn_values(work, Streams(demand.draws))
    places: Mapping[str, Draws] = {mix: work.places_l(mix, values) for mix in work.rooms}
    whole = left = _width(_total_l(work, places, values))
    open_factors = [factor for factor in work.factors if factor.spread.low < factor.spread.high]
    found: list[Doubt] = []
    while open_factors and len(found) < MOST:
        rooms = _rooms_l(work, values)
        tried = [_try(work, places, rooms, values, factor) for factor in open_factors]
        best = min(tried, key=lambda one: (one.width, one.factor.name))
        share = (left - best.width) / whole if whole > 0 else 0.0
        if share < LEAST_SHARE:
            break
        found.append(_doubt(plan, work, best.factor, share))
        values, places, left = best.values, best.places, best.width
        open_factors.remove(best.factor)
    return tuple(found)


@frozen(eq=False)
class _Tried:
    """The season with one more factor known, and the spread that is left [L]."""

    factor: Factor
    values: Values[Draws]
    places: Mapping[str, Draws]
    width: float


RoomsL: TypeAlias = "Mapping[str, Mapping[Room, Draws]]"
"""The place [L] in all pots of each room, by the mix that they take."""


def _rooms_l(work: Workload, values: Values[Draws]) -> RoomsL:
    return {
        mix: {room: room.total_l(values.fills_l, values.ball, load) for room, load in rooms.items()}
        for mix, rooms in work.rooms.items()
    }


def _try(
    work: Workload,
    places: Mapping[str, Draws],
    rooms_l: RoomsL,
    values: Values[Draws],
    factor: Factor,
) -> _Tried:
    known = with_known(values, factor, work.recipes)
    moved = _places_with(work, places, rooms_l, known, factor)
    return _Tried(factor, known, moved, _width(_total_l(work, moved, known)))


def _total_l(work: Workload, places: Mapping[str, Draws], values: Values[Draws]) -> Draws:
    """Return the loose litres of all ingredients, and of the mixes that have no recipe."""
    totals = work.recipes.mixes_l(work.direct_from(places, values), values.loose)
    loose = work.recipes.ingredients_l(totals, values.loose, work.unmixed_l(values))
    total = 0 * values.packing
    for litres in loose.values():
        total = total + litres
    for name, litres in totals.items():
        if name not in work.recipes.shares:
            total = total + litres
    return total


def _places_with(
    work: Workload,
    places: Mapping[str, Draws],
    rooms_l: RoomsL,
    known: Values[Draws],
    factor: Factor,
) -> Mapping[str, Draws]:
    """Return the places with one factor known; only the rooms that it touches are done again."""
    if factor.kind not in ("fill", "ball"):
        return places
    moved = dict(places)
    for mix, rooms in work.rooms.items():
        for room, load in rooms.items():
            touched = factor.of in room.containers if factor.kind == "fill" else room.old
            if touched:
                after = room.total_l(known.fills_l, known.ball, load)
                moved[mix] = moved[mix] - rooms_l[mix][room] + after
    return moved


def _width(draws: Draws) -> float:
    low, high = tenth_and_ninetieth(draws)
    return float(high - low)


def _doubt(plan: Plan, work: Workload, factor: Factor, share: float) -> Doubt:
    measure, line = _advice(plan, work, factor)
    return Doubt(factor.name, share, measure, line)


def _advice(plan: Plan, work: Workload, factor: Factor) -> tuple[str, str]:
    """Return what to measure and the line to write into the plan."""
    if factor.kind == "fill":
        return _fill_advice(plan, work.containers[factor.of])
    if factor.kind == "shrink":
        row = factor_row("shrink_like")
        return row.measure, f'[mixes.{_key(factor.of)}] shrink = "... %"'
    row = factor_row(factor.kind)
    if factor.kind == "settles":
        return row.measure, f'settles = "... %" in the bed `{factor.of}`'
    figure = '"... %"' if factor.kind == "spill" else "..."
    return row.measure, f"[factors] {factor.kind} = {figure}"


def _fill_advice(plan: Plan, container: Container) -> tuple[str, str]:
    """Return how to measure a container; its `volume` is that to the brim, or a cell's."""
    text = container.text
    if container.cells > 1:
        measure = f"fill one {text} from a measured jug and divide by its {container.cells} cells"
    elif container.headspace_m > 0:
        measure = f"fill one {text} level with its brim from a known bucket"
    else:
        measure = f"fill one {text} as full as you use it from a known bucket"
    large, small = ("gal", "fl oz") if plan.garden.system == "us" else ("L", "mL")
    unit = small if container.brim_l.likely < 0.5 else large
    return measure, f'[containers.{_key(text)}] volume = "... {unit}"'


def _key(name: str) -> str:
    """Return a name as a TOML key: bare where it may be, else in quotes."""
    if re.fullmatch(r"[A-Za-z0-9_-]+", name):
        return name
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'
