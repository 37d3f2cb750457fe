"""One move of a plant: what its keys say, and what must be true of them."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, Literal

from rootroom.containers.container import Container
from rootroom.plan.context import UNKNOWN_DATES, Context, read_window_of
from rootroom.plan.diagnostics import Path
from rootroom.plan.model import Move
from rootroom.plan.names import CARRIED, meant
from rootroom.plan.tables.ingredients import additions
from rootroom.plan.tables.plant_table import MoveTable, Standing, read_care
from rootroom.plan.tables.staying import (
    Filling,
    by_first_frost,
    carried_to,
    divided,
    filling_of,
    how_full,
)
from rootroom.tolerances import ROUNDING
from rootroom.units import show_level

Outcome = Literal["no-frost", "undated", "no-by", "long-step", "same-pot"]


def read_move(
    table: MoveTable, number: int, last: bool, standing: Standing, path: Path, context: Context
) -> tuple[Move | None, list[Outcome]]:
    """Return the move and what to warn of; None where a mistake leaves it unknown.

    `standing` is brought up to date, so that a move with a mistake hides nothing of the next.
    """
    table = by_first_frost(table, path, context)
    carried = carried_to(table.to, context)
    tender_now = last if carried is None else carried == "outdoors"
    with_frost = tender_now and standing.tender
    outcomes = _undated(table, with_frost, path, context)
    if _left_before(standing, path, context):
        return None, []
    target, place = _target(table, path, context)
    dates = _window(table, with_frost, standing, path, context)
    count = _count(table, standing, path, context)
    mix = _mix(table, place, path, context)
    filling = filling_of(table, place, standing, path, context)
    add = _additions(table, place, path, context)
    target, step = _stepped(table, target, standing, path, context)
    move = None
    fills = target is not None or filling.refresh is not None
    ends = place is not None or (fills and mix is not None)
    if standing.pot is not None and dates is not None and ends:
        move = Move(
            number=number,
            old=standing.pot,
            to=target,
            place=place,
            mix=mix,
            opens=dates[0],
            due=dates[1],
            where=context.findings.where(path),
            count=count,
            add=add,
            care=read_care(table.then or (), (*path, "then"), place, context),
            **_plain(table),
            **how_full(table, place, filling, standing, context),
        )
    fits = filling.fits and not (place in CARRIED and divided(table, place, path, context))
    if place not in CARRIED:
        _go_on(table, target, place, filling, standing)
        standing.mix = mix
    return move if fits else None, [*outcomes, *step]


def _go_on(
    table: MoveTable,
    target: Container | None,
    place: str | None,
    filling: Filling,
    standing: Standing,
) -> None:
    """Bring up to date where the plant stands, and how full its pot is."""
    if table.refresh is None and (table.to is not None or table.fill is None):
        standing.pot, standing.left = target, place
        standing.shared = table.per_pot or 1
    standing.filled = filling.level if filling.fits else standing.filled


def _left_before(standing: Standing, path: Path, context: Context) -> bool:
    """Note a move of plants that are gone."""
    if standing.left is not None:
        context.findings.error(
            path,
            "moves-after-leaving",
            f"a move after the plant has left for `{standing.left}`",
            hint="leave it out, or put it before",
        )
    return standing.left is not None


def _additions(table: MoveTable, place: str | None, path: Path, context: Context) -> dict[str, Any]:
    """Return what is given to each pot; a place without mix takes nothing."""
    findings, where = context.findings, (*path, "add")
    add = additions(table.add, where, context.ingredients, findings)
    if place is not None and table.add:
        findings.error(where, "place-with-mix", f"`{place}` takes no mix and no additions")
    return add


def _stepped(
    table: MoveTable, target: Container | None, standing: Standing, path: Path, context: Context
) -> tuple[Container | None, list[Outcome]]:
    """Return the container, None where the ball has no place in it, and what the step warns of."""
    old = standing.pot
    if old is None or target is None:
        return target, []
    if _no_place(table, old, target, standing, path, context):
        return None, []
    if _long_step(table, old, target, standing):
        return target, ["long-step"]
    return target, ["same-pot"] if _same_pot(table, old, target, standing) else []


def _plain(table: MoveTable) -> dict[str, Any]:
    """Return what a move takes from its keys as it stands there."""
    return {
        "dated": table.from_ is not None or table.by is not None,
        "wait_days": table.wait or 0,
        "harden_days": table.harden or 0,
        "into": table.into or 1,
        "keep_share": 1.0 if table.keep is None else float(table.keep),
        "people": table.people or 1,
        "big_step": bool(table.big_step),
    }


def _undated(table: MoveTable, frost_opens: bool, path: Path, context: Context) -> list[Outcome]:
    """Return which date is missing: of the last frost, of the window, or of root work."""
    findings = context.findings
    if any(findings.seen((*path, key)) for key in ("from", "by")):
        return []
    frost = context.garden.last_frost is not None or findings.seen(("garden", "last_frost"))
    if frost_opens and table.from_ is None and not frost:
        return ["no-frost"]
    goes_on = table.fill is not None and table.to is None and table.wait is not None
    if table.by is not None or goes_on:
        return []
    cut = table.refresh is not None and table.refresh[0] == "share"
    shaved = table.keep is not None and table.keep < 1
    found: list[Outcome] = ["no-by"] if cut or shaved else []
    return ["undated", *found] if table.from_ is None else found


def _target(table: MoveTable, path: Path, context: Context) -> tuple[Container | None, str | None]:
    """Return the container that a move goes to, or the place without mix."""
    findings = context.findings
    if table.to is not None and table.refresh is not None:
        findings.error(
            (*path, "refresh"),
            "to-and-refresh",
            f"a move goes `to` another container or refreshes this one, not both: `{table.to}`",
            hint="write two moves, or leave out one of the keys",
        )
        return None, None
    if table.to is None:
        told = table.refresh is not None or table.fill is not None
        if not told and not _broken(table, path, context):
            findings.error(
                path,
                "missing-key",
                "a move needs `to` or `refresh`",
                hint='write `to = "#3"`, a bed\'s name, `"ground"`, `"sold"`, or `refresh = "1/3"`',
            )
        return None, None
    place = meant(table.to, ("ground", "sold")) or meant(table.to, context.bed_names)
    place = place or carried_to(table.to, context)
    if place is not None:
        return None, place
    target = context.container(table.to, (*path, "to"), may_be_place=True)
    if target is not None and not target.holds:
        findings.error(
            (*path, "to"),
            "no-container",
            f"nothing can be potted into this: `{table.to}`",
            hint="a plant can start as bare root, cutting or seed, not end as one",
        )
        return None, None
    return target, None


def _broken(table: MoveTable, path: Path, context: Context) -> bool:
    return any(context.findings.seen((*path, key)) for key in ("to", "refresh", "fill"))


def _window(
    table: MoveTable, opens_with_frost: bool, standing: Standing, path: Path, context: Context
) -> tuple[date, date] | None:
    """Return both ends of a move's window; note a wait that ends after all work."""
    dates = read_window_of(table.from_, table.by, path, context, frost_opens=opens_with_frost)
    if dates is None or context.findings.seen((*path, "wait")):
        return None
    after = standing.earliest + timedelta(days=table.wait or 0)
    standing.earliest = max(dates[0], after, context.work.first)
    if after > context.work.last and not context.findings.seen(UNKNOWN_DATES):
        context.findings.error(
            (*path, "wait") if table.wait else path,
            "outside-work",
            f"the wait after the move before ends {after}, when the work is over "
            f"({context.work.last})",
            hint="shorten the wait, do the move before sooner, or work longer: `last`",
        )
        return None
    return dates


