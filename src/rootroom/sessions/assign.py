"""The door to scheduling: a session problem in, a checked answer with its bounds out."""

from __future__ import annotations

from time import monotonic

from rootroom.sessions.checking import check_answer
from rootroom.sessions.construct import Filler, add_blends, choose_days
from rootroom.sessions.problem import Answer, Problem, Status
from rootroom.sessions.windows import find_windows

__all__ = ["schedule_work"]


def schedule_work(problem: Problem, *, seconds: float = 20.0) -> Answer:
    """Return which work is done on which day, checked, with the bounds that are proved."""
    end = monotonic() + seconds
    windows = find_windows(problem)
    if not windows.fits:
        return Answer(Status.INFEASIBLE, method="windows")
    filler = Filler(problem, windows)
    draft = choose_days(filler, rounds=20, out_of_time=lambda: monotonic() > end)
    if draft is None:
        return Answer(Status.LIMIT, method="construction")
    blends = add_blends(problem, draft.placed)
    check = check_answer(problem, draft.placed, blends)
    if check.broken:
        return Answer(Status.LIMIT, method="construction")
    return Answer(
        Status.FEASIBLE,
        placed=draft.placed,
        blends=blends,
        bought=check.bought,
        lateness=check.lateness,
        sessions=check.sessions,
        pairs=check.pairs,
        last_date=check.last_date,
        method="construction",
    )
