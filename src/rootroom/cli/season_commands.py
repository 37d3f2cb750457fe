"""Commands that take a plan: one stage each, and the whole season."""

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rootroom.cli.common import (
    AsJson,
    PlanPath,
    Seconds,
    Today,
    date_option,
    fail,
    load,
    meant,
    read_share,
    read_sure,
    refusing,
    say,
    say_written,
    warn,
)
from rootroom.cli.streams import terminal_width, working, writing
from rootroom.counts import some_of

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.season import Season

Sure = Annotated[
    str | None,
    typer.Option("--sure", metavar="SHARE", help="How often it should be enough, as `95%`."),
]
PricesUp = Annotated[
    str | None, typer.Option("--prices-up", metavar="SHARE", help="Raise every price, `8%`.")
]
Without = Annotated[
    list[str] | None,
    typer.Option("--without", metavar="SUPPLIER", help="Leave a supplier out (repeatable)."),
]
Paper = Annotated[
    str | None,
    typer.Option(
        "--paper",
        metavar="a4|letter",
        help="The paper to print on; by default it goes with the plan's units.",
    ),
]
Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="Write the files into this folder.")
]


def season(
    plan: PlanPath,
    out: Out = None,
    paper: Paper = None,
    sure: Sure = None,
    seconds: Seconds = None,
    today: Today = None,
) -> None:
    """Do the whole job: demand, shopping list, dated sessions, sheets."""
    _check_wishes(paper, ())
    made = _season(load(plan, today), "answers.season", seconds=seconds, sure=sure)
    from rootroom.sheets.answers.season import season_text

    with working("writing the answer"):
        text = season_text(made, width=terminal_width(), written=out is not None)
    say(text)
    if out is not None:
        _write_sheets(made, out, paper=paper, only=())
        _post(plan, made)
    if not made.schedule.complete:
        raise typer.Exit(3)


def check(plan: PlanPath) -> None:
    """Report every mistake in the plan, or what it takes for granted."""
    from rootroom.sheets.answers.check import check_text

    say(check_text(load(plan, brief=False), width=terminal_width()))


def demand(
    plan: PlanPath,
    as_json: AsJson = False,
    why: Annotated[
        str | None,
        typer.Option("--why", metavar="PLANT", help="Show every number for one plant or bed."),
    ] = None,
    today: Today = None,
) -> None:
    """Tell how much of each mix and ingredient the season takes."""
    from rootroom.demand.find import find_demand

    checked = load(plan, today)
    if why is not None:
        names = (*checked.plants.names, *(bed.name for bed in checked.beds))
        why = meant(why, names, "plant or bed")
    with working("working out the demand"):
        found = find_demand(checked)
    if as_json:
        from rootroom.sheets.answers.as_json import demand_json

        with writing("writing the answer"):
            sys.stdout.writelines(demand_json(found))
        return
    from rootroom.sheets.answers.demand import demand_text, why_demand_text

    with working("working out where the doubt comes from"):
        text = demand_text(checked, found) if why is None else why_demand_text(checked, found, why)
    say(text)


def buy(
    plan: PlanPath,
    as_json: AsJson = False,
    why: Annotated[bool, typer.Option("--why", help="Say what each package is for.")] = False,
    sure: Sure = None,
    prices_up: PricesUp = None,
    without: Without = None,
    out: Out = None,
    seconds: Seconds = None,
    today: Today = None,
) -> None:
    """Find the cheapest whole packages, beside ready-made mix."""
    from fractions import Fraction

    from rootroom.season import agree

    checked = load(plan, today)
    left_out = frozenset(meant(name, checked.suppliers, "supplier") for name in without or ())
    share = read_sure(sure)
    with working("planning the season"):
        made = agree(
            checked,
            seconds=seconds,
            sure_share=share,
            prices_up=read_share(prices_up, "--prices-up") or Fraction(0),
            without=left_out,
        )
    if as_json:
        from rootroom.sheets.answers.as_json import buying_json

        say(buying_json(made.shopping))
    else:
        from rootroom.sheets.answers.buying import buying_text

        say(buying_text(made.shopping, why=why))
    if out is not None:
        from rootroom.sheets.answers.buying import buying_csv
        from rootroom.sheets.files import write_files

        write_files(out, {"shopping.csv": buying_csv(made.shopping).encode()})
    if made.shopping.status in ("infeasible", "limit"):
        raise typer.Exit(3)


