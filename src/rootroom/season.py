"""The stages joined: one plan in, the whole season out.

Buying and sessions do not know each other.
Here the list says what is blended, by which recipe, and what is bought ready-made; the sessions
follow it, and say which containers must be bought and on which day each good is first needed; the
list is made again for that, until both agree.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from time import monotonic
from typing import TYPE_CHECKING

from attrs import evolve, frozen

from rootroom.child_process import get_ready
from rootroom.tolerances import ROUNDING, SAME_SHARE

if TYPE_CHECKING:
    from rootroom.buying.shopping import Made, Shopping
    from rootroom.demand.estimates import Needs
    from rootroom.demand.find import Demand
    from rootroom.mixing.card import Blending
    from rootroom.plan.model import Mix, Plan
    from rootroom.scheduling.problem import Answer
    from rootroom.sessions.schedule import Planned
    from rootroom.sessions.timeline import Schedule

ROUNDS = 3
"""How often sessions and shopping are made to agree on what is blended and what is bought."""

PARTLY = 0.5
"""Any share between none and all: a mix of which the posted plan says how much comes in bags."""

LIST_SHARE = 0.4
DAYS_SHARE = 0.7
"""Of the time that is left, for one shopping list and for one search for days."""

LEAST_SECONDS = 0.1
"""What a search gets where no time is left [s]: it ends with the first answer that it has."""


@frozen(eq=False)
class Season:
    """A plan with the answers of all its stages.

    The cards and sessions follow the shopping list: mixes that are cheaper ready-made come out of
    bags, and recipes are those that were bent to whole packages.
    """

    plan: Plan
    demand: Demand
    needs: Needs
    blending: Blending
    schedule: Schedule
    shopping: Shopping


@frozen(eq=False)
class Agreed:
    """A plan whose shopping list and days agree; its sessions are not written out yet."""

    plan: Plan
    demand: Demand
    needs: Needs
    blending: Blending
    planned: Planned
    shopping: Shopping


def make_season(
    plan: Plan,
    *,
    seconds: float | None = None,
    start_from: date | None = None,
    sure_share: float | None = None,
) -> Season:
    """Run every stage on a plan; the options are those of `agree`."""
    made = agree(plan, seconds=seconds, start_from=start_from, sure_share=sure_share)
    scheduled = made.planned.book()
    return Season(plan, made.demand, made.needs, made.blending, scheduled, made.shopping)


def agree(
    plan: Plan,
    *,
    seconds: float | None = None,
    start_from: date | None = None,
    sure_share: float | None = None,
    prices_up: Fraction = Fraction(0),
    without: frozenset[str] = frozenset(),
) -> Agreed:
    """Make the shopping list and the days of a plan, each for the other.

    `seconds` [s] limits all searches together, for days and for the list (without it, the work
    done and a safety net do), `start_from` is the first day that work may be put on, `sure_share`
    [0 to 1] replaces the plan's own level of certainty, `prices_up` raises every price by that
    share and `without` leaves suppliers out.
    """
    from rootroom.demand.find import find_demand
    from rootroom.demand.needs import common_level

    if plan.beds or any(kind.moves for kind in plan.plants.kinds):
        get_ready("rootroom.scheduling.exact_search")
    demand = find_demand(plan)
    needs = common_level(demand, plan.sure_share if sure_share is None else sure_share)
    asked = _Asked(
        plan,
        demand,
        _less_stored(plan, needs),
        None if seconds is None else monotonic() + seconds,
        start_from,
        prices_up,
        without,
    )
    first = asked.list_for(None, plan)
    agreed = _with_bags_at_hand(asked, first, _go_round(asked, first))
    agreed = _with_own_recipes(asked, agreed)
    return agreed if plan.work.room_l is None else _in_stages(agreed, plan.work.room_l)


def _in_stages(agreed: Agreed, room_l: float) -> Agreed:
    """Return an answer whose goods come when they are needed, as far as there is not room."""
    from rootroom.buying.staging import in_stages
    from rootroom.sessions.evening_before import goods_of

    needs = [
        (
            session.date,
            {
                (kind == "container", name): amount
                for (kind, name), (amount, _) in goods_of(session.bring).items()
            },
        )
        for session in agreed.planned.book().sessions
    ]
    return evolve(agreed, shopping=in_stages(agreed.shopping, needs, room_l))


@frozen(eq=False)
class _Asked:
    """What list and days are made from, and until when by the clock."""

    plan: Plan
    demand: Demand
    needs: Needs
    end: float | None
    start_from: date | None
    prices_up: Fraction
    without: frozenset[str]

    def _left(self, share: float) -> float | None:
        return None if self.end is None else max(share * (self.end - monotonic()), LEAST_SECONDS)

    def list_for(self, planned: Planned | None, bought_by: Plan) -> Shopping:
        """Make the list for some days; without days only what the plan needs counts."""
        from rootroom.buying.shop import shop

        return shop(
            bought_by,
            self.needs,
            demand=self.demand,
            containers=containers_to_buy(self.plan, planned),
            due={} if planned is None else {g.name: g.first for g in planned.goods_due},
            brought=None if planned is None else planned.brought,
            prices_up=self.prices_up,
            without=self.without,
            seconds=self._left(LIST_SHARE),
        )

    def days_for(self, shopping: Shopping) -> tuple[Plan, Blending, Planned]:
        """Find the days for what a list blends, with the recipes of its cards."""
        from rootroom.mixing.blend import blend
        from rootroom.sessions.schedule import plan_days

        as_bought = evolve(self.plan, mixes=_recipes_used(self.plan, shopping.made))
        blending = blend(as_bought)
        planned = plan_days(
            as_bought,
            self.demand,
            blending,
            seconds=self._left(DAYS_SHARE),
            start_from=self.start_from,
            ready_share=_ready_shares(shopping.made)
            | dict.fromkeys(self.plan.posted_bags_l, PARTLY),
        )
        return as_bought, blending, planned

    def agreed(self, blending: Blending, planned: Planned, shopping: Shopping) -> Agreed:
        """Return an answer."""
        return Agreed(self.plan, self.demand, self.needs, blending, planned, shopping)


def _go_round(asked: _Asked, shopping: Shopping) -> Agreed:
    """Make days for the list and the list for the days until both blend the same."""
    for _ in range(ROUNDS):
        made = shopping.made
        as_bought, blending, planned = asked.days_for(shopping)
        shopping = asked.list_for(planned, asked.plan)
        if _alike(made, shopping.made):
            break
    else:
        # They go round in a circle: the days stay as they are, and the list is made for them.
        bound = shopping.bound_cents
        shopping = _told_apart(asked.list_for(planned, _as_made(as_bought, made)), made)
        if shopping.cost_cents > bound and shopping.status == "optimal":
            shopping = evolve(shopping, status="feasible", bound_cents=bound)
    return asked.agreed(blending, planned, shopping)


def _with_bags_at_hand(asked: _Asked, first: Shopping, agreed: Agreed) -> Agreed:
    """Return the answer that opens bags which are there, where that is cheaper and no later.

    Whole batches may take more than is there, and those bags may do for all of it.
    """
    bags = _bags_at_hand(asked.plan, first)
    if agreed.shopping.cost_cents <= first.cost_cents or bags is None:
        return agreed
    _, blending, planned = asked.days_for(asked.list_for(None, bags))
    shopping = asked.list_for(planned, bags)
    old = agreed.shopping
    cheaper = shopping.cost_cents < old.cost_cents and shopping.status == old.status
    if cheaper and _rank(planned.answer) <= _rank(agreed.planned.answer):
        return asked.agreed(blending, planned, shopping)
    return agreed


def _with_own_recipes(asked: _Asked, agreed: Agreed) -> Agreed:
    """Return the answer that leaves recipes as the plan has them, where that is better.

    A recipe that was bent to whole packages may take more half scoops, and so have a larger unit:
    what each day rounds up to it may cost a session, or more than the packages saved.
    """
    own = _unbent(asked.plan, agreed)
    if own is None:
        return agreed
    _, blending, planned = asked.days_for(asked.list_for(None, own))
    shopping, old = asked.list_for(planned, own), agreed.shopping
    if shopping.status != old.status or (
        (*_rank(planned.answer), shopping.cost_cents)
        >= (*_rank(agreed.planned.answer), old.cost_cents)
    ):
        return agreed
    # Bent recipes might be cheaper for the same days, as far as what they bring leaves that open.
    bound = asked.list_for(planned, asked.plan).bound_cents
    if shopping.status == "optimal" and shopping.cost_cents > bound:
        shopping = evolve(shopping, status="feasible", bound_cents=bound)
    return asked.agreed(blending, planned, shopping)


def _unbent(plan: Plan, agreed: Agreed) -> Plan | None:
    """Return the plan that bends no mix to a larger unit than its own; None if none was."""
    from rootroom.mixing.blend import card_for

    mixes = dict(plan.mixes)
    for name, made in agreed.shopping.made.items():
        card = agreed.blending.cards.get(name)
        if card is not None and made.bent:
            mix = plan.mixes[name]
            if card_for(plan, mix).batch_l < card.batch_l * (1 - ROUNDING):
                mixes[name] = evolve(mix, flex=Fraction(0))
    return evolve(plan, mixes=mixes) if mixes != plan.mixes else None


def _rank(answer: Answer) -> tuple[bool, int, int]:
    return not answer.complete, answer.lateness, answer.sessions


def _bags_at_hand(plan: Plan, shopping: Shopping) -> Plan | None:
    """Return the plan that opens bags which are there and blends no part; None if none are."""
    names = {
        name
        for name, how in shopping.made.items()
        if how.blended_l and how.ready_l and plan.mixes[name].only is None
        if any(supply.of == name and supply.on_hand for supply in plan.supplies)
    }
    if not names or plan.posted_bags_l:
        return None
    mixes = {
        name: evolve(mix, only="ready") if name in names else mix
        for name, mix in plan.mixes.items()
    }
    return evolve(plan, mixes=mixes)


def _as_made(plan: Plan, made: Mapping[str, Made]) -> Plan:
    """Return the plan that blends what is blended, by no other recipe, and buys what is bought."""
    shares = _ready_shares(made)
    mixes = dict(plan.mixes)
    for name, mix in plan.mixes.items():
        if name in made and not mix.bought:
            share = shares.get(name, 0.0)
            only = "own" if share == 0 else "ready" if share == 1 else mix.only
            mixes[name] = evolve(mix, flex=Fraction(0), only=only)
    return evolve(plan, mixes=mixes)


def _told_apart(shopping: Shopping, made: Mapping[str, Made]) -> Shopping:
    """Return a list for recipes that stand fixed with their distance from the plan's own."""
    own = {(name, part.of): part.planned_share for name, how in made.items() for part in how.parts}
    told = {
        name: evolve(
            how,
            parts=tuple(
                evolve(part, planned_share=own.get((name, part.of), part.planned_share))
                for part in how.parts
            ),
        )
        for name, how in shopping.made.items()
    }
    return evolve(shopping, made=told)


