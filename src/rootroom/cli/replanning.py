"""Planning again from the record: what changes of the sheet on the wall, and why."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rootroom.cli.common import say
from rootroom.cli.keeping import opened
from rootroom.cli.progress import working
from rootroom.cli.streams import printable
from rootroom.cli.wall import first_sheet, hang_up

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.state import State

__all__ = ["tell_changes"]


def tell_changes(path: Path, written: Plan, *, seconds: float | None) -> None:
    """Plan again from the record, list what changes with its reason, and hang up the new sheet."""
    from rootroom.record.apply import plan_from
    from rootroom.record.state import replay
    from rootroom.replanning.changes import find_changes, find_missed
    from rootroom.season import make_season
    from rootroom.sheets.record_changes import changes_text

    first_sheet(path, written, seconds)
    events = opened(path, written, again=True).events
    state = replay(written, events)
    for odd in state.odd:
        sys.stderr.write(printable(f"note: {odd}") + "\n")
    plan = plan_from(written, state)
    with working("planning the rest again"):
        season = make_season(plan, seconds=seconds)
    changes = find_changes(
        plan,
        season.schedule,
        done=_done_since_sheet(written, events, state),
        today=_first_left(state),
        stops=state.called_off,
    )
    say(changes_text(plan, season.schedule, changes, find_missed(plan, season.schedule)))
    if changes:
        hang_up(path, season, state.last or written.work.first)
    if not season.schedule.complete:
        raise typer.Exit(3)


def _first_left(state: State) -> date | None:
    """Return the first day that is planned: today, or tomorrow after a day's work."""
    if state.last is None:
        return None
    return state.last + timedelta(1) if state.last in state.worked else state.last


def _done_since_sheet(
    written: Plan, events: Sequence[Event], state: State
) -> dict[tuple[str, int], int]:
    """Return how many plants have made each move since the last sheet was hung up."""
    from rootroom.record.state import replay

    last = max((n for n, event in enumerate(events) if event.kind == "planned"), default=-1)
    before = replay(written, events[: last + 1]).done
    return {
        move: made - before.get(move, 0)
        for move, made in state.done.items()
        if made > before.get(move, 0)
    }
