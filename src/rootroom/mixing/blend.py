"""One card a mix: its smallest copy in level scoops, what a batch takes besides, in which order.

The recipe is the same all season; a session blends as many units of it as it needs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from attrs import evolve

from rootroom.mixing.card import BatchAddition, Blending, Card, CardPart, Step, Water
from rootroom.mixing.scoops import ERROR_SHARE, Scoops, most_half_scoops, smallest_copy
from rootroom.ordering import least_first
from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    from rootroom.plan.model import Mix, Plan, Work

MOST_HALVINGS = 60
"""Halvings of a scoop after which nothing is measured any more."""


Handling = Literal["moist", "dusty", "powder", "coated"]


Layer = tuple[str, float]


def blend(plan: Plan) -> Blending:
    """Return the card of every mix that is blended, inner mixes first.

    A mix that is only bought, having no parts or by `only = "ready"`, has no card.
    """
    cards = {
        name: card_for(plan, plan.mixes[name])
        for name in blending_order(plan.mixes)
        if plan.mixes[name].is_blended
    }
    return Blending(cards)


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
        units=1,
        units_most=max(1, int(plan.work.vessel_l * loose / loose_l + ROUNDING)),
        parts=parts,
        loose_l=loose_l,
        batch_l=loose_l / loose,
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
            share=halves / whole,
        )
        for part, halves in zip(mix.shares, unit.halves, strict=True)
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


def handling_of(plan: Plan, name: str) -> Handling:
    """Return how a part or an addition is handled; a mix, and what nobody described, is moist.

    Fine dusty parts, as peat, are moistened right through beforehand and then lie like moist ones;
    coarse ones are only damped and still dust.
    """
    ingredient = plan.ingredients.get(name)
    if ingredient is None or name in plan.mixes:
        return "moist"
    if ingredient.coated:
        return "coated"
    if ingredient.powder:
        return "powder"
    moistened = "fine" in ingredient.traits and ingredient.moisten_l_per_l is not None
    return "dusty" if ingredient.dusty and not moistened else "moist"


def water_for(plan: Plan, name: str, litres: float) -> Water | None:
    """Return the water that `litres` [L] of a loose part take before blending, None for none.

    A block soaks what its package says or, without that, what blocks usually take; loose parts are
    moistened by the catalogue's figure.
    """
    ingredient = plan.ingredients.get(name)
    supplies = [supply for supply in plan.supplies if supply.of == name]
    for supply in supplies:
        if supply.water_l is not None and supply.loose_l is not None:
            return Water(name, "soak", litres * supply.water_l / supply.loose_l.likely)
    if ingredient is None or name in plan.mixes:
        return None
    loose_already = any(supply.pack and supply.pack.litres is not None for supply in supplies)
    soak, yields = ingredient.soak_l_per_kg, ingredient.yields_l_per_kg
    if soak is not None and yields is not None and not loose_already:
        return Water(name, "soak", litres * soak.likely / yields.likely)
    if ingredient.moisten_l_per_l is not None:
        return Water(name, "moisten", litres * ingredient.moisten_l_per_l.likely)
    return None


# Common practice, no source: dry light parts dust, so they lie between moist ones; powders go
# between the layers, where they spread; a coated fertilizer goes in last and is turned in gently,
# since rubbing breaks its coats.
def blending_order(mixes: Mapping[str, Mix]) -> list[str]:
    """Return the names of the mixes in the order of the plan, each before those that hold it."""
    nested = [(part, name) for name, mix in mixes.items() for part in mix.parts if part in mixes]
    place = {name: number for number, name in enumerate(mixes)}
    return least_first(mixes, nested, place.__getitem__)


def layers(parts: Sequence[CardPart], dusty: frozenset[str]) -> list[Layer]:
    """Return the parts as layers from below with their scoops, dusty ones between moist ones.

    With too few moist parts the largest of them is split into whole and half scoops.
    """
    by_size = sorted(parts, key=lambda part: -part.scoops)
    moist = [(part.of, part.scoops) for part in by_size if part.of not in dusty]
    dry = [(part.of, part.scoops) for part in by_size if part.of in dusty]
    while moist and len(moist) <= len(dry) and max(scoops for _, scoops in moist) >= 1:
        moist = _split_largest(moist)
    laid: list[Layer] = []
    # Moist parts are shared out over the gaps, the first and the last being moist.
    for number, layer in enumerate(dry):
        laid += _share_of(moist, number, len(dry) + 1)
        laid.append(layer)
    return laid + _share_of(moist, len(dry), len(dry) + 1)


def _split_largest(moist: list[Layer]) -> list[Layer]:
    largest = max(range(len(moist)), key=lambda i: (moist[i][1], -i))
    of, scoops = moist[largest]
    lower = int(scoops + 0.5) / 2
    halves = [(of, lower), (of, scoops - lower)]
    # The two lie apart, so that what is dusty comes between them.
    rest = [layer for number, layer in enumerate(moist) if number != largest]
    return [halves[0], *rest, halves[1]]


def _share_of(moist: list[Layer], gap: int, gaps: int) -> list[Layer]:
    first, last = -(-gap * len(moist) // gaps), -(-(gap + 1) * len(moist) // gaps)
    return moist[first:last]


def steps(
    laid: Sequence[Layer], water: Sequence[Water], additions: Sequence[BatchAddition]
) -> tuple[Step, ...]:
    """Return every step of blending a batch, in order."""
    powders = [addition.of for addition in additions if not addition.coated]
    coated = [addition.of for addition in additions if addition.coated]
    # A powder needs a layer above it, unless there is but one layer.
    gaps = max(len(laid) - 1, 1)
    found = [Step(one.how, one.of) for one in water]
    for number, (of, scoops) in enumerate(laid):
        found.append(Step("layer", of, scoops))
        if number < gaps:
            found += [Step("sprinkle", powder, share=1 / gaps) for powder in powders]
    found.append(Step("turn"))
    found += [Step("strew", of) for of in coated]
    found.append(Step("turn again", times=2))
    return tuple(found)
