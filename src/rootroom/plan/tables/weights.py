"""Additions by weight and by volume: whether one can be turned into the other where it must.

A rate in pounds and a rate in spoons, or a rate in spoons and a bag in pounds, meet in one unit
only if somebody said what the thing weighs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rootroom.plan.diagnostics import Findings
from rootroom.plan.goods import Supply
from rootroom.plan.model import Mix, Roster
from rootroom.plan.tables.ingredients import Ingredients
from rootroom.problems import Location

_HINTS = (
    'write `weighs = "12 oz/cup"` on a supply of it, or `[ingredients."{name}"]` with its '
    '`density = "12 oz/cup"`'
)


def check_weights(
    mixes: Mapping[str, Mix],
    roster: Roster,
    supplies: tuple[Supply, ...],
    ingredients: Ingredients,
    findings: Findings,
) -> None:
    """Note additions whose weight is needed and not known."""
    used: dict[str, dict[str, Location]] = {}
    for name, unit, where in _uses(mixes, roster, findings):
        used.setdefault(name, {}).setdefault(unit, where)
    for name, units in used.items():
        if name not in ingredients or _weight_known(name, supplies, ingredients):
            continue
        if len(units) > 1:
            first, second = sorted(units.values())
            findings.error_at(
                second,
                "needs-weight",
                f"`{name}` is given by weight and by volume, and its weight is not known",
                hint=_HINTS.format(name=name),
                related=((first, "the other is here"),),
            )
            continue
        unit = next(iter(units))
        for supply in supplies:
            if supply.of != name or _in_unit(supply, unit):
                continue
            sold, given = ("volume", "weight") if unit == "kg" else ("weight", "volume")
            findings.error_at(
                supply.where,
                "needs-weight",
                f"`{name}` is had by {sold} and given by {given}, and its weight is not known",
                hint=_HINTS.format(name=name),
                related=((units[unit], "it is given here"),),
            )


def _uses(
    mixes: Mapping[str, Mix], roster: Roster, findings: Findings
) -> Iterator[tuple[str, str, Location]]:
    for mix in mixes.values():
        for name, rate in mix.add.items():
            where = findings.where(("mixes", mix.name, "add", name))
            yield name, "l" if rate.kg_per_l is None else "kg", where
    for kind in roster.kinds:
        for move in kind.moves:
            for name, amount in move.add.items():
                yield name, "l" if amount.kg is None else "kg", move.where
            for step in move.care:
                if step.of is not None and step.amount is not None:
                    yield step.of, "l" if step.amount.kg is None else "kg", move.where


def _weight_known(name: str, supplies: tuple[Supply, ...], ingredients: Ingredients) -> bool:
    if ingredients[name].density_kg_per_m3 is not None:
        return True
    return any(s.of == name and s.mass_kg and s.loose_l is not None for s in supplies)


def _in_unit(supply: Supply, unit: str) -> bool:
    if unit == "kg":
        return supply.mass_kg is not None or supply.have_kg is not None
    return supply.loose_l is not None or supply.have_l is not None
