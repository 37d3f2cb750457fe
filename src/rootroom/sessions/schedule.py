"""Which work on which day: a plan with its demand and mix cards in, dated sessions out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.mixing.blend import blend
from rootroom.plan.model import Plan
from rootroom.scheduling.problem import Answer, Status
from rootroom.scheduling.solve import schedule_what_fits, schedule_work
from rootroom.sessions.batches import MixDay, plan_batches
from rootroom.sessions.dated import book_sessions
from rootroom.sessions.explanation import explain, find_day_reasons
from rootroom.sessions.formulation import build_work
from rootroom.sessions.least_change import stay_close
from rootroom.sessions.tasks import Work
from rootroom.sessions.timeline import GoodDue, Schedule, Why
from rootroom.sessions.totals import (
    ContainerUse,
    find_aftercare,
    find_hardening,
    find_late,
    find_left_out,
    find_windows_done,
    first_uses,
    total_brought,
    use_containers,
)

if TYPE_CHECKING:
    from rootroom.demand.find import Demand
    from rootroom.mixing.card import Blending
    from rootroom.units import Amount

USUAL_EFFORT_S = 8.0
"""Work allowed where no limit is given: what an idle machine does in about so many seconds."""

SAFETY_NET_S = 75.0
"""The clock's limit [s] where none is given; only a machine many times slower reaches it."""

SPARE_SHARE = 0.1
"""The share of the clock's limit that is kept for telling what would cure a plan."""


@frozen(eq=False)
class Planned:
    """Which work on which day, before it is written out as sessions.

    `mixes` and `uses` have the mix and the containers of every day, by its position.
    """

    plan: Plan
    work: Work
    answer: Answer
    mixes: Mapping[int, MixDay]
    uses: Mapping[int, ContainerUse]
    why: Why | None = None

    @classmethod
    def of(
        cls, plan: Plan, work: Work, blending: Blending, answer: Answer, why: Why | None = None
    ) -> Planned:
        """Return an answer to a plan's session problem with its mix and containers."""
        mixes = plan_batches(plan, work, blending, answer)
        return cls(plan, work, answer, mixes, use_containers(work, answer), why)

    @property
    def containers_to_buy(self) -> Mapping[str, int]:
        """How many whole containers of each kind are bought, in the order in which they are."""
        count: Counter[str] = Counter()
        for use in self.uses.values():
            count.update(use.bought)
        return dict(count)

    @property
    def goods_due(self) -> tuple[GoodDue, ...]:
        """Every good and the day of the first session that needs it."""
        return first_uses(self.work, self.answer, self.mixes, self.uses)

    @property
    def brought(self) -> Mapping[str, Amount]:
        """What all sessions bring of each ingredient, addition and bagged mix."""
        return total_brought(self.work, self.answer, self.mixes)

    def book(self) -> Schedule:
        """Return the dated sessions."""
        plan, work, answer = self.plan, self.work, self.answer
        windows = find_windows_done(work, answer)
        sessions = book_sessions(plan, work, answer, self.mixes, self.uses)
        return Schedule(
            file=plan.file,
            status=answer.status.value,
            late_plant_days=answer.lateness,
            bound_late_plant_days=answer.bound_lateness,
            bound_sessions=answer.bound_sessions,
            sessions=sessions,
            late=find_late(work, answer),
            left_out=find_left_out(work, answer),
            why=self.why,
            windows=windows,
            hardening=find_hardening(work, windows),
            reasons=find_day_reasons(work, answer),
            containers_to_buy=self.containers_to_buy,
            goods_due=self.goods_due,
            proved=answer.proved,
            clock=answer.clock or (self.why is not None and self.why.clock),
            aftercare=find_aftercare(plan, sessions),
        )


def plan_days(
    plan: Plan,
    demand: Demand,
    blending: Blending,
    *,
    seconds: float | None = None,
    start_from: date | None = None,
    ready_share: Mapping[str, float] | None = None,
) -> Planned:
    """Return the days of all work of a plan: the fewest sessions that do it in time.

    The options are those of `schedule`.
    """
    build = partial(
        build_work, plan, demand, blending, start_from=start_from, ready_share=ready_share
    )
    work = build()
    if not work.items:
        nothing = Answer(Status.OPTIMAL, proved=("lateness", "sessions"))
        return Planned.of(plan, work, blending, nothing)
    net, effort = (SAFETY_NET_S, USUAL_EFFORT_S) if seconds is None else (seconds, seconds)
    end = monotonic() + net
    answer = _search(work, plan, end=end, net=net, effort=effort)
    if work.there_ml and answer.complete:
        # The mix that is there was counted for the work that seemed to come first.
        again = build(placed_on=_begins(work, answer))
        left = end - monotonic()
        if again.there_ml != work.there_ml and left > SPARE_SHARE * net:
            found = _search(again, plan, end=end, net=min(net, left), effort=effort)
            if found.complete and (found.lateness, found.sessions) <= (
                answer.lateness,
                answer.sessions,
            ):
                work, answer = again, found
    why = explain(work, answer, out_of_time=lambda: monotonic() > end)
    return Planned.of(plan, work, blending, answer, why)


def _search(work: Work, plan: Plan, *, end: float, net: float, effort: float) -> Answer:
    """Return the days of a problem, near to the posted ones; the clock stops it before `end`."""
    # What is left is for finding out what would cure a late or impossible plan.
    answer = schedule_work(work.problem, seconds=0.7 * net, effort=effort)
    left = end - monotonic()
    if not answer.complete:
        left = max(0.1, left - SPARE_SHARE * net)
        return schedule_what_fits(work.problem, answer.status, seconds=left, effort=effort)
    if plan.posted:
        return stay_close(work, answer, plan.posted, seconds=max(0.1, left), effort=effort)
    return answer


def _begins(work: Work, answer: Answer) -> dict[int, int]:
    """Return the date on which each task of an answer begins."""
    days = work.problem.days
    return {one.task: days[one.day].date for one in reversed(answer.placed)}


def schedule(
    plan: Plan,
    demand: Demand,
    blending: Blending | None = None,
    *,
    seconds: float | None = None,
    start_from: date | None = None,
    ready_share: Mapping[str, float] | None = None,
) -> Schedule:
    """Return the fewest sessions that do all work of a plan, as late as it must be and no later.

    Limits of work decide how long is searched, so that runs agree on any machine, and the clock is
    a safety net far behind them; `seconds` [s] sets both where somebody cannot wait.
    `blending` has the cards of the mixes (without it, those of the plan's own recipes) and
    `start_from` is the first day that work may be put on.
    `ready_share` says how much of a mix with a recipe is bought ready-made [0 to 1].
    Where a plan was posted (`plan.posted`) its days are kept as far as they can be.
    """
    return plan_days(
        plan,
        demand,
        blend(plan) if blending is None else blending,
        seconds=seconds,
        start_from=start_from,
        ready_share=ready_share,
    ).book()
