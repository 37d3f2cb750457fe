"""Commands that look back: what was really done, and what the next plan learns from it."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated

import typer

from rootroom.cli.common import PlanPath, fail
from rootroom.cli.recording import Quick, ReplanSeconds, record

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Add the commands of this module to the program."""
    for command in (record, postpone):
        app.command()(command)


def postpone(
    plan: PlanPath,
    days: Annotated[
        int | None,
        typer.Option("--days", min=1, max=365, help="All work, from the next session on."),
    ] = None,
    rain: Annotated[
        list[datetime] | None,
        typer.Option(
            "--rain", formats=["%Y-%m-%d"], metavar="DATE", help="A day rained off (repeatable)."
        ),
    ] = None,
    because: Annotated[str, typer.Option("--because", metavar="TEXT", help="Why.")] = "",
    quick: Quick = False,
    seconds: ReplanSeconds = 3.0,
) -> None:
    """Note that work must wait, plan the rest again, and tell what changes and what is missed."""
    from rootroom.cli.recording import new_event, next_session, note, tell_changes

    if (days is None) == (not rain):
        fail("give either --days, or --rain with the day")
    ahead, now = next_session(plan, seconds)
    events = []
    for moment in rain or ():
        day = moment.date()
        data = {"day": day.isoformat(), "reason": because or "rain"}
        # With a session before it still open, rain is a forecast, and today is not yet that day.
        events.append(new_event("day off", day if day <= ahead else now, data, session=day))
    if days is not None:
        data = {
            "until": (ahead + timedelta(days)).isoformat(),
            "reason": because or f"put off by {days} day{'s' if days != 1 else ''}",
        }
        events.append(new_event("postponed", ahead, data))
    note(plan, events)
    if not quick:
        tell_changes(plan, seconds=seconds)
