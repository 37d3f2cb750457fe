"""The answers as parts of the page: demand at once, then list, days, chart and what differs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rootroom.demand.recipes import given_by_spoon
from rootroom.plan.reader import read_plan_text
from rootroom.plan.toml.source import decode
from rootroom.problems import Problem, TextError
from rootroom.record import record_path
from rootroom.record.apply import apply_record
from rootroom.record.file import read_record
from rootroom.sheets.writing import Writer

if TYPE_CHECKING:
    from jinja2 import Environment

    from rootroom.comparing import Outcome
    from rootroom.plan.model import Plan
    from rootroom.season import Season

CHART = 640.0
"""How wide the picture of the season is drawn [pixels]."""
CHART_NAMES = 150.0
MOST_DIFFERENCES = 12


def read_for_answers(text: str, path: Path, lists: Mapping[str, str]) -> Plan | None:
    """Return the plan of a text as it stands after its record; None where it has errors.

    `lists` are the CSV lists beside it by name, as they are being written.
    """
    source = decode(path, text.encode())
    if isinstance(source, Problem):
        return None
    plan, _ = read_plan_text(source, path, lists=lists)
    return None if plan is None else as_it_stands(plan, path)


def as_it_stands(plan: Plan, path: Path) -> Plan:
    """Return what is left of a plan after the record beside it, where there is one."""
    record = read_record(record_path(path), plan)
    return apply_record(plan, record.events) if record.events else plan


def demand_html(plan: Plan) -> str:
    """Return how much of each mix, ingredient and addition the plan takes."""
    from rootroom.demand.find import find_demand
    from rootroom.sheets.views.demand import additions_view, figures_view

    demand = find_demand(plan)
    writer = _writer(plan)
    return _render(
        "demand.html",
        mixes=figures_view(demand.mixes, writer),
        ingredients=figures_view(demand.ingredients, writer),
        additions=additions_view(demand.additions, writer),
    )


def answer_html(season: Season) -> dict[str, str]:
    """Return the shopping list, the days, and the season's picture."""
    from rootroom.sheets.charts.season import season_charts
    from rootroom.sheets.views.demand import check_line
    from rootroom.sheets.views.season import season_view
    from rootroom.sheets.views.shopping import shopping_view

    writer = _writer(season.plan)
    charts = season_charts(season, writer, width=CHART, names=CHART_NAMES)
    return {
        "check": _render("check.html", check=check_line(season.plan, season.demand)),
        "list": _render("list.html", shopping=shopping_view(season.shopping, writer)),
        "days": _render("days.html", season=season_view(season, writer)),
        "chart": "".join(f'<div class="wide" tabindex="0">{svg}</div>' for svg in charts.values()),
    }


def compared_html(outcomes: Sequence[Outcome], broken: Sequence[str]) -> str:
    """Return plans side by side, the first as it is now; `broken` are names of those with errors.

    What differs in each is told against the first.
    """
    from rootroom.sheets.answers.comparing import measures

    rows = [(row.head, [row.say(one) or "none" for one in outcomes]) for row in measures(outcomes)]
    return _render(
        "compared.html",
        names=[one.name for one in outcomes],
        rows=[row for row in rows if set(row[1]) != {"none"}],
        others=outcomes[1:],
        broken=broken,
        most=MOST_DIFFERENCES,
    )


def sheets_written(season: Season, path: Path, out: Path) -> dict[str, Any]:
    """Write the sheets of a season, note in the record by which plan people work, name the files.

    Where nothing was written, `refused` says why.
    """
    from rootroom.replanning.posting import post
    from rootroom.sessions.least_change import posted_work
    from rootroom.sheets.kinds import write_sheets

    try:
        names = write_sheets(season, out, paper=None, only=())
    except TextError as error:
        return {"refused": error.message}
    except OSError as error:
        return {"refused": f"cannot write: {error.strerror}"}
    if record_path(path).exists() and posted_work(season.schedule.sessions) != season.plan.posted:
        post(path, season, season.plan.work.first)
    return {"written": list(names), "folder": out.name}


def _writer(plan: Plan) -> Writer:
    return Writer.of(plan.garden, given_by_spoon(plan))


def _render(name: str, **values: Any) -> str:
    return _environment().get_template(name).render(**values)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("rootroom.page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
