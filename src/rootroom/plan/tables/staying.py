"""How full a move leaves a pot, and moves of plants that stay in theirs: carried in and out."""

from __future__ import annotations

from typing import Any, NamedTuple

from attrs import evolve

from rootroom.plan.context import Context
from rootroom.plan.dates import Window
from rootroom.plan.diagnostics import Path
from rootroom.plan.names import CARRIED, meant
from rootroom.plan.tables.plant_table import MoveTable, Standing
from rootroom.plan.values import When
from rootroom.units import show_level


class Filling(NamedTuple):
    """How a move fills a pot: the share renewed, the share that is in after it and before it.

    `fits` is False where a mistake says so.
    """

    refresh: float | None
    level: float
    begun: float
    fits: bool


def filling_of(
    table: MoveTable, place: str | None, standing: Standing, path: Path, context: Context
) -> Filling:
    """Return how a move fills a pot, and note in `standing` how many plants share one after it.

    A pot that is filled further is refreshed by the difference.
    """
    if table.refresh is not None and table.per_pot is not None:
        standing.shared = table.per_pot
    refresh = _refreshed(table, standing, path, context)
    level = 1.0 if table.fill is None else float(table.fill)
    fits = table.fill is None or _fits_fill(table, place, standing, path, context)
    begun = standing.filled if fits and table.fill is not None and table.to is None else 0.0
    return Filling(level - begun if begun else refresh, level, begun, fits)


def how_full(
    table: MoveTable, place: str | None, filling: Filling, standing: Standing, context: Context
) -> dict[str, Any]:
    """Return what a move takes from how it fills a pot, and from how that stood before."""
    stays = filling.refresh is not None or place in CARRIED
    return {
        "refresh": filling.refresh,
        "per_pot": standing.shared if stays else table.per_pot or 1,
        "filled": filling.level,
        "begun": filling.begun,
        "old_filled": standing.filled if filling.refresh is None else 1.0,
        "pot_mix": pot_mix_of(standing, context) if place in CARRIED else None,
        "shared": standing.shared,
    }


def _fits_fill(
    table: MoveTable, place: str | None, standing: Standing, path: Path, context: Context
) -> bool:
    """Return whether a pot can be filled as far as a move says; note what stands against it."""
    level, pot = float(table.fill or 1.0), standing.pot
    message, hint = "", "a pot is filled further from move to move"
    if place is not None:
        message, hint = f"`{place}` is no pot that is filled in part", "leave `fill` out here"
    elif table.refresh is not None:
        message, hint = "a pot is refreshed or filled further, not both", "leave one out"
    elif table.to is None and (table.into or table.keep is not None or table.per_pot):
        message = "plants stay as they are while their pot is filled further"
        hint = "leave out `into`, `keep` and `per_pot` here, or write `to`"
    elif table.to is None and pot is not None and standing.filled >= 1:
        message = f"the pot is full before: `{pot.text}`"
        hint = 'fill it in part first, as `to = "15 gal bag", fill = "1/3"`'
    elif table.to is None and pot is not None and level <= standing.filled:
        message = f"the pot is to be {show_level(level)}, and is {show_level(standing.filled)}"
    if message:
        context.findings.error((*path, "fill"), "bad-fill", message, hint=hint)
    return not message


def _refreshed(table: MoveTable, standing: Standing, path: Path, context: Context) -> float | None:
    """Return the share of the fill that is renewed."""
    if table.refresh is None or standing.pot is None:
        return None
    findings, where = context.findings, (*path, "refresh")
    kind, amount = table.refresh
    if standing.filled < 1:
        message = f"a pot is refreshed once it is full, and is {show_level(standing.filled)}"
        findings.error(where, "bad-fill", message, hint='fill it before: `fill = "full"`')
        return None
    if not standing.pot.holds:
        findings.error(where, "no-container", f"nothing is there to refresh: `{standing.pot.text}`")
        return None
    if kind == "share":
        return float(amount)
    try:
        return standing.pot.top_share(amount)
    except ValueError:
        height_m = standing.pot.fill_height_m
        if height_m is None:
            message = f"a depth needs the height of the container: `{standing.pot.text}`"
            hint = 'give the share instead, `refresh = "1/4"`'
        else:
            message = f"deeper than the fill of `{standing.pot.text}`, {context.length(height_m)}"
            hint = ""
        findings.error(where, "bad-depth", message, hint=hint)
        return None


def carried_to(to: str | None, context: Context) -> str | None:
    """Return where plants are carried to in their pots; a bed or container of that name wins."""
    if to is None or meant(to, (*context.bed_names, *context.container_names)) is not None:
        return None
    return meant(to, CARRIED)


def by_first_frost(table: MoveTable, path: Path, context: Context) -> MoveTable:
    """Return a move under cover, by the first frost where it has no window and that is known."""
    dated = table.from_ is not None or table.by is not None or context.findings.seen((*path, "by"))
    if dated or context.garden.first_frost is None or carried_to(table.to, context) != "shelter":
        return table
    return evolve(table, by=When(Window(frost_days=0, autumn=True)))


def pot_mix_of(standing: Standing, context: Context) -> str | None:
    """Return what a pot holds: what it was filled with, else the plan's only mix."""
    names = list(context.mix_names)
    return standing.mix or (names[0] if len(names) == 1 else None)


def divided(table: MoveTable, place: str | None, path: Path, context: Context) -> bool:
    """Return whether keys are given about the balls of plants that stay in pots; note them."""
    given = {"into": table.into, "keep": table.keep, "per_pot": table.per_pot}
    keys = [key for key, value in given.items() if value is not None]
    for key in keys:
        context.findings.error(
            (*path, key),
            "carried-as-it-is",
            f"plants are carried to `{place}` in their pots: `{key}`",
            hint="leave it out here, or write it on a move `to` another container",
            key=True,
        )
    return bool(keys)
