"""From a plan built by hand to its schedule, for tests of the sessions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from rootroom.catalogue.spread import Spread
from rootroom.demand.find import find_demand
from rootroom.mixing.blend import blend
from rootroom.plan.model import Plan, WorkDay
from rootroom.sessions.formulation import build_work
from rootroom.sessions.schedule import schedule
from rootroom.sessions.session import Line, Session
from rootroom.sessions.tasks import Work
from rootroom.sessions.timeline import Schedule
from tests.support.patience import unhurried

SATURDAY = date(2027, 3, 6)


def days(
    number: int, *, clock_min: float = 240.0, people: int = 1, step: int = 7
) -> tuple[WorkDay, ...]:
    """Return work days from the first Saturday on, `step` days apart."""
    return tuple(WorkDay(SATURDAY + timedelta(step * n), clock_min, people) for n in range(number))


def minutes(**own: float) -> dict[str, Spread]:
    """Return a plan's own minutes; `pot_3` stands for `#3`, `_` for a blank."""
    return {
        key.replace("pot_", "#").replace("_", " "): Spread.exactly(value)
        for key, value in own.items()
    }


def worked_out(plan: Plan, **options: Any) -> Work:
    """Return the session problem of a plan."""
    demand = find_demand(plan)
    return build_work(plan, demand, blend(plan), **options)


def scheduled(plan: Plan, *, effort_s: float = 10.0, **options: Any) -> Schedule:
    """Return the schedule of a plan, found with the work of `effort_s` [s] at most."""
    demand = find_demand(plan)
    with unhurried(effort_s):
        return schedule(plan, demand, blend(plan), **options)


def lines_of(sessions: Sequence[Session], kind: str) -> list[tuple[date, Line]]:
    """Return all lines of a kind with their days."""
    return [(s.date, line) for s in sessions for line in s.work if line.kind == kind]
