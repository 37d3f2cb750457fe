"""What every good is for: which mixes, plants and beds use it, and how much of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.buying.problem import SMALL
from rootroom.buying.shopping import PLAIN, Purpose

if TYPE_CHECKING:
    from rootroom.buying.problem import Basket, Problem
    from rootroom.plan.model import Plan, PlantKind

NAMED = 3
"""How many users of a good are named."""

LONG = 1000
"""Rows from which on the users of a good are counted by their kinds."""


def purposes(plan: Plan, problem: Problem, basket: Basket) -> Iterable[Purpose]:
    """Yield each use of each good, goods in the order of the problem."""
    users, used = _users(plan, problem), basket.used(problem)
    for index, good in enumerate(problem.goods):
        unit, small = PLAIN[good.unit], SMALL[good.unit]
        if good.need:
            yield Purpose(good.name, users.get(index, "pots"), unit, float(good.need) / small)
        for name, amount in _into_mixes(problem, basket, used, index):
            if amount > 0:
                yield Purpose(good.name, f"mix {name}", unit, float(amount) / small)


def _into_mixes(
    problem: Problem, basket: Basket, used: Mapping[int, Fraction], index: int
) -> Iterable[tuple[str, Fraction]]:
    """Yield how much of a good goes into each mix: those that are blended, then those bagged."""
    for number, recipe in enumerate(problem.recipes):
        amount = Fraction(0)
        for part, volume in zip(recipe.parts, basket.parts[number], strict=True):
            amount += volume if part.good == index else 0
        for added, rate in recipe.adds:
            amount += rate * basket.blended[number] if added == index else 0
        yield problem.goods[recipe.mix].name, amount
    for bagged, mix in enumerate(problem.goods):
        for added, rate in mix.adds:
            if added == index:
                yield mix.name, rate * used[bagged]


def _users(plan: Plan, problem: Problem) -> dict[int, str]:
    """Return which plants and beds use each good themselves, the first few by name.

    One pass over the plants, whose rows may be very many.
    """
    wanted = {(good.kind == "container", good.name): i for i, good in enumerate(problem.goods)}
    of_kind = [_used_by(kind, wanted) for kind in plan.plants.kinds]
    names, kinds = plan.plants.names, plan.plants.kind_of
    users: dict[int, dict[str, None]] = {}
    more: Counter[int] = Counter()
    if len(names) > LONG and len(set(names)) == len(names):
        # Nobody is counted twice, so the first few are named and the others only counted.
        for number, rows in Counter(kinds).items():
            for index in of_kind[number]:
                more[index] += rows
        names, kinds = _first_of_kinds(names, kinds)
    for name, kind in zip(names, kinds, strict=True):
        for index in of_kind[kind]:
            users.setdefault(index, {})[name] = None
    for index in more:
        more[index] -= len(users[index])
    for bed in plan.beds:
        for layer in bed.layers:
            if (False, layer.of) in wanted:
                users.setdefault(wanted[False, layer.of], {})[bed.name] = None
    return {index: _some(list(named), more[index]) for index, named in users.items()}


def _first_of_kinds(names: Sequence[str], kinds: Sequence[int]) -> tuple[list[str], list[int]]:
    """Return the first few rows of each kind, in the order of the list."""
    seen: Counter[int] = Counter()
    missing = set(kinds)
    found: tuple[list[str], list[int]] = ([], [])
    for name, kind in zip(names, kinds, strict=True):
        if kind in missing:
            found[0].append(name)
            found[1].append(kind)
            seen[kind] += 1
            if seen[kind] == NAMED:
                missing.discard(kind)
            if not missing:
                break
    return found


def _used_by(kind: PlantKind, wanted: Mapping[tuple[bool, str], int]) -> tuple[int, ...]:
    """Return the goods that the moves of one kind take."""
    keys: dict[tuple[bool, str], None] = {}
    for move in kind.moves:
        if move.mix is not None:
            keys[False, move.mix] = None
        if move.to is not None:
            keys[True, move.to.text] = None
        keys.update(dict.fromkeys((False, name) for name in move.add))
        keys.update(dict.fromkeys((False, step.of) for step in move.care if step.of))
    return tuple(wanted[key] for key in keys if key in wanted)


def _some(names: list[str], others: int) -> str:
    others += max(len(names) - NAMED, 0)
    more = f" and {others} more" if others else ""
    return ", ".join(names[:NAMED]) + more
