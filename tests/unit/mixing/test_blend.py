"""Cards: what goes in, what comes out, how many, in which order."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.catalogue.ingredients import Ingredient, ingredients
from rootroom.catalogue.spread import Spread
from rootroom.demand.find import find_demand
from rootroom.mixing.blend import batches_for, blend
from rootroom.mixing.card import Card, Step
from rootroom.mixing.order import blending_order
from rootroom.plan.model import Mix, Pack, Plan, Supply
from rootroom.units import Amount, Rate
from tests.support.plans import HERE, bed, group, mix, move, nothing, plan, pot, work

C5 = pot("C5", 5.0)
COATED = Ingredient("coated feed", Spread.exactly(900), addition=True, traits={"coated"})


def cards(*mixes: Mix, **more: object) -> dict[str, Card]:
    """Return the cards of these mixes, none of which anything needs."""
    given = {"ingredients": {**ingredients(), "coated feed": COATED}, **more}
    bare = plan([], mixes, **given)
    return dict(blend(bare, find_demand(bare)).cards)


def layered(card: Card) -> list[str]:
    """Return what goes in, in order, turns as marks."""
    marks = {"turn": "-", "turn again": "=" * 2}
    return [marks.get(step.kind, f"{step.kind} {step.of}") for step in card.steps]


def test_a_batch_is_the_largest_copy_that_the_vessel_takes() -> None:
    """4:2:2 with 12 % lost, 70 L, scoops of 5 L: 31 half scoops fit, so 7 copies of 2:1:1."""
    # 70 / 0.88 / 2.5 = 31.8; 28 halves x 2.5 L = 70 L loose, x 0.88 = 61.6 L.
    card = cards(mix("allround", {"peat": 4, "compost": 2, "perlite": 2}, shrink=0.12))["allround"]
    assert card.scoops == {"peat": 7.0, "compost": 3.5, "perlite": 3.5}
    assert (70.0, pytest.approx(61.6), 0.0) == (card.loose_l, card.batch_l, card.error_share)
    assert [part.share for part in card.parts] == [part.exact_share for part in card.parts]
    assert card.half_needs_quarters
    assert card.fits


def test_the_season_in_batches_the_last_one_half() -> None:
    """100 L of 61.6 L batches are 2: 1.62 rounds up to the next half; 23.2 L are over."""
    recipe = mix("allround", {"peat": 4, "compost": 2, "perlite": 2}, shrink=0.12)
    box = bed("Box", 1.0, 0.1, [("allround", None)], settles=0.0)
    filled = plan([], [recipe], [box], ingredients=ingredients())
    card = blend(filled, find_demand(filled)).cards["allround"]
    # 100 L x 1.02 = 102 L = 3.31 half batches
    assert (4, 2.0) == (card.halves, card.batches)
    assert card.over_l == pytest.approx(2 * 61.6 - 102.0)
    assert batches_for(card, 30.8) == (1, pytest.approx(0.0))
    assert batches_for(card, 31.0) == (2, pytest.approx(30.6))
    assert batches_for(card, 0.0) == (0, 0.0)


def test_a_recipe_that_does_not_come_out_shows_its_error() -> None:
    """7:3:2 with 11 half scoops: 6:3:2 is 6/11 against 7/12, off by 6.5 %; 2 by 9.1 %."""
    card = cards(
        mix("loam mix", {"loam": 7, "peat": 3, "sand": 2}), work=work(vessel_l=27.9, scoop_l=5.0)
    )["loam mix"]
    assert {"loam": 3.0, "peat": 1.5, "sand": 1.0} == card.scoops
    assert card.error_share == pytest.approx((2 / 11) / (2 / 12) - 1)


def test_a_scoop_too_big_for_the_vessel_is_halved() -> None:
    """Three parts need three half scoops: in 10 L with a 9 L scoop that is a scoop of 4.5 L."""
    small = work(vessel_l=10.0, scoop_l=9.0)
    card = cards(mix("m", {"peat": 1, "sand": 1, "bark": 1}), work=small)["m"]
    assert (4.5, False) == (card.scoop_l, card.fits)
    assert card.batch_l <= 10.0
    assert set(card.scoops.values()) == {0.5}


def test_mixes_that_are_only_bought_have_no_card() -> None:
    """A mix without parts, or one that the plan wants ready-made, is not blended."""
    made = cards(mix("a", {"peat": 1}), mix("b", {}), mix("c", {"peat": 1}, only="ready"))
    assert ["a"] == list(made)


def test_inner_mixes_come_first() -> None:
    """A mix is blended before those that hold it, else in the order of the plan."""
    plain = {name: mix(name, {"peat": 1}) for name in ("z", "y")}
    nested = {
        "open": mix("open", {"base": 2, "perlite": 1}),
        "rich": mix("rich", {"open": 1, "compost": 1}),
        "base": mix("base", {"peat": 1}),
        "alone": mix("alone", {"peat": 1}),
    }
    assert ["z", "y"] == blending_order(plain)
    assert ["base", "open", "rich", "alone"] == blending_order(nested)
    assert cards(*nested.values())["open"].parts[0].is_mix


def test_dusty_parts_lie_between_moist_ones() -> None:
    """Moist and dusty in turn: the peat is moistened first, the perlite lies between."""
    card = cards(mix("m", {"peat": 4, "compost": 2, "perlite": 2}))["m"]
    assert layered(card) == [
        "moisten peat", "moisten perlite",
        "layer peat", "layer perlite", "layer compost", "-", "==",
    ]  # fmt: skip
    assert card.steps[-1].times == 2


def test_one_moist_part_is_split_around_the_dusty_ones() -> None:
    """With a single moist part, some of it goes below and some above each dusty one."""
    card = cards(mix("m", {"compost": 3, "perlite": 1, "vermiculite": 1}))["m"]
    kinds = [step.of for step in card.steps if step.kind == "layer"]
    assert kinds[::2] == ["compost", "compost", "compost"]
    assert sorted(kinds[1::2]) == ["perlite", "vermiculite"]
    for part in card.parts:
        laid = [s.scoops for s in card.steps if s.kind == "layer" and s.of == part.of]
        assert sum(laid) == part.scoops
        assert all((2 * scoops).is_integer() for scoops in laid)


def test_powders_go_between_layers_and_coated_feed_last() -> None:
    """Lime in equal shares between the layers; the coated feed after turning, then two turns."""
    adds = {"coated feed": Rate(0.002, None), "dolomitic lime": Rate(0.003, None)}
    card = cards(mix("m", {"compost": 1, "perlite": 1, "bark": 1}, add=adds))["m"]
    assert layered(card)[-8:] == [
        "layer compost", "sprinkle dolomitic lime", "layer perlite", "sprinkle dolomitic lime",
        "layer bark", "-", "strew coated feed", "==",
    ]  # fmt: skip
    shares = [step.share for step in card.steps if step.kind == "sprinkle"]
    assert sum(shares) == pytest.approx(1.0)


def test_a_single_part_takes_its_powder_on_top() -> None:
    """One layer has nothing between; the powder is strewn on it and turned in."""
    adds = {"dolomitic lime": Rate(0.003, None)}
    steps = cards(mix("m", {"compost": 1}, add=adds))["m"].steps
    assert [("layer", 1.0), ("sprinkle", 1.0)] == [(s.kind, s.share) for s in steps[:2]]
    assert steps[-2:] == (Step("turn"), Step("turn again", times=2))


def test_additions_go_by_the_finished_batch_and_by_the_spoon() -> None:
    """2 g/L of a 35 L batch is 70 g; at 0.9 kg/L that is 77.8 mL. Volumes become mass alike."""
    adds = {"coated feed": Rate(0.002, None)}
    halved = work(vessel_l=35.0)
    card = cards(mix("m", {"peat": 1, "compost": 1}, shrink=0.5, add=adds), work=halved)["m"]
    # 70 L of loose parts come to 35 L.
    assert card.batch_l == pytest.approx(35.0)
    (feed,) = card.additions
    assert (pytest.approx(0.070), pytest.approx(0.070 / 0.9)) == (feed.kg, feed.litres)
    assert feed.coated
    spoons = {"coated feed": Rate(None, 0.001), "unknown": Rate(None, 0.001)}
    feed, other = cards(mix("m", {"peat": 1}, add=spoons), work=halved)["m"].additions
    assert (pytest.approx(0.0315), pytest.approx(0.035)) == (feed.kg, feed.litres)
    assert (None, pytest.approx(0.035)) == (other.kg, other.litres)


def test_coir_soaks_what_its_package_says() -> None:
    """22 L for 65 L of loose coir: 32.5 L take 11 L; a loose bag takes none."""
    block = Supply(
        1, "coir", "ingredient", HERE, Pack("5 kg", kilograms=Fraction(5)),
        loose_l=Spread.exactly(65.0), water_l=22.0,
    )  # fmt: skip
    recipe = mix("m", {"coir": 1, "compost": 1})
    vessel = work(vessel_l=65.0, scoop_l=32.5)
    (water,) = cards(recipe, supplies=[block], work=vessel)["m"].water
    assert ("coir", "soak", pytest.approx(11.0)) == (water.of, water.how, water.likely_l)
    loose = Supply(1, "coir", "ingredient", HERE, Pack("50 L", litres=Fraction(50)))
    assert cards(recipe, supplies=[loose], work=vessel)["m"].water == ()
    # Without a supply, what blocks usually take: 4.4 L and 13 L of coir a kilogram.
    (water,) = cards(recipe, work=vessel)["m"].water
    assert water.likely_l == pytest.approx(32.5 * 4.4 / 13.0)


def test_a_pot_in_scoops() -> None:
    """A 5 L pot takes 5 x 1.173 = 5.865 L, 1.173 scoops of 5 L, and its own feed."""
    fed = move(nothing(), C5, add={"coated feed": Amount(None, 0.02)})
    one = plan(
        [group("Chard", 3, fed), group("Leek", 9, fed)], [mix("tree", {"peat": 1})],
        ingredients={"coated feed": COATED},
    )  # fmt: skip
    (measure,) = blend(one, find_demand(one)).pots
    assert (pytest.approx(5.865), pytest.approx(1.173)) == (measure.mix_l, measure.scoops)
    (feed,) = measure.add
    assert (pytest.approx(0.018), pytest.approx(0.02)) == (feed.kg, feed.litres)


def test_a_shared_pot_is_measured_full() -> None:
    """The measure of a pot is that of a full one: 5 L less three balls."""
    shared = move(pot("P9", 0.5), C5, per_pot=3)
    one = plan([group("Thyme", 7, shared)], [mix("tree", {"peat": 1})])
    (measure,) = blend(one, find_demand(one)).pots
    assert measure.mix_l == pytest.approx(3.5 * 1.173)


def test_a_plan_without_mixes_blends_nothing() -> None:
    """Nothing to blend is no mistake."""
    empty: Plan = plan()
    blending = blend(empty, find_demand(empty))
    assert ({}, ()) == (dict(blending.cards), blending.pots)
