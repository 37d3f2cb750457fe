"""One card a mix: a batch in level scoops, and what it takes besides.

The card is the same all season, so the largest copy of the recipe that the vessel takes is found
once; a session then only counts batches, the last of which may be half.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.counts import ceil_count
from rootroom.demand.additions import density_kg_per_l
from rootroom.demand.recipes import is_blended, loose_per_l, part_shares
from rootroom.demand.room import Room, loose_l
from rootroom.demand.workload import likely_values
from rootroom.mixing.card import BatchAddition, Blending, Card, CardPart, PotMeasure
from rootroom.mixing.handling import handling_of, water_for
from rootroom.mixing.order import blending_order, layers, steps
from rootroom.mixing.scoops import Scoops, largest_copy, most_half_scoops

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand
    from rootroom.plan.model import Mix, Plan, Work
    from rootroom.units import Amount

__all__ = ["Blending", "batches_for", "blend", "card_for"]


def blend(plan: Plan, demand: Demand) -> Blending:
    """Return the card of every mix that is blended, inner mixes first, and pots in scoops.

    A mix that is only bought, having no parts or by `only = "ready"`, has no card.
    """
    cards = {}
    for name in blending_order(plan.mixes):
        mix = plan.mixes[name]
        if is_blended(mix):
            need = demand.mixes.get(name)
            cards[name] = card_for(plan, mix, 0.0 if need is None else need.median)
    return Blending(cards, tuple(_pots(plan, demand)))


def batches_for(card: Card, litres: float) -> tuple[int, float]:
    """Return the half batches that make `litres` [L] of finished mix, and the litres over."""
    halves = ceil_count(litres, card.batch_l / 2)
    return halves, max(halves * card.batch_l / 2 - litres, 0.0)


def card_for(plan: Plan, mix: Mix, litres: float) -> Card:
    """Return the card of a mix of which the season takes `litres` [L], finished."""
    loose = loose_per_l(mix, mix.shrink.likely)
    copy, scoop_l = _measure(plan.work, mix, loose)
    parts = _card_parts(plan, mix, copy, scoop_l)
    loose_l = sum(copy.halves) * scoop_l / 2
    batch_l = loose_l / loose
    halves = ceil_count(litres, batch_l / 2)
    additions = _additions(plan, mix, batch_l)
    water = tuple(
        one for part in parts if (one := water_for(plan, part.of, part.litres)) is not None
    )
    dusty = frozenset(part.of for part in parts if handling_of(plan, part.of) == "dusty")
    return Card(
        mix=mix.name,
        scoop_l=scoop_l,
        fits=scoop_l == plan.work.scoop_l,
        parts=parts,
        loose_l=loose_l,
        batch_l=batch_l,
        shrink=1 - 1 / loose,
        error_share=copy.error_share,
        additions=additions,
        water=water,
        steps=steps(layers(parts, dusty), water, additions),
        litres=litres,
        halves=halves,
        over_l=max(halves * batch_l / 2 - litres, 0.0),
    )


def _measure(work: Work, mix: Mix, loose: float) -> tuple[Scoops, float]:
    """Return the batch in half scoops, and the scoop [L]: the plan's, or the half of one and so on.

    A scoop that is too big for the vessel is halved until every part has its half scoop.
    """
    recipe = [parts for parts in mix.parts.values() if parts > 0]
    scoop_l = work.scoop_l
    while True:
        copy = largest_copy(recipe, most_half_scoops(work.vessel_l, scoop_l, loose))
        if copy is not None:
            return copy, scoop_l
        scoop_l /= 2


def _card_parts(plan: Plan, mix: Mix, copy: Scoops, scoop_l: float) -> tuple[CardPart, ...]:
    whole = sum(copy.halves)
    return tuple(
        CardPart(
            of=part,
            is_mix=part in plan.mixes,
            scoops=halves / 2,
            litres=halves * scoop_l / 2,
            exact_share=exact,
            share=halves / whole,
        )
        for (part, exact), halves in zip(part_shares(mix).items(), copy.halves, strict=True)
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
    density = density_kg_per_l(plan, name)
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
