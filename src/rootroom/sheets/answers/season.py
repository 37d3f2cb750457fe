"""The whole season on one screen: how much, what it costs, which days, what is in doubt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rootroom.sheets.answers.buying import headline_text, saved_text, screen_writer, totals_text
from rootroom.sheets.answers.demand import doubt_lines
from rootroom.sheets.answers.sessions import days_table, headline, trouble_texts
from rootroom.sheets.layout import WIDTH, clip, fill, fitted_table
from rootroom.sheets.views.before_and_after import aftercare_text, fetches
from rootroom.sheets.views.shopping import least_texts
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Made
    from rootroom.season import Season
    from rootroom.units import System


def season_text(season: Season, *, width: int = WIDTH, written: bool = False) -> str:
    """Return the answer of all stages, no line longer than `width` [characters].

    `written` says that the sheets are written too, so that nobody is told how to get them.
    """
    plan, schedule, shopping = season.plan, season.schedule, season.shopping
    bought = fetches(schedule, shopping)
    parts = [
        f"{clip(plan.garden.name, 44)} ({clip(plan.file, 32)})",
        _mixes(season, width),
        "\n".join(part for part in (headline_text(shopping), _totals(season)) if part),
        headline(schedule) + "\n" + days_table(schedule, plan.garden.system, bought, width=width),
        *trouble_texts(schedule),
        aftercare_text(plan, schedule),
        "\n".join(doubt_lines(plan, season.demand, width)),
        _more(written=written),
    ]
    return "\n\n".join(part.rstrip() for part in parts if part)


def _mixes(season: Season, width: int) -> str:
    """Return what to plan on of each mix, and whether it is blended or bought."""
    system = season.plan.garden.system
    made = season.shopping.made
    rows = [
        [
            clip(name, 36),
            show_volume(figure.median, system, like=figure.high),
            show_volume(figure.high, system),
            _way(made[name], figure.high, system) if name in made else "",
        ]
        for name, figure in season.demand.mixes.items()
    ]
    if not rows:
        return "No mix is needed: no plant goes into a container and no bed is filled."
    heads = ("mix", "plan on", "up to", "blended or bought")
    return fitted_table(heads, rows, "lrrl", width=width)


def _way(made: Made, like: float, system: System) -> str:
    ways = (("blended", made.blended_l), ("bought", made.ready_l))
    return ", ".join(
        f"{show_volume(x, system, up=True, like=like)} {how}" for how, x in ways if x > 0
    )


def _totals(season: Season) -> str:
    shopping = season.shopping
    least = least_texts(shopping, screen_writer(shopping))
    lines = [totals_text(shopping), *(fill(text, indent="  ", hanging="  ") for text in least)]
    return "\n".join([*filter(None, lines), *saved_text(shopping)])


def _more(*, written: bool) -> str:
    more = "More: `rootroom sessions`, `buy`, `demand` and `drained` with this plan."
    return more if written else f"{more}\nOn paper, phone and calendar: `--out DIR`."
