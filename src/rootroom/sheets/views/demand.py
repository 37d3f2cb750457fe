"""The demand as texts, and the line that can be checked against memory."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.sheets.layout import clip, halves

if TYPE_CHECKING:
    from rootroom.demand.estimates import Addition, Estimate, MoveDemand
    from rootroom.demand.find import Demand
    from rootroom.plan.model import Plan
    from rootroom.sheets.writing import Writer

BAGS = {"us": ("2 cu ft", 56.633693184), "metric": ("50 L", 50.0)}
"""A bag that every grower has carried, by its text and its litres [L]."""


@frozen
class Amounts:
    """What to plan on of a good, and what it could be."""

    what: str
    plan_on: str
    could_be: str


def figures_view(figures: Mapping[str, Estimate], writer: Writer) -> list[Amounts]:
    """Return what to plan on of each mix or ingredient."""
    return [
        Amounts(
            what=writer.name(name),
            plan_on=writer.volume(figure.median, like=figure.high),
            could_be=writer.volume(figure.high),
        )
        for name, figure in figures.items()
    ]


def additions_view(additions: Mapping[str, Addition], writer: Writer) -> list[Amounts]:
    """Return what to plan on of each addition."""
    return [
        Amounts(
            what=writer.name(name),
            plan_on=writer.amount(name, one.amount.median, one.unit),
            could_be=writer.amount(name, one.amount.high, one.unit),
        )
        for name, one in additions.items()
    ]


def check_line(plan: Plan, demand: Demand) -> str:
    """Return how far one bag goes on the move that takes most mix; empty if none takes any."""
    found = _thirstiest(demand)
    if found is None:
        return ""
    move, pot_l = found
    bag, bag_l = BAGS[plan.garden.system]
    number = bag_l / pot_l
    refresh, word = move.old == move.new, "filled up" if move.fills_up else "refreshed"
    old, mix = clip(move.old, 24), clip(move.mix or "", 30)
    which = f"{clip(move.plant, 40)}, " + (
        f"{old} {word}" if refresh else f"{old} to {clip(move.new, 24)}"
    )
    if number < 0.75:
        return f"one of these takes about {halves(1 / number)} {bag} bags of {mix}: {which}"
    shown = halves(max(number, 0.5)) if number < 3 else f"{number:.0f}"
    does = "is enough for" if refresh else "pots on"
    return f"one {bag} bag of {mix} {does} about {shown} of these: {which}"


def _thirstiest(demand: Demand) -> tuple[MoveDemand, float] | None:
    """Return the move whose pots take most mix in all, and the mix of one pot [L]."""
    best: tuple[float, MoveDemand, float] | None = None
    moves = demand.moves
    first: dict[int, int] = {}
    for row, kind in enumerate(moves.kind_of.tolist()):
        first.setdefault(kind, row)
    for kind, row in first.items():
        for column, shown in zip(moves.kinds[kind].moves, moves.of_row(row), strict=True):
            rows = zip(moves.kinds[kind].rows, column.median_l, strict=True)
            total = sum(count * litres for count, litres in rows)
            pots = sum(c * p for c, p in zip(moves.kinds[kind].rows, column.pots, strict=True))
            if total > 0 and pots and (best is None or total > best[0]):
                best = (total, shown, total / pots)
    return None if best is None else best[1:]
