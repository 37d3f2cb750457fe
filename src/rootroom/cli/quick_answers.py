"""Commands that answer beside the season: without a plan, of pots, and of plans side by side."""

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
    load,
    refusing,
    report,
    say,
    source_of,
    write_beside_answer,
)
from rootroom.cli.streams import terminal_width, working

if TYPE_CHECKING:
    from datetime import date

    from rootroom.comparing import Compared


def fill(
    container: Annotated[
        str | None, typer.Argument(metavar="[CONTAINER]", help="As `#5` or `12 in pot`.")
    ] = None,
    old: Annotated[
        str | None, typer.Option("--from", metavar="CONTAINER", help="What the plant is in now.")
    ] = None,
    count: Annotated[
        int, typer.Option("--count", min=1, max=10_000_000, metavar="N", help="How many.")
    ] = 1,
    bed: Annotated[
        str | None, typer.Option("--bed", metavar="SHAPE", help="A bed, as `8 ft x 4 ft`.")
    ] = None,
    depth: Annotated[
        str | None, typer.Option("--depth", metavar="LENGTH", help="How deep the bed is filled.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Tell how much mix fills a container, or a bed."""
    from rootroom.sheets.answers.without_plan import fill_json, fill_text

    if (container is None) == (bed is None):
        fail("give a container or --bed with --depth, one of the two")
    if (bed is None) != (depth is None):
        fail("--bed and --depth go together")
    with refusing():
        from rootroom.demand.quick import ask_bed, ask_fill

        if bed is not None and depth is not None:
            asked = ask_bed(bed, depth, count=count)
        else:
            asked = ask_fill(container or "", old, count=count)
    say(fill_json(asked) if as_json else fill_text(asked))


def pots(
    text: Annotated[
        list[str] | None,
        typer.Argument(metavar="[TEXT]", help="Only containers with these words, as clay pot."),
    ] = None,
) -> None:
    """List the containers that a plan may name, with what they hold."""
    from rootroom.problems import TextError
    from rootroom.sheets.answers.without_plan import pots_text

    with refusing():
        try:
            say(pots_text(" ".join(text) if text else None))
        except TextError as error:
            if error.code != "unknown-container":
                raise
            all_of_them = "" if "did you" in error.hint else "`rootroom pots` lists all; "
            fail(error.message, hint=all_of_them + error.hint)


def keys(
    word: Annotated[
        str | None, typer.Argument(metavar="[WORD]", help="Only keys with this word.")
    ] = None,
) -> None:
    """List what a plan may say, and what is taken where it does not."""
    from rootroom.sheets.answers.without_plan import keys_text

    with refusing():
        say(keys_text(word, width=terminal_width()))


def explain(
    code: Annotated[
        str | None, typer.Argument(metavar="[CODE]", help="As `unknown-container`.")
    ] = None,
) -> None:
    """Tell what the code behind a mistake means, or list all codes."""
    from rootroom.sheets.answers.without_plan import explain_text

    with refusing():
        say(explain_text(code, width=terminal_width()))


def drained(
    plan: Annotated[Path | None, typer.Argument(metavar="[PLAN]", help="The plan file.")] = None,
    as_json: AsJson = False,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Draw every pot into this folder (SVG)."),
    ] = None,
    how: Annotated[
        bool, typer.Option("--how", help="Explain how to measure a mix at home.")
    ] = False,
) -> None:
    """Tell water, air and weight of every pot once it has drained."""
    if how:
        from rootroom.sheets.answers.pot import home_test_text

        say(home_test_text("us" if plan is None else load(plan).garden.system))
        return
    if plan is None:
        fail("give a plan file, or --how for the test at home")
    from rootroom.pot.report import report_pots

    checked = load(plan)
    with working("working out what the pots hold"):
        report = report_pots(checked)
    if out is not None:
        from rootroom.sheets.charts.pot import drawing_files
        from rootroom.sheets.files import write_files

        write_files(out, drawing_files(report, checked.garden.system))
    if as_json:
        from rootroom.sheets.answers.as_json import drained_json

        say(drained_json(report))
        return
    from rootroom.sheets.answers.pot import drained_text

    say(drained_text(checked, report))


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
    from rootroom.sheets.answers.comparing import comparison_json, comparison_text

    plans = _variants(plan, others or [], settings or [], today)
    found = []
    for one in plans:
        with working(f"planning {one.name}"):
            season = make_season(one.plan, seconds=seconds)
            found.append(outcome(one, season, beside=plans[0]))
    text = comparison_text(found)
    say(comparison_json(found) if as_json else text)
    if out is not None:
        from rootroom.sheets.answers.comparing import comparison_csv
        from rootroom.sheets.charts.bars import comparison_chart

        files = {
            "compare.txt": text.encode() + b"\n",
            "compare.csv": comparison_csv(found).encode(),
            "compare.svg": comparison_chart(found).encode(),
        }
        write_beside_answer(out, files, tell=not as_json)
    if not any(one.complete for one in found):
        raise typer.Exit(3)


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
    base = source_of(path)
    plans = [_compared("as it is" if not others else path.stem, path, base, today)]
    plans += [_compared(other.stem, other, source_of(other), today) for other in others]
    for name, wanted in changes.items():
        with refusing():
            text = with_settings(base, wanted)
        plans.append(_compared(name, path, text, today, beside=base))
    return _named_apart(plans)


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
