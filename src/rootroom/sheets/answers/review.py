"""Planned against real as plain text, and as a table for a spreadsheet."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from rootroom.counts import some_of
from rootroom.sheets.layout import Cell, clip, csv_text, day_short, plain, ruled_table
from rootroom.sheets.writing import money, per_volume, volume_name
from rootroom.units import show_minutes, show_volume
from rootroom.units.showing import BESIDE

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.record.planned_and_real import Review, SeasonTotals
    from rootroom.units import System


def review_text(plan: Plan, found: Review, seasons: Sequence[SeasonTotals] = ()) -> str:
    """Return the review within 80 columns; `seasons` are compared where there is more than one."""
    system = plan.garden.system
    parts = []
    if found.sessions:
        parts.append(_headed("By session, planned and real", _sessions(found, system)))
        missing = sum(one.minutes is None for one in found.sessions)
        if missing:
            of = len(found.sessions)
            parts.append(f"Hours were not noted on {missing} of {of} days; totals leave them out.")
    if found.mixes:
        parts.append(_headed("By mix", _mixes(found, system)))
    if found.goods:
        title = f"Money before tax [{clip(plan.garden.currency, 8)}]"
        parts.append(_headed(title, _goods(found, plan.garden.currency)))
    if found.paid:
        parts.append(_headed("Prices paid", _paid(found, plan.garden.currency)))
    if found.saved:
        per = volume_name(system)
        parts.append(
            _headed(
                f"Own mix beside ready-made, a {per}", _saved(found, system, plan.garden.currency)
            )
        )
    if found.cared:
        parts.append(_headed("Aftercare that was given", _cared(found)))
    if len(seasons) > 1:
        parts.append(_headed("Season by season", _seasons(seasons, system, plan.garden.currency)))
    return "\n\n".join(parts) or "The record tells of no work yet."


Row = tuple[str, str, str, str, Cell, Cell]
"""Kind, name, figure, unit, planned and real."""


def review_csv(found: Review) -> str:
    """Return planned and real figures as one table, mix in litres and in gallons beside."""
    heads = ("kind", "name", "figure", "unit", "planned", "real")
    us = ("US unit", "planned (US)", "real (US)")
    return csv_text((*heads, *us), ((*row, *_us(*row[3:])) for row in _rows(found)))


def _rows(found: Review) -> Iterator[Row]:
    for one in found.sessions:
        day = one.day.isoformat()
        yield ("session", day, "plants", "", one.planned_plants, one.plants)
        yield ("session", day, "mix", "L", plain(one.planned_l), plain(one.blended_l))
        yield ("session", day, "work", "min", plain(one.planned_min), plain(one.minutes))
    for mix in found.mixes:
        yield ("mix", mix.mix, "mix", "L", plain(mix.planned_so_far_l), plain(mix.used_l))
    for good in found.goods:
        yield ("good", good.of, "packs", "", plain(good.planned_packs), plain(good.packs))
        yield ("good", good.of, "money", "cents", good.planned_cents, good.paid_cents)
    for care in found.cared:
        what = f"{care.do} {care.of or ''}".strip()
        due, given = care.due.isoformat(), care.day.isoformat()
        yield ("aftercare", ", ".join(care.plants), what, "", due, given)


def _cared(found: Review) -> str:
    rows = [
        [
            day_short(one.due), day_short(one.day),
            clip(f"{one.do} {one.of or ''}".strip(), 26),
            clip(some_of(one.plants), 34), str(one.count),
        ]
        for one in found.cared
    ]  # fmt: skip
    return ruled_table(("due", "given", "what", "to", "plants"), rows, "llllr")


def _us(unit: str, planned: Cell, real: Cell) -> tuple[Cell, Cell, Cell]:
    us = BESIDE.get(unit)
    if us is None:
        return unit, planned, real
    planned_us, real_us = (
        None if one is None else plain(us.of(float(one))) for one in (planned, real)
    )
    return us.name, planned_us, real_us


def _headed(title: str, table: str) -> str:
    return f"{title}\n\n{table}"


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    return textwrap.indent(ruled_table(heads, rows, "l" + "r" * (len(heads) - 1)), "  ")


def _ratio(real: float | None, planned: float) -> str:
    if real is None or planned <= 0:
        return ""
    return f"{round(100 * (real / planned - 1)):+d}%"  # a whole number has no minus zero


def _sessions(found: Review, system: System) -> str:
    heads = ["day", "plants", "moved", "mix", "blended", "time", "worked", ""]
    rows = [
        [
            day_short(one.day), str(one.planned_plants), str(one.plants),
            _volume(one.planned_l, system), _volume(one.blended_l, system),
            show_minutes(one.planned_min), "" if one.minutes is None else show_minutes(one.minutes),
            _ratio(one.minutes, one.planned_min),
        ]
        for one in found.sessions
    ]  # fmt: skip
    timed = [one for one in found.sessions if one.minutes is not None]
    planned = sum(one.planned_min for one in timed)
    real = sum(one.minutes or 0.0 for one in timed)
    rows.append(
        [
            "all", str(sum(one.planned_plants for one in found.sessions)),
            str(sum(one.plants for one in found.sessions)),
            _volume(sum(one.planned_l for one in found.sessions), system),
            _volume(sum(one.blended_l or 0.0 for one in found.sessions), system),
            show_minutes(planned) if timed else "", show_minutes(real) if timed else "",
            _ratio(real, planned) if timed else "",
        ]
    )  # fmt: skip
    return _table(heads, rows)


def _volume(litres: float | None, system: System) -> str:
    return "" if litres is None else show_volume(litres, system) if litres > 0 else "0"


def _mixes(found: Review, system: System) -> str:
    heads = ["mix", "season", "so far", "used", "", "blended", "bags", "spilled", "left"]
    rows = [
        [
            clip(mix.mix, 14), _volume(mix.planned_l, system),
            _volume(mix.planned_so_far_l, system), _volume(mix.used_l, system),
            _ratio(mix.used_l, mix.planned_so_far_l), _volume(mix.blended_l, system),
            _volume(mix.bought_l, system), _volume(mix.spilled_l, system),
            _volume(mix.left_l, system),
        ]
        for mix in found.mixes
    ]  # fmt: skip
    return _table(heads, rows)


def _goods(found: Review, currency: str) -> str:
    heads = ["good", "packs", "bought", "planned", "paid", ""]
    rows = [
        [
            clip(good.of, 26), f"{good.planned_packs:g}", f"{good.packs:g}",
            money(good.planned_cents, currency),
            money(good.paid_cents, currency) + ("?" if good.not_noted else ""),
            _ratio(good.paid_cents, good.planned_cents)
            if good.packs and not good.not_noted else "",
        ]
        for good in found.goods
    ]  # fmt: skip
    planned = sum(good.planned_cents for good in found.goods)
    paid = sum(good.paid_cents for good in found.goods)
    table = _table(
        heads, [*rows, ["all", "", "", money(planned, currency), money(paid, currency), ""]]
    )
    unknown = sum(good.not_noted for good in found.goods)
    return f"{table}\n  ? the price of {unknown} was not noted" if unknown else table


def _paid(found: Review, currency: str) -> str:
    heads = ["good", "day", "packs", "each", "from"]
    rows = [
        [
            clip(one.of, 24), one.day.isoformat(), f"{float(one.packs):g}",
            "" if one.cents_each is None else money(round(one.cents_each), currency),
            clip(one.source or "", 20),
        ]
        for one in sorted(found.paid, key=lambda one: (one.of, one.day))
    ]  # fmt: skip
    return _table(heads, rows)


def _saved(found: Review, system: System, currency: str) -> str:
    from fractions import Fraction

    heads = ["mix", "prices of", "own", "ready-made", "saved"]
    rows = [
        [
            clip(one.mix, 24), "the plan" if one.day is None else one.day.isoformat(),
            per_volume(Fraction(one.own_cents_per_l), system, currency),
            per_volume(Fraction(one.ready_cents_per_l), system, currency),
            f"{100 * one.share:.0f}%",
        ]
        for one in sorted(found.saved, key=lambda one: one.mix)
    ]  # fmt: skip
    return _table(heads, rows)


def _seasons(seasons: Sequence[SeasonTotals], system: System, currency: str) -> str:
    heads = ["season", "first", "days", "moved", "lost", "blended", "time", "a plant", "paid"]
    rows = [
        [
            clip(one.name, 12), "" if one.first is None else one.first.isoformat(),
            str(one.sessions), str(one.plants), str(one.lost), _volume(one.blended_l, system),
            show_minutes(one.minutes) if one.minutes else "",
            f"{one.minutes / one.plants:.1f} min" if one.plants and one.minutes else "",
            money(one.paid_cents, currency),
        ]
        for one in sorted(seasons, key=lambda one: (one.first is None, one.first, one.name))
    ]  # fmt: skip
    return _table(heads, rows)