def _less_stored(plan: Plan, needs: Needs) -> Needs:
    """Return what is still needed beside the mix that is there and keeps until the first day."""
    litres = dict(needs.mixes_l)
    for name, heap in plan.stored.items():
        keeps = plan.mixes[name].keeps_days
        days = plan.work.store_days if keeps is None else min(keeps, plan.work.store_days)
        age = 0 if heap.made is None else (plan.work.first - heap.made).days
        if name in litres and age <= days:
            litres[name] = max(litres[name] - heap.litres, 0.0)
    return evolve(needs, mixes_l=litres) if plan.stored else needs


def _recipes_used(plan: Plan, made: Mapping[str, Made]) -> Mapping[str, Mix]:
    """Return the plan's mixes with the recipes that the shopping list is made for."""
    return {
        name: evolve(mix, parts={part.of: part.share for part in made[name].parts})
        if name in made and made[name].bent and made[name].blended_l > 0
        else mix
        for name, mix in plan.mixes.items()
    }


def _ready_shares(made: Mapping[str, Made]) -> dict[str, float]:
    """Return how much of each mix comes ready-made [0 to 1]."""
    shares = {}
    for name, how in made.items():
        total = how.blended_l + how.ready_l
        share = how.ready_l / total if total > 0 else 0.0
        shares[name] = 1.0 if share > 1 - SAME_SHARE else share
    return {name: share for name, share in shares.items() if share > SAME_SHARE}


