"""Commands that set plans beside each other, or make one from another."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rootroom.cli.common import (
    AsJson,
    ChartOut,
    PlanPath,
    Seconds,
    Today,
    fail,
    left_of,
    load_as_written,
    opened,
    refusing,
    report,
    say,
    say_written,
)
from rootroom.cli.streams import working

if TYPE_CHECKING:
    from datetime import date

    from rootroom.comparing import Compared

MOST_PLANS = 12
"""Plans in one comparison, each of which takes as long as `rootroom season`."""

Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="WHAT=HOW",
        help="Set a value, as `plants.Fig.to=#5` (nothing behind `=` takes it away). All make "
        "one variant; for several, name each: `bigger: plants.Fig.to=#5`.",
    ),
]


def compare(
    plan: PlanPath,
    others: Annotated[
        list[Path] | None, typer.Argument(metavar="[OTHER]...", help="Plans to set beside it.")
    ] = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: ChartOut = None,
    seconds: Seconds = None,
    today: Today = None,
) -> None:
    """Set plans side by side: amounts, cost, sessions, hours, weight."""
    from rootroom.comparing import outcome
    from rootroom.season import make_season
    from rootroom.sheets.comparing import comparison_json, comparison_text

    plans = _variants(plan, others or [], settings or [], today)
    found = []
    for one in plans:
        with working(f"planning {one.name}"):
            season = make_season(one.plan, seconds=seconds)
            found.append(outcome(one, season, beside=plans[0]))
    text = comparison_text(found)
    say(comparison_json(found) if as_json else text)
    if out is not None:
        from rootroom.sheets.charts.comparing import comparison_chart
        from rootroom.sheets.comparing import comparison_csv
        from rootroom.sheets.files import write_files

        names = write_files(out, {
            "compare.txt": text.encode() + b"\n",
            "compare.csv": comparison_csv(found).encode(),
            "compare.svg": comparison_chart(found).encode(),
        })  # fmt: skip
        if not as_json:
            say("")
            say_written(names, out)
    if not any(one.complete for one in found):
        raise typer.Exit(3)


def next(
    plan: PlanPath,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE", help="Where to write it; by default beside the plan."
        ),
    ] = None,
    as_planned: Annotated[
        bool,
        typer.Option("--as-planned", help="Take what nobody noted for done as planned."),
    ] = False,
) -> None:
    """Write next year's plan from this one and its record."""
    from rootroom.plan.reader import read_plan_text
    from rootroom.record.next_year import next_name, next_year
    from rootroom.sheets.files import write_new_file
    from rootroom.sheets.layout import fill

    text = _source(plan)
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
        write_new_file(path.parent / name, content.encode())
    write_new_file(path, draft.text.encode())
    say(f"wrote {', '.join([str(path), *draft.lists])}")
    for note in draft.notes:
        say(fill(note, indent="  ", hanging="    "))
    if not record.events and not as_planned:
        say(
            "Nothing was noted, so plants stand where this plan began; --as-planned takes the\n"
            "plan as done."
        )
    _, problems = read_plan_text(draft.text, path)
    report(problems, brief=True)
    say(f"Look through it, then run `rootroom check {path}`")


def _variants(
    path: Path, others: list[Path], settings: list[str], today: "date | None"
) -> "list[Compared]":
    """Return the plan, the other files, and the plan with values set; exit on any mistake."""
    from rootroom.comparing import read_settings, with_settings

    if not others and not settings:
        hint = 'name another plan, or what to change: `--set "plants.Fig.to=#5"`'
        fail("nothing to set beside the plan", hint=hint)
    with refusing():
        changes = read_settings(settings)
    if 1 + len(others) + len(changes) > MOST_PLANS:
        fail(f"at most {MOST_PLANS} plans are set side by side")
    base = _source(path)
    plans = [_compared("as it is" if not others else path.stem, path, base, today)]
    plans += [_compared(other.stem, other, _source(other), today) for other in others]
    for name, wanted in changes.items():
        with refusing():
            text = with_settings(base, wanted)
        plans.append(_compared(name, path, text, today, beside=base))
    return _named_apart(plans)


def _source(path: Path) -> str:
    from rootroom.plan.toml.source import read_source
    from rootroom.problems import Problem

    text = read_source(path)
    if isinstance(text, Problem):
        report([text])
        raise typer.Exit(1)
    return text


def _compared(
    name: str, path: Path, text: str, today: "date | None", *, beside: str | None = None
) -> "Compared":
    """Return a plan to compare; what its file already warned of is not told again."""
    from rootroom.comparing import Compared
    from rootroom.plan.reader import read_plan_text

    with working("reading the plan"):
        plan, problems = read_plan_text(text, path)
    if beside is not None and plan is not None:
        problems = ()
    if plan is None and beside is not None:
        typer.echo(f"with what is set for `{name}`:\n", err=True)
    report(problems, brief=True)
    if plan is None:
        raise typer.Exit(1)
    return Compared(name, text, left_of(plan, path, today, quiet=beside is not None))


def _named_apart(plans: "list[Compared]") -> "list[Compared]":
    """Return the plans with a number behind a name that stands before."""
    from attrs import evolve

    seen: dict[str, int] = {}
    named = []
    for one in plans:
        seen[one.name] = number = seen.get(one.name, 0) + 1
        named.append(one if number == 1 else evolve(one, name=f"{one.name} {number}"))
    return named