def _count(table: MoveTable, standing: Standing, path: Path, context: Context) -> int | None:
    """Return the count where it differs from what is there, and bring the standing up to date."""
    into = table.into or 1
    before = standing.count
    if table.count is None:
        if before is not None:
            standing.count = before * into
        return None
    standing.count = table.count
    if before is not None and table.count > before * into:
        context.findings.error(
            (*path, "count"),
            "count-rises",
            f"more plants than there are: {table.count} of {before * into}",
            hint="a count may only fall from move to move, and rise where `into` divides balls",
        )
    return int(table.count) if before is None or table.count != before * into else None


def _mix(table: MoveTable, place: str | None, path: Path, context: Context) -> str | None:
    """Return the name of the mix: the given one, else the plan's only one."""
    findings = context.findings
    if place is not None:
        if table.mix is not None:
            findings.error(
                (*path, "mix"),
                "place-with-mix",
                f"`{place}` takes no mix: `{table.mix}`",
                hint="a bed is filled under `[[beds]]`; leave `mix` out here",
            )
        return None
    if table.mix is not None:
        return context.mix(table.mix, (*path, "mix"))
    if findings.seen((*path, "mix")) or (not context.mix_names and findings.seen(("mixes",))):
        return None
    if len(context.mix_names) == 1:
        return next(iter(context.mix_names))
    names = ", ".join(f"`{name}`" for name in context.mix_names)
    nowhere = table.to is None and table.refresh is None and table.fill is None
    if nowhere or findings.seen((*path, "to")):  # a bed that is not described takes no mix
        return None
    findings.error(
        path,
        "missing-mix",
        "a move needs its `mix`, since the plan has "
        + (f"{len(context.mix_names)} mixes" if names else "none"),
        hint=f"one of {names}" if names else "describe one: `[mixes.allround]` with its `parts`",
    )
    return None


