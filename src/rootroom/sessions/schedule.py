"""Which work on which day: a plan with its demand and mix cards in, dated sessions out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from time import monotonic
from typing import TYPE_CHECKING

from rootroom.plan.model import Plan
from rootroom.sessions.assign import schedule_work
from rootroom.sessions.book import book_sessions
from rootroom.sessions.items import Work
from rootroom.sessions.problem import Answer
from rootroom.sessions.result import Schedule, Why
from rootroom.sessions.staying import stay_close
from rootroom.sessions.summary import (
    find_hardening,
    find_late,
    find_windows_done,
    first_uses,
    purchases,
)
from rootroom.sessions.why import explain
from rootroom.sessions.work import build_work

if TYPE_CHECKING:
    from rootroom.demand.result import Demand
    from rootroom.mixing.result import Blending

__all__ = ["make_schedule", "schedule"]

USUAL_EFFORT_S = 8.0
"""Work allowed where no limit is given: what an idle machine does in about so many seconds."""

SAFETY_NET_S = 75.0
"""The clock's limit [s] where none is given; only a machine many times slower reaches it."""


def schedule(
    plan: Plan,
    demand: Demand,
    blending: Blending,
    *,
    seconds: float | None = None,
    start_from: date | None = None,
    ready_share: Mapping[str, float] | None = None,
) -> Schedule:
    """Return the fewest sessions that do all work of a plan, as late as it must be and no later.

    Limits of work decide how long is searched, so that runs agree on any machine, and the clock is
    a safety net far behind them; `seconds` [s] sets both where somebody cannot wait.
    `start_from` is the first day that work may be put on.
    `ready_share` says how much of a mix with a recipe is bought ready-made [0 to 1].
    Where a sheet hangs on the wall (`plan.wall`) its days are kept as far as they can be.
    """
    work = build_work(plan, demand, blending, start_from=start_from, ready_share=ready_share)
    if not work.items:
        return Schedule(plan.file, "optimal", 0, 0, 0, proved=("lateness", "sessions"))
    net, effort = (SAFETY_NET_S, USUAL_EFFORT_S) if seconds is None else (seconds, seconds)
    end = monotonic() + net
    # What is left is for finding out what would cure a late or impossible plan.
    answer = schedule_work(work.problem, seconds=0.8 * net, effort=effort)
    if plan.wall:
        answer = stay_close(work, answer, plan.wall, seconds=net, effort=effort)
    why = explain(work, answer, out_of_time=lambda: monotonic() > end)
    return make_schedule(plan, work, blending, answer, why)


def make_schedule(
    plan: Plan, work: Work, blending: Blending, answer: Answer, why: Why | None = None
) -> Schedule:
    """Return the dated sessions of an answer to a plan's session problem."""
    if not answer.found:
        return _without_answer(plan, work, answer, why)
    sessions = book_sessions(plan, work, blending, answer)
    windows = find_windows_done(work, sessions)
    return Schedule(
        file=plan.file,
        status=answer.status.value,
        late_plant_days=answer.lateness,
        bound_late_plant_days=answer.bound_lateness,
        bound_sessions=answer.bound_sessions,
        sessions=sessions,
        late=find_late(work, answer),
        why=why,
        windows=windows,
        hardening=find_hardening(work, windows),
        containers_to_buy=purchases(sessions),
        goods_due=first_uses(sessions),
        proved=answer.proved,
        clock=answer.clock or (why is not None and why.clock),
        method=answer.method,
    )


def _without_answer(plan: Plan, work: Work, answer: Answer, why: Why | None) -> Schedule:
    return Schedule(
        file=plan.file,
        status=answer.status.value,
        late_plant_days=0,
        bound_late_plant_days=answer.bound_lateness,
        bound_sessions=answer.bound_sessions,
        why=why,
        windows=find_windows_done(work, ()),
        proved=answer.proved,
        clock=answer.clock or (why is not None and why.clock),
        method=answer.method,
    )
