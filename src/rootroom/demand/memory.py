"""A figure to hold against memory: how many pots one bag fills."""

from __future__ import annotations

from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.demand.room import loose_l
from rootroom.demand.workload import likely_values

if TYPE_CHECKING:
    from rootroom.demand.result import Demand
    from rootroom.plan.model import Plan

__all__ = ["BagCheck", "bag_checks"]

# Bags that growers know, when the plan names none of the mix.
USUAL_BAG = {"us": ("2 cu ft", 56.633693184), "metric": ("50 L", 50.0)}


@frozen
class BagCheck:
    """One bag of a mix, `bag_l` [L], fills `pots` whole pots of `pot_l` [L] likely mix each.

    The pots are those that most plants of the mix are moved into; no bag fills one where `pots`
    is 0. `own` says whether the plan names this bag.
    """

    mix: str
    bag: str
    bag_l: float
    own: bool
    old: str
    new: str
    renewed: bool
    pot_l: float
    pots: int


def bag_checks(plan: Plan, demand: Demand) -> tuple[BagCheck, ...]:
    """Return one check for each mix that pots take, in the order of the plan's mixes."""
    values = likely_values(demand.work)
    most: dict[str, tuple[int, BagCheck]] = {}
    for load in (load for kind in demand.work.loads for load in kind):
        mix, room = load.move.mix, load.room
        if mix is None or room is None:
            continue
        pots = sum(load.total.values())
        balls = max(load.total, default=0)
        place = room.place_l(values.fills_l, values.ball, balls)
        pot_l = loose_l(place, values.packing, values.spill)
        if pot_l <= 0 or (mix in most and most[mix][0] >= pots):
            continue
        text, bag_l, own = _bag(plan, mix)
        filled = int(bag_l / pot_l + 1e-9)
        check = BagCheck(
            mix, text, bag_l, own, load.move.old.text, room.new, load.move.refresh is not None,
            pot_l, filled,
        )  # fmt: skip
        most[mix] = pots, check
    return tuple(most[mix][1] for mix in plan.mixes if mix in most)


def _bag(plan: Plan, mix: str) -> tuple[str, float, bool]:
    for supply in plan.supplies:
        if supply.of == mix and supply.of_kind == "mix" and supply.pack and supply.pack.litres:
            return supply.pack.text, float(supply.pack.litres), True
    text, litres = USUAL_BAG[plan.garden.system]
    return text, litres, False
