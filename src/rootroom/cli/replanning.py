"""The record beside a plan and its posted plan, as commands read, add to and replan them."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rootroom.cli.common import fail, report, say
from rootroom.cli.progress import working
from rootroom.visible import visible

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.events import Event
    from rootroom.record.file import Record


@contextlib.contextmanager
def refusing() -> Iterator[None]:
    """Print why what was asked cannot be, and exit 2."""
    from rootroom.problems import TextError

    try:
        yield
    except TextError as wrong:
        fail(wrong.message, hint=wrong.hint)


def opened(path: Path, plan: Plan) -> Record:
    """Return the plan's record, what is wrong with it printed."""
    from rootroom.record.file import read_record, record_path

    with working("reading the record"):
        found = read_record(record_path(path), plan)
    report(found.problems)
    return found


def note(path: Path, events: Sequence[Event]) -> None:
    """Add events to the plan's record and say so once they are on the disk."""
    from rootroom.record.file import append, record_path

    record = record_path(path)
    append(record, events)
    say(f"noted in {record.name}: {len(events)} line{'s' if len(events) != 1 else ''}")


def posted(path: Path, written: Plan, seconds: float | None) -> Sequence[Event]:
    """Return the record of a plan, which is posted as it was written if it never was."""
    from rootroom.replanning.posting import make_posted

    with working("finding the days that were planned"):
        return make_posted(path, written, seconds)


def tell_changes(path: Path, written: Plan, *, seconds: float | None, anew: bool = False) -> None:
    """Plan again from the record, list what changes with its reason, and post the new plan."""
    from rootroom.replanning.posting import post
    from rootroom.replanning.replan import replan
    from rootroom.sheets.record_changes import changes_text

    events = posted(path, written, seconds)
    with working("planning the rest again"):
        found = replan(written, events, seconds=seconds, anew=anew)
    for odd in found.state.odd:
        sys.stderr.write(visible(f"note: {odd}") + "\n")
    say(changes_text(found))
    if not found.holds:
        post(path, found.season, found.state.last or written.work.first)
    if not found.season.schedule.complete:
        raise typer.Exit(3)
