"""One card a mix: its smallest copy in level scoops, and what a batch of it takes besides.

The recipe is the same all season; a session blends as many units of it as it needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import evolve

from rootroom.demand.room import Room
from rootroom.demand.workload import likely_values
from rootroom.formulas import loose_l
from rootroom.mixing.card import BatchAddition, Blending, Card, CardPart, PotMeasure
from rootroom.mixing.handling import handling_of, water_for
from rootroom.mixing.order import blending_order, layers, steps
from rootroom.mixing.scoops import ERROR_SHARE, SLACK, Scoops, most_half_scoops, smallest_copy

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand
    from rootroom.plan.model import Mix, Plan, Work
    from rootroom.units import Amount

MOST_HALVINGS = 60
"""Halvings of a scoop after which nothing is measured any more."""


def blend(plan: Plan, demand: Demand) -> Blending:
    """Return the card of every mix that is blended, inner mixes first, and pots in scoops.

    A mix that is only bought, having no parts or by `only = "ready"`, has no card.
    """
    cards = {
        name: card_for(plan, plan.mixes[name])
        for name in blending_order(plan.mixes)
        if plan.mixes[name].is_blended
    }
    return Blending(cards, tuple(_pots(plan, demand)))


def card_for(plan: Plan, mix: Mix) -> Card:
    """Return the card of a mix: one unit of its recipe."""
    loose = mix.loose_per_l(mix.shrink.likely)
    unit, scoop_l = unit_of(plan.work, mix)
    loose_l = sum(unit.halves) * scoop_l / 2
    parts = _card_parts(plan, mix, unit, scoop_l)
    additions = _additions(plan, mix, loose_l / loose)
    water = tuple(
        one for part in parts if (one := water_for(plan, part.of, part.litres)) is not None
    )
    dusty = frozenset(part.of for part in parts if handling_of(plan, part.of) == "dusty")
    return Card(
        mix=mix.name,
        scoop_l=scoop_l,
        fits=scoop_l == plan.work.scoop_l,
        units=1,
        units_most=max(1, int(plan.work.vessel_l * loose / loose_l + SLACK)),
        parts=parts,
        loose_l=loose_l,
        batch_l=loose_l / loose,
        shrink=1 - 1 / loose,
        error_share=unit.error_share,
        additions=additions,
        water=water,
        dusty=dusty,
        steps=steps(layers(parts, dusty), water, additions),
    )


def sized(card: Card, units: int) -> Card:
    """Return the card of a batch of so many units: everything that goes in, and the steps."""
    times = units / card.units
    parts = tuple(
        evolve(part, scoops=part.scoops * times, litres=part.litres * times) for part in card.parts
    )
    additions = tuple(
        evolve(
            one,
            kg=None if one.kg is None else one.kg * times,
            litres=None if one.litres is None else one.litres * times,
        )
        for one in card.additions
    )
    water = tuple(evolve(one, likely_l=one.likely_l * times) for one in card.water)
    return evolve(
        card,
        units=units,
        parts=parts,
        loose_l=card.loose_l * times,
        batch_l=card.batch_l * times,
        additions=additions,
        water=water,
        steps=steps(layers(parts, card.dusty), water, additions),
    )


def unit_of(work: Work, mix: Mix) -> tuple[Scoops, float]:
    """Return the smallest copy of a recipe in half scoops, and the scoop [L] that it is told in.

    The plan's scoop, or the half or quarter of it where the recipe cannot be had in half scoops of
    it within the vessel; still smaller ones only for a vessel that a half of each would not fit.
    """
    loose = mix.loose_per_l(mix.shrink.likely)
    recipe = [parts for parts in mix.parts.values() if parts > 0]
    scoop_l, nearest = work.scoop_l, None
    for halving in range(MOST_HALVINGS):
        copy = smallest_copy(recipe, most_half_scoops(work.vessel_l, scoop_l, loose))
        if copy is not None and (nearest is None or copy.error_share < nearest[0].error_share):
            nearest = copy, scoop_l
        if nearest is not None and (nearest[0].error_share <= ERROR_SHARE or halving >= 2):
            return nearest
        scoop_l /= 2
    raise ValueError(f"no measure is small enough for a vessel of {work.vessel_l!r} L")


def _card_parts(plan: Plan, mix: Mix, unit: Scoops, scoop_l: float) -> tuple[CardPart, ...]:
    whole = sum(unit.halves)
    return tuple(
        CardPart(
            of=part,
            is_mix=part in plan.mixes,
            scoops=halves / 2,
            litres=halves * scoop_l / 2,
            exact_share=exact,
            share=halves / whole,
        )
        for (part, exact), halves in zip(mix.shares.items(), unit.halves, strict=True)
    )


def _additions(plan: Plan, mix: Mix, batch_l: float) -> tuple[BatchAddition, ...]:
    """Return what a batch takes: rates go by the finished mix, not by its parts."""
    return tuple(
        _measured(
            plan,
            name,
            None if rate.kg_per_l is None else rate.kg_per_l * batch_l,
            None if rate.l_per_l is None else rate.l_per_l * batch_l,
        )
        for name, rate in mix.add.items()
    )


def _measured(plan: Plan, name: str, kg: float | None, litres: float | None) -> BatchAddition:
    """Return an amount by mass and by spoon, as far as its density is known."""
    density = plan.density_kg_per_l(name)
    if density:
        kg, litres = (
            litres * density if kg is None and litres is not None else kg,
            kg / density if litres is None and kg is not None else litres,
        )
    return BatchAddition(name, kg, litres, handling_of(plan, name) == "coated")


def _pots(plan: Plan, demand: Demand) -> list[PotMeasure]:
    """Return the measure of a full pot of every kind, in the order of the plan."""
    values = likely_values(demand.work)
    found: dict[tuple[str, Room, tuple[str, ...]], PotMeasure] = {}
    for load in (load for kind in demand.work.loads for load in kind):
        move, room = load.move, load.room
        if room is None or move.mix is None:
            continue
        key = (move.mix, room, tuple(sorted(map(repr, move.add.items()))))
        if key in found:
            continue
        balls = next(iter(room.load(room.per_pot, 1)), 0)
        place = room.place_l(values.fills_l, values.ball, balls)
        likely_l = loose_l(place, values.packing, values.spill)
        mix_l = likely_l * demand.median_over_likely.get(move.mix, 1.0)
        found[key] = PotMeasure(
            mix=move.mix,
            old=move.old.text,
            new=room.new,
            renewed=move.refresh,
            per_pot=move.per_pot,
            mix_l=mix_l,
            scoop_l=plan.work.scoop_l,
            scoops=mix_l / plan.work.scoop_l,
            add=_each_pot(plan, move.add),
        )
    return list(found.values())


def _each_pot(plan: Plan, given: Mapping[str, Amount]) -> tuple[BatchAddition, ...]:
    return tuple(_measured(plan, name, one.kg, one.l) for name, one in given.items())
