"""Laws of the mix card: what goes in comes out, fits the vessel, and is enough for the season."""

from __future__ import annotations

from fractions import Fraction
from math import gcd
from random import Random

import pytest

from rootroom.catalogue.ingredients import ingredients
from rootroom.mixing.blend import blend
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
    return list(blend(garden).cards.values())


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
def test_a_session_blends_less_than_a_unit_too_much(seed: int) -> None:
    """Units in batches are all the units, none above the vessel, as few batches as can be."""
    for card in cards(random_plan(seed)):
        for units in (1, 2, 5, 17, 100):
            each, last = card.batches(units)
            full = (units - last) // each
            assert units == full * each + last
            assert 0 <= last < each <= card.units_most
            assert full + (last > 0) == -(-units // card.units_most)


@pytest.mark.parametrize("seed", range(60))
def test_an_exact_unit_is_the_recipe_in_smallest_numbers(seed: int) -> None:
    """Where a card is not off at all, its half scoops are the recipe's, without a common factor."""
    garden = random_plan(seed)
    for card in cards(garden):
        if card.error_share == 0:
            halves = [int(2 * number) for number in card.scoops.values()]
            recipe = garden.mixes[card.mix].parts.values()
            assert len({Fraction(n) / part for n, part in zip(halves, recipe, strict=True)}) == 1
            assert gcd(*halves) == 1
