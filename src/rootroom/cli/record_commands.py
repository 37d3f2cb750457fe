"""Commands that look back: what was really done, and what the next plan learns from it."""

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rootroom.cli.common import (
    ChartOut,
    PlanPath,
    check_text,
    date_option,
    fail,
    load_as_written,
    report,
    say,
    say_written,
)
from rootroom.cli.recording import Anew, Quick, ReplanSeconds
from rootroom.cli.streams import working
from rootroom.counts import counted

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.file import Record

PutOff = Annotated[
    int | None,
    typer.Option("--days", min=1, max=365, metavar="N", help="All work, from the next session on."),
]
Rain = Annotated[list[date] | None, date_option("--rain", "A day rained off (repeatable).")]
Beside = Annotated[
    list[Path] | None,
    typer.Option("--beside", metavar="RECORD", help="Another season's record file (repeatable)."),
]


def postpone(
    plan: PlanPath,
    days: PutOff = None,
    rain: Rain = None,
    because: Annotated[str, typer.Option("--because", metavar="TEXT", help="Why.")] = "",
    quick: Quick = False,
    anew: Anew = False,
    seconds: ReplanSeconds = None,
) -> None:
    """Note that work must wait, and plan the rest again."""
    from rootroom.cli.common import note, opened, posted, refusing, tell_changes
    from rootroom.record.events import new_event
    from rootroom.replanning.posting import next_session

    if (days is None) == (not rain):
        fail("give either --days, or --rain with the day")
    check_text("--because", because)
    written = load_as_written(plan)
    first, last = written.work.first, written.work.last
    for day in rain or ():
        if not first <= day <= last:
            fail(f"--rain: {day} lies outside the work dates, {first} to {last}")
    opened(plan, written)
    held = posted(plan, written, seconds)
    with refusing(coded=False):
        ahead, now = next_session(written, held)
    events = []
    for day in rain or ():
        data = {"day": day.isoformat(), "reason": because or "rain"}
        # With a session before it still open, rain is a forecast, and today is not yet that day.
        events.append(new_event("day off", day if day <= ahead else now, data, session=day))
    if days is not None:
        data = {
            "until": (ahead + timedelta(days)).isoformat(),
            "reason": because or f"put off by {counted(days, 'day')}",
        }
        events.append(new_event("postponed", ahead, data))
    note(plan, events)
    if not quick:
        tell_changes(plan, written, seconds=seconds, anew=anew)


def learned(
    plan: PlanPath,
    beside: Beside = None,
    why: Annotated[
        bool, typer.Option("--why", help="Show every measurement and where it comes from.")
    ] = False,
) -> None:
    """Print what records teach, as lines to paste into the plan."""
    from rootroom.record.apply import replay
    from rootroom.record.learned_figures import figures
    from rootroom.sheets.record_text import learned_text

    written = load_as_written(plan)
    events = [event for held in _records(plan, written, beside) for event in held.events]
    paid = sorted(replay(written, events).goods.paid, key=lambda one: one.day)
    say(learned_text(written, figures(written, events), paid, why=why))


def review(
    plan: PlanPath,
    older: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[OLDER]...", help="Plans of other years, each with its record."),
    ] = None,
    beside: Beside = None,
    out: ChartOut = None,
) -> None:
    """Set what was planned beside what was done, season by season."""
    from rootroom.record.apply import replay
    from rootroom.record.planned_and_real import review as review_of
    from rootroom.record.planned_and_real import totals
    from rootroom.sheets.review import review_csv, review_text

    written = load_as_written(plan)
    held = _records(plan, written, [*_records_of(older or []), *(beside or [])])
    events = held[0].events
    found = review_of(written, events, replay(written, events))
    seasons = [totals(_season_name(one), one.events) for one in held]
    text = review_text(written, found, seasons)
    say(text)
    if out is not None:
        from rootroom.sheets.charts.review import review_chart
        from rootroom.sheets.files import write_files

        files = {"review.txt": text.encode() + b"\n", "review.csv": review_csv(found).encode()}
        chart = review_chart(written, found)
        if chart:
            files["review.svg"] = chart.encode()
        names = write_files(out, files)
        say("")
        say_written(names, out)


def _records_of(plans: list[Path]) -> list[Path]:
    """Return the records beside some plans; exit where a plan has none."""
    from rootroom.plan.toml.source import neighbour_hint
    from rootroom.record import record_path

    for plan in plans:
        if not plan.exists():
            fail(f"there is no such plan: `{plan}`", hint=neighbour_hint(plan))
        if not record_path(plan).exists():
            fail(f"nothing was noted of this plan: `{plan}`", hint="its record stands beside it")
    return [record_path(plan) for plan in plans]


def _records(plan: Path, written: "Plan", beside: list[Path] | None) -> "list[Record]":
    """Return the plan's record and those beside it, their problems printed."""
    from rootroom.plan.toml.source import check_file, neighbour_hint
    from rootroom.record import record_path
    from rootroom.record.file import read_record
    from rootroom.record.hand_back import MOST_BYTES

    held = []
    for number, path in enumerate((record_path(plan), *(beside or ()))):
        if number and not path.exists():
            fail(f"there is no such record: `{path}`", hint=neighbour_hint(path))
        unfit = check_file(path, MOST_BYTES, "a record") if number else None
        if unfit is not None:
            fail(f"{unfit.message}: `{path}`")
        with working("reading the record"):
            held.append(read_record(path, None if number else written))
        report(held[-1].problems)
    return held


def _season_name(record: "Record") -> str:
    return Path(record.file).name.removesuffix(".record.jsonl")
