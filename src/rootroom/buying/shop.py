"""The shopping list of a plan: which whole packages, from whom, and what that leaves over."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.buying.break_even import bulk_breaks, least_orders, turns
from rootroom.buying.coverage import chance_of
from rootroom.buying.elastic import short_goods
from rootroom.buying.formulation import state
from rootroom.buying.interpretation import Answer
from rootroom.buying.own_or_ready import compare_mixes
from rootroom.buying.shopping import Shopping
from rootroom.buying.solve import cheapest
from rootroom.buying.uses_of_goods import purposes
from rootroom.demand.estimates import Needs
from rootroom.demand.recipes import given_by_spoon

if TYPE_CHECKING:
    from rootroom.demand.find import Demand
    from rootroom.plan.model import Plan
    from rootroom.units import Amount

# A safety net: home plans take a fraction of a second.
SECONDS = 60.0


def shop(
    plan: Plan,
    wanted: Demand | Needs,
    *,
    demand: Demand | None = None,
    containers: Mapping[str, int] | None = None,
    due: Mapping[str, date] | None = None,
    prices_up: Fraction = Fraction(0),
    without: frozenset[str] = frozenset(),
    brought: Mapping[str, Amount] | None = None,
    seconds: float | None = None,
) -> Shopping:
    """Return the cheapest whole packages that cover what is wanted, proved where time allows.

    `wanted` is a demand, then covered as surely as the plan says, or the needs at one level.
    `containers` says how many of each must be bought (beyond what is on hand), `due` when each
    good is first needed. `prices_up` raises every price and fee by that share, `without` leaves
    suppliers out; what is on hand from them still counts. `demand` is what the needs were read
    from: with it the list says how often it is enough and what it leaves at the likely demand.
    `brought` is what the sessions bring of each good, which the list has in any case.
    `seconds` [s] limits the search for the list, and a tenth of it each later search for reasons;
    without it a safety net does.
    """
    needs = _needs(plan, wanted)
    statement = state(
        plan,
        needs,
        containers=containers or {},
        prices_up=prices_up,
        without=without,
        brought=brought,
    )
    bought = cheapest(statement.problem, seconds=SECONDS if seconds is None else seconds)
    answer = Answer(plan, statement, bought, due or {})
    counted = demand if isinstance(wanted, Needs) else wanted
    each = SECONDS if seconds is None else seconds / 10
    return evolve(_told(answer, needs, counted, without, each), prices_up=prices_up)


def _needs(plan: Plan, wanted: Demand | Needs) -> Needs:
    """Return needs as they are, those of a demand as surely as the plan says."""
    if isinstance(wanted, Needs):
        return wanted
    from rootroom.demand.needs import common_level

    return common_level(wanted, plan.sure_share)


def _told(
    answer: Answer, needs: Needs, demand: Demand | None, without: frozenset[str], each: float
) -> Shopping:
    """Return the list in words, with its reasons; `each` [s] limits the search for one of them."""
    plan, bought, basket, problem = answer.plan, answer.bought, answer.basket, answer.problem
    why = tuple(purposes(plan, problem, basket)) if answer.found else ()
    sure = needs.sure
    if demand is not None and answer.found:
        chance = chance_of(plan, answer.statement, problem, basket, demand)
        sure, answer.likely = chance.sure, chance.left
    first_days = {index: answer.first_day(index) for index in range(len(problem.goods))}
    proved = bought.status == "optimal"
    return Shopping(
        file=plan.file,
        status=bought.status,
        cost_cents=bought.cost_cents,
        bound_cents=bought.bound_cents,
        **answer.in_words(),
        short=short_goods(
            plan, problem, basket, why=why, by=first_days, without=without, seconds=each
        ),
        compare=compare_mixes(plan, answer.statement, basket),
        why=why,
        level=needs.level,
        sure=sure,
        currency=plan.garden.currency,
        system=plan.garden.system,
        without=without,
        spoons=given_by_spoon(plan),
        find_turns=lambda: tuple(turns(plan, problem, basket, seconds=each)) if proved else (),
        find_bulk=lambda: tuple(bulk_breaks(plan, problem, seconds=each)) if proved else (),
        find_least=lambda: tuple(least_orders(problem, basket, seconds=each)),
        solver_s=bought.solver_s,
    )
