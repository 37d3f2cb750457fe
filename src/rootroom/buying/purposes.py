"""What every good is for: which mixes, plants and beds use it, and how much of it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.buying.lacking import PLAIN
from rootroom.buying.result import Purpose
from rootroom.buying.stating import SMALL

if TYPE_CHECKING:
    from rootroom.buying.problem import Basket, Problem
    from rootroom.plan.model import Plan

__all__ = ["purposes", "uses_of"]


def purposes(plan: Plan, problem: Problem, basket: Basket) -> Iterable[Purpose]:
    """Yield each use of each good, goods in the order of the problem."""
    for index, good in enumerate(problem.goods):
        unit, small = PLAIN[good.unit], SMALL[good.unit]
        for use, amount in _amounts(plan, problem, basket, index):
            if amount > 0:
                yield Purpose(good.name, use, unit, float(amount) / small)


def uses_of(plan: Plan, problem: Problem, basket: Basket, index: int) -> tuple[str, ...]:
    """Return in words what uses a good."""
    return tuple(use for use, amount in _amounts(plan, problem, basket, index) if amount > 0)


def _amounts(
    plan: Plan, problem: Problem, basket: Basket, index: int
) -> Iterable[tuple[str, Fraction]]:
    good = problem.goods[index]
    if good.need:
        yield _direct(plan, good.name, good.kind), Fraction(good.need)
    for number, recipe in enumerate(problem.recipes):
        name = problem.goods[recipe.mix].name
        amount = Fraction(0)
        for part, volume in zip(recipe.parts, basket.parts[number], strict=True):
            amount += volume if part.good == index else 0
        for added, rate in recipe.adds:
            amount += rate * basket.blended[number] if added == index else 0
        yield f"mix {name}", amount


def _direct(plan: Plan, name: str, kind: str) -> str:
    """Return which plants and beds use a good themselves, the first few by name."""
    users: dict[str, None] = {}
    wanted = set()
    for number, group in enumerate(plan.plants.kinds):
        for move in group.moves:
            container = move.to.text if move.to is not None else None
            if {"mix": move.mix, "container": container}.get(kind) == name or name in move.add:
                wanted.add(number)
    for row, of in enumerate(plan.plants.kind_of):
        if of in wanted:
            users[plan.plants.names[row]] = None
    for bed in plan.beds:
        if any(layer.of == name for layer in bed.layers):
            users[bed.name] = None
    if not users:
        return "pots"
    first = list(users)[:3]
    more = len(users) - len(first)
    return ", ".join(first) + (f" and {more} more" if more else "")
