"""Commands that look back: what was really done, and what the next plan learns from it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Annotated

import typer

from rootroom.cli.common import PlanPath, fail, load_as_written
from rootroom.cli.recording import Quick, ReplanSeconds, record

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Add the commands of this module to the program."""
    for command in (record, postpone):
        app.command()(command)


def postpone(
    plan: PlanPath,
    days: Annotated[
        int | None, typer.Option("--days", min=1, max=365, help="All work, by so many days.")
    ] = None,
    rain: Annotated[
        list[datetime] | None,
        typer.Option(
            "--rain", formats=["%Y-%m-%d"], metavar="DATE", help="A day rained off (repeatable)."
        ),
    ] = None,
    start: Annotated[
        datetime | None,
        typer.Option(
            "--from",
            formats=["%Y-%m-%d"],
            metavar="DATE",
            help="Count --days from here; by default from the next session.",
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
    load_as_written(plan)
    events = []
    for moment in rain or ():
        day = moment.date()
        data = {"day": day.isoformat(), "reason": because or "rain"}
        events.append(new_event("day off", day, data, session=day))
    if days is not None:
        begin: date = start.date() if start is not None else next_session(plan, seconds)
        until = begin + timedelta(days)
        data = {"until": until.isoformat(), "reason": because or f"put off by {days} days"}
        events.append(new_event("postponed", begin, data))
    note(plan, events)
    if not quick:
        tell_changes(plan, seconds=seconds)
