"""Commands about a season that was: what it teaches, and the plan of the next year."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rootroom.cli.common import (
    ChartOut,
    PlanPath,
    fail,
    load_as_written,
    opened,
    report,
    say,
    source_of,
    write_beside_answer,
    write_new,
)
from rootroom.cli.streams import working

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.file import Record


Beside = Annotated[
    list[Path] | None,
    typer.Option("--beside", metavar="RECORD", help="Another season's record file (repeatable)."),
]


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
    from rootroom.sheets.answers.record_text import learned_text

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
    from rootroom.sheets.answers.review import review_csv, review_text

    written = load_as_written(plan)
    held = _records(plan, written, [*_records_of(older or []), *(beside or [])])
    events = held[0].events
    found = review_of(written, events, replay(written, events))
    names = [Path(one.file).name.removesuffix(".record.jsonl") for one in held]
    seasons = [totals(name, one.events) for name, one in zip(names, held, strict=True)]
    text = review_text(written, found, seasons)
    say(text)
    if out is not None:
        from rootroom.sheets.charts.bars import review_chart

        files = {"review.txt": text.encode() + b"\n", "review.csv": review_csv(found).encode()}
        chart = review_chart(written, found)
        if chart:
            files["review.svg"] = chart.encode()
        write_beside_answer(out, files)


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
    from rootroom.record.noting.hand_back import MOST_BYTES

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


def next(
    plan: PlanPath,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE", help="Where to write it; by default beside the plan."
        ),
    ] = None,
    as_planned: Annotated[
        bool, typer.Option("--as-planned", help="Take what nobody noted for done as planned.")
    ] = False,
) -> None:
    """Write next year's plan from this one and its record."""
    from rootroom.plan.reader import read_plan_text
    from rootroom.record.next_year.new_plan import next_name, next_year
    from rootroom.sheets.layout import item

    text = source_of(plan)
    written = load_as_written(plan)
    path = out or plan.with_name(next_name(plan.name, written.work.first.year + 1))
    record = opened(plan, written)
    with working("writing next year's plan"):
        draft = next_year(
            text, written, record.events, plan, as_planned=as_planned, folder=path.parent
        )
    for file in (path, *(path.parent / name for name in draft.lists)):
        if file.exists():
            fail(f"there is a file already: `{file}`", hint="give another name with --out")
    for name, content in draft.lists.items():
        write_new(path.parent / name, content.encode())
    write_new(path, draft.text.encode())
    say(f"wrote {', '.join([str(path), *draft.lists])}")
    for note in draft.notes:
        say(item(note))
    if not record.events and not as_planned:
        say(
            "Nothing was noted, so plants stand where this plan began; --as-planned takes the\n"
            "plan as done."
        )
    _, problems = read_plan_text(draft.text, path)
    report(problems, brief=True)
    say(f"Look through it, then run `rootroom check {path}`")