def _alike(before: Mapping[str, Made], after: Mapping[str, Made]) -> bool:
    """Whether two lists blend the same recipes and buy the same shares ready-made."""
    if before.keys() != after.keys():  # one of them cannot be had
        return False
    first, second = _ready_shares(before), _ready_shares(after)
    names = {*first, *second}
    if any(abs(first.get(n, 0.0) - second.get(n, 0.0)) > SAME_SHARE for n in names):
        return False
    return all(
        abs(float(one.share - two.share)) <= SAME_SHARE
        for name in before
        for one, two in zip(before[name].parts, after[name].parts, strict=True)
        if after[name].blended_l > 0
    )


def containers_to_buy(plan: Plan, planned: Planned | None) -> Mapping[str, int]:
    """Return how many whole containers of each kind must be bought.

    Without days nobody knows which freed container serves again, so then all that the moves
    fill beyond the stock are counted.
    """
    if planned is not None and planned.answer.found:
        return planned.containers_to_buy
    wanted: dict[str, int] = {}
    for move, plants, groups in plan.plants.moves_alike():
        if move.to is not None and move.to.holds:
            text = move.to.text
            wanted[text] = wanted.get(text, 0) + move.containers(plants) * groups
    short = {text: count - plan.stock.get(text, 0) for text, count in wanted.items()}
    return {text: count for text, count in short.items() if count > 0}