LEAST_KEPT = 50
"""Percent of a ball that a hint leaves at least: our choice, no source."""


def _no_place(
    table: MoveTable,
    old: Container,
    target: Container,
    standing: Standing,
    path: Path,
    context: Context,
) -> bool:
    """Note a target that the balls fill at the likely values."""
    per_pot, into = table.per_pot or 1, table.into or 1
    keep = 1.0 if table.keep is None else table.keep
    ball_l = old.fill_l.likely * context.factors.ball.likely * keep / into / standing.shared
    balls_l = per_pot * ball_l * standing.filled if old.holds else 0.0
    level = 1.0 if table.fill is None else float(table.fill)
    if target.fill_l.likely * level > balls_l:
        return False
    full = "" if level == 1 else f" {show_level(level)}"
    balls = f"{per_pot} balls from" if per_pot > 1 else "the ball from"
    # A shaved ball leaves some room; less than half of the roots is more than most plants take.
    fits = int(target.fill_l.likely * level / balls_l * keep * 19) * 5
    context.findings.error(
        (*path, "to"),
        "no-place",
        f"no place for mix: {balls} `{old.text}` {_litres(balls_l, context)}, "
        f"`{target.text}`{full} holds {_litres(target.fill_l.likely * level, context)}",
        hint="choose a larger container"
        + (", fewer plants `per_pot`" if per_pot > 1 else "")
        + (f', or shave the ball: `keep = "{fits} %"`' if fits >= LEAST_KEPT else ""),
    )
    return True


def _litres(litres: float, context: Context) -> str:
    from rootroom.units import show_volume

    return f"{show_volume(litres, context.garden.system)} ({litres:.2f} L)"


def _long_step(table: MoveTable, old: Container, target: Container, standing: Standing) -> bool:
    """Return whether a step is longer than roots can follow, by the use of the plant."""
    crop = standing.crop
    if table.big_step or (crop is not None and crop.annual):
        return False
    if not old.holds or old.cells > 1 or not target.class_one_or_more:
        return False
    most = 2.0 if crop is not None and crop.small_steps else 6.0
    plants_l = old.fill_l.likely / standing.shared * (table.per_pot or 1)
    level = 1.0 if table.fill is None else float(table.fill)
    return target.fill_l.likely * level > most * plants_l * (1 + ROUNDING)


def _same_pot(table: MoveTable, old: Container, target: Container, standing: Standing) -> bool:
    """Return whether a whole ball goes into a container like the one it stands in."""
    whole = table.keep is None or float(table.keep) == 1
    alone = (table.per_pot or 1) == standing.shared and (table.into or 1) == 1
    return whole and alone and old.text == target.text