def sessions(
    plan: PlanPath,
    as_json: AsJson = False,
    why: Annotated[bool, typer.Option("--why", help="Say why days are as they are.")] = False,
    seconds: Seconds = None,
    today: Today = None,
    start_from: Annotated[date | None, date_option("--from", "No work before.")] = None,
    on: Annotated[date | None, date_option("--on", "Show this session alone.")] = None,
) -> None:
    """Put the work on the fewest days, with what each of them takes."""
    checked = load(plan, today)
    made = _season(checked, "answers.sessions", seconds=seconds, start_from=start_from)
    scheduled = made.schedule
    days = [session.date for session in scheduled.sessions]
    if on is not None and on not in days:
        fail(f"no session on {on}", hint=f"sessions are on {', '.join(map(str, days)) or 'no day'}")
    from rootroom.sheets.answers.as_json import sessions_json
    from rootroom.sheets.answers.sessions import sessions_text

    with working("writing the answer"):
        if as_json:
            text = sessions_json(scheduled)
        else:
            width = terminal_width()
            text = sessions_text(
                checked, scheduled, why=why, shopping=made.shopping, on=on, width=width
            )
    say(text)
    if not scheduled.complete:
        raise typer.Exit(3)


def sheets(
    plan: PlanPath,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Write the files into this folder.")
    ],
    paper: Paper = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only",
            metavar="KIND",
            help="One of pdf, page, text, calendar, labels, tables, tasks; tasks only come so.",
        ),
    ] = None,
    label_sheet: Annotated[
        str | None,
        typer.Option(
            "--label-sheet",
            metavar="SHEET",
            help="Rows x columns and margins of your labels: `10 x 3, 0.5 in x 0.2 in, 0.12 in`.",
        ),
    ] = None,
    seconds: Seconds = None,
    today: Today = None,
) -> None:
    """Write checklists, phone page, calendar, labels and tables."""
    kinds = tuple(only or ())
    _check_wishes(paper, kinds, label_sheet)
    made = _season(load(plan, today), "kinds", seconds=seconds)
    _write_sheets(made, out, paper=paper, only=kinds, label_sheet=label_sheet)
    _post(plan, made)
    if not made.schedule.complete:
        raise typer.Exit(3)


def _season(
    plan: "Plan",
    shown_by: str,
    *,
    seconds: float | None,
    sure: str | None = None,
    start_from: date | None = None,
) -> "Season":
    """Plan a season; the module of `sheets` that shows it is loaded while solvers work."""
    from rootroom.child_process import wanted_next
    from rootroom.season import make_season

    wanted_next(f"rootroom.sheets.{shown_by}")
    share = read_sure(sure)
    with working("planning the season"):
        return make_season(plan, seconds=seconds, start_from=start_from, sure_share=share)


def _check_wishes(paper: str | None, only: tuple[str, ...], label_sheet: str | None = None) -> None:
    """Refuse an unknown paper or kind of sheet before anything is worked out."""
    if paper is None and not only and label_sheet is None:
        return
    from rootroom.sheets.kinds import check_wishes

    with refusing(coded=False):
        check_wishes(paper, only, label_sheet)


def _write_sheets(
    made: "Season",
    out: Path,
    *,
    paper: str | None,
    only: tuple[str, ...],
    label_sheet: str | None = None,
) -> None:
    from rootroom.sheets.kinds import unprintable, write_sheets

    if names := unprintable(made.plan, only):
        shown = some_of(f"`{name}`" for name in names)
        warn(f"the PDF's fonts lack letters of {shown}; it tells them by their code points")
    with working("writing the sheets"):
        written = write_sheets(made, out, paper=paper, only=only, label_sheet=label_sheet)
    say_written(written, out)


def _post(path: Path, made: "Season") -> None:
    """Note in the plan's record, where there is one, which plan people work by from now on."""
    from rootroom.record import record_path

    if not record_path(path).exists():
        return
    from rootroom.replanning.posting import post
    from rootroom.sessions.least_change import posted_work

    if posted_work(made.schedule.sessions) != made.plan.posted:
        post(path, made, made.plan.work.first)
