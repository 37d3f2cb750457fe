"""Laws of the mix card: what goes in comes out, fits the vessel, and is enough for the season."""

from __future__ import annotations

from fractions import Fraction
from math import gcd
from random import Random

import pytest

from rootroom.catalogue.ingredients import ingredients
from rootroom.demand.find import find_demand
from rootroom.mixing.blend import batches_for, blend
from rootroom.mixing.card import Card
from rootroom.plan.model import Plan
from rootroom.units import Rate
from tests.support.plans import bed, mix, plan, work

pytestmark = pytest.mark.property

NAMES = ("peat", "compost", "perlite", "bark", "sand", "coir", "vermiculite")


def random_plan(seed: int) -> Plan:
    """Return a plan with an outer and an inner mix, a vessel and a scoop of any size."""
    random = Random(seed)
    size = random.randint(1, 5)
    parts = {name: Fraction(random.randint(1, 40), 4) for name in random.sample(NAMES, size)}
    recipes = [
        mix("outer", {"inner": 2, **parts}, shrink=random.uniform(0, 0.3)),
        mix(
            "inner", {"peat": random.randint(1, 9), "perlite": 1}, shrink=random.uniform(0, 0.3),
            add={"dolomitic lime": Rate(0.003, None)},
        ),
    ]  # fmt: skip
    boxes = [
        bed("Box", random.uniform(0.2, 9), 0.3, [("outer", None)]),
        bed("Tub", random.uniform(0.2, 1), 0.3, [("inner", None)]),
    ]
    vessel = work(vessel_l=random.uniform(10, 300), scoop_l=random.uniform(0.5, 20))
    return plan([], recipes, boxes, ingredients=ingredients(), work=vessel)


def cards(garden: Plan) -> list[Card]:
    """Return the cards of a plan."""
    return list(blend(garden, find_demand(garden, draws=10)).cards.values())


@pytest.mark.parametrize("seed", range(60))
def test_volumes_balance(seed: int) -> None:
    """Level scoops make up the loose volume, the loose volume less shrink the batch."""
    garden = random_plan(seed)
    for card in cards(garden):
        scoops = sum(card.scoops.values())
        assert card.loose_l == pytest.approx(scoops * card.scoop_l)
        assert card.loose_l == pytest.approx(sum(part.litres for part in card.parts))
        shrink = garden.mixes[card.mix].shrink.likely
        assert card.batch_l == pytest.approx(card.loose_l * (1 - shrink))
        assert card.batch_l <= garden.work.vessel_l * (1 + 1e-9)
        assert all((2 * number).is_integer() and number > 0 for number in card.scoops.values())
        assert sum(part.share for part in card.parts) == pytest.approx(1.0)
        # Laid in layers, it is the same scoops.
        for of, number in card.scoops.items():
            laid = sum(s.scoops for s in card.steps if s.kind == "layer" and s.of == of)
            assert laid == pytest.approx(number)
        for addition in card.additions:
            rate = garden.mixes[card.mix].add[addition.of].kg_per_l
            assert rate is not None
            assert addition.kg == pytest.approx(rate * card.batch_l)


@pytest.mark.parametrize("seed", range(60))
def test_batches_are_enough_and_not_one_half_too_many(seed: int) -> None:
    """What is blended is what is used and what is over, which is less than half a batch."""
    for card in cards(random_plan(seed)):
        assert card.halves * card.batch_l / 2 == pytest.approx(card.litres + card.over_l)
        assert -1e-6 <= card.over_l < card.batch_l / 2
        assert (card.halves, card.over_l) == batches_for(card, card.litres)


@pytest.mark.parametrize("seed", range(60))
def test_no_larger_exact_copy_fits(seed: int) -> None:
    """One more copy of an exact recipe would be more than the vessel takes."""
    garden = random_plan(seed)
    for card in cards(garden):
        if card.error_share == 0:
            halves = [int(2 * number) for number in card.scoops.values()]
            recipe = garden.mixes[card.mix].parts.values()
            assert len({Fraction(n) / part for n, part in zip(halves, recipe, strict=True)}) == 1
            copies = gcd(*halves)
            assert card.batch_l * (copies + 1) / copies > garden.work.vessel_l * (1 - 1e-9)
