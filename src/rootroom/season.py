"""The stages joined: one plan in, the whole season out.

Buying and sessions do not know each other.
Here the sessions say which containers must be bought and on which day each good is first needed,
and the shopping list is made for that.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from attrs import frozen

if TYPE_CHECKING:
    from rootroom.buying.result import Shopping
    from rootroom.demand.result import Demand, Needs
    from rootroom.mixing.blend import Blending
    from rootroom.plan.model import Plan
    from rootroom.sessions.result import Schedule

__all__ = ["Season", "containers_to_buy", "make_season"]


@frozen(eq=False)
class Season:
    """A plan with the answers of all its stages."""

    plan: Plan
    demand: Demand
    needs: Needs
    blending: Blending
    schedule: Schedule
    shopping: Shopping


def make_season(
    plan: Plan,
    *,
    seconds: float = 10.0,
    start_from: date | None = None,
    sure_share: float | None = None,
    prices_up: Fraction = Fraction(0),
    without: frozenset[str] = frozenset(),
) -> Season:
    """Run every stage on a plan.

    `seconds` [s] is the safety net of the scheduler, `start_from` the first day that work may be
    put on, `sure_share` [0 to 1] replaces the plan's own level of certainty, `prices_up` raises
    every price by that share and `without` leaves suppliers out.
    """
    from rootroom.buying.shop import shop
    from rootroom.demand.find import find_demand
    from rootroom.demand.needs import common_level
    from rootroom.mixing.blend import blend
    from rootroom.sessions.schedule import schedule

    demand = find_demand(plan)
    needs = common_level(demand, plan.sure_share if sure_share is None else sure_share)
    blending = blend(plan, demand)
    scheduled = schedule(plan, demand, blending, seconds=seconds, start_from=start_from)
    shopping = shop(
        plan,
        needs,
        demand=demand,
        containers=containers_to_buy(plan, scheduled),
        due={good.name: good.first for good in scheduled.goods_due},
        prices_up=prices_up,
        without=without,
    )
    return Season(plan, demand, needs, blending, scheduled, shopping)


def containers_to_buy(plan: Plan, schedule: Schedule) -> Mapping[str, int]:
    """Return how many whole containers of each kind must be bought.

    Without a schedule nobody knows which freed container serves again, so then all that the moves
    fill beyond the stock are counted.
    """
    if schedule.found:
        return {purchase.container: purchase.count for purchase in schedule.containers_to_buy}
    wanted: dict[str, int] = {}
    for group in plan.plants:
        for move, plants in zip(group.kind.moves, group.counts, strict=True):
            if move.to is not None and move.to.holds:
                text = move.to.text
                wanted[text] = wanted.get(text, 0) + move.containers(plants)
    short = {text: count - plan.stock.get(text, 0) for text, count in wanted.items()}
    return {text: count for text, count in short.items() if count > 0}
