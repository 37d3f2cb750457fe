"""Cards: what goes in, what comes out, how many, in which order."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.catalogue.ingredients import Ingredient, ingredients
from rootroom.catalogue.spread import Spread
from rootroom.mixing.blend import blend, blending_order, layers, sized, water_for
from rootroom.mixing.card import Card, CardPart, Step, Water
from rootroom.plan.entries import Pack, Supply
from rootroom.plan.model import Mix, Plan
from rootroom.units import Rate
from tests.support.plans import HERE, mix, plan, pot, work

C5 = pot("C5", 5.0)
COATED = Ingredient("coated feed", Spread.exactly(900), addition=True, traits={"coated"})


def cards(*mixes: Mix, **more: object) -> dict[str, Card]:
    """Return the cards of these mixes, none of which anything needs."""
    given = {"ingredients": {**ingredients(), "coated feed": COATED}, **more}
    bare = plan([], mixes, **given)
    return dict(blend(bare).cards)


def layered(card: Card) -> list[str]:
    """Return what goes in, in order, turns as marks."""
    marks = {"turn": "-", "turn again": "=" * 2}
    return [marks.get(step.kind, f"{step.kind} {step.of}") for step in card.steps]


def test_a_unit_is_the_smallest_copy_of_the_recipe() -> None:
    """4:2:2 with 12 % lost, 70 L, scoops of 5 L: a unit is 2:1:1 half scoops, 7 fit the vessel."""
    # 4 halves x 2.5 L = 10 L loose, x 0.88 = 8.8 L; 70 / 8.8 = 7.95.
    card = cards(mix("allround", {"peat": 4, "compost": 2, "perlite": 2}, shrink=0.12))["allround"]
    assert {"peat": 1.0, "compost": 0.5, "perlite": 0.5} == card.scoops
    assert (10.0, pytest.approx(8.8), 0.0) == (card.loose_l, card.unit_l, card.error_share)
    assert [0.5, 0.25, 0.25] == [part.share for part in card.parts]
    assert (1, 7) == (card.units, card.units_most)
    assert card.scoop_l == 5.0


def test_a_batch_of_so_many_units_takes_so_many_times_as_much() -> None:
    """Three units of 2:1:1 half scoops are 3, 1 1/2 and 1 1/2 scoops, and three times the lime."""
    adds = {"dolomitic lime": Rate(0.003, None)}
    recipe = mix("allround", {"peat": 4, "compost": 2, "perlite": 2}, shrink=0.12, add=adds)
    card = cards(recipe)["allround"]
    three = sized(card, 3)
    assert {"peat": 3.0, "compost": 1.5, "perlite": 1.5} == three.scoops
    assert (pytest.approx(26.4), pytest.approx(8.8)) == (three.batch_l, three.unit_l)
    assert three.additions[0].kg == pytest.approx(3 * 0.003 * 8.8)
    assert sum(s.scoops for s in three.steps if s.kind == "layer") == pytest.approx(6.0)
    assert three.water[0].likely_l == pytest.approx(3 * card.water[0].likely_l)


@pytest.mark.parametrize(
    ("units", "each", "last"), [(0, 0, 0), (7, 7, 0), (8, 4, 0), (15, 5, 0), (16, 6, 4), (22, 6, 4)]
)
def test_batches_are_alike_but_for_a_last_smaller_one(units: int, each: int, last: int) -> None:
    """Seven units fit the vessel: 16 units are three batches, 6 + 6 + 4."""
    card = cards(mix("allround", {"peat": 4, "compost": 2, "perlite": 2}, shrink=0.12))["allround"]
    assert (each, last) == card.batches(units)


def test_a_recipe_that_does_not_come_out_takes_a_smaller_measure() -> None:
    """7:3:2 with 11 half scoops is off by 9.1 %; in half scoops of half the scoop it is exact."""
    card = cards(
        mix("loam mix", {"loam": 7, "peat": 3, "sand": 2}), work=work(vessel_l=27.9, scoop_l=5.0)
    )["loam mix"]
    assert (2.5, 0.0) == (card.scoop_l, card.error_share)
    assert {"loam": 3.5, "peat": 1.5, "sand": 1.0} == card.scoops


def test_a_recipe_that_never_comes_out_shows_its_error() -> None:
    """50:49:1 in a vessel of 13 L: even a quarter of the scoop is far off, and the card says it."""
    card = cards(
        mix("odd", {"loam": 50, "peat": 49, "sand": 1}), work=work(vessel_l=13.0, scoop_l=5.0)
    )["odd"]
    assert card.scoop_l == 1.25
    assert card.error_share > 0.02


def test_a_smaller_measure_that_is_no_nearer_is_not_taken() -> None:
    """35:33:32 in 3, 6 or 12 half scoops is nearest as 1:1:1: the plan's scoop stays."""
    small = work(vessel_l=7.5, scoop_l=5.0)
    card = cards(mix("even", {"peat": 35, "sand": 33, "bark": 32}), work=small)["even"]
    assert card.scoop_l == 5.0
    assert card.error_share == pytest.approx(1 / 21)


def test_a_scoop_too_big_for_the_vessel_is_halved() -> None:
    """Three parts need three half scoops: in 10 L with a 9 L scoop that is a scoop of 4.5 L."""
    small = work(vessel_l=10.0, scoop_l=9.0)
    card = cards(mix("m", {"peat": 1, "sand": 1, "bark": 1}), work=small)["m"]
    assert card.scoop_l == 4.5
    assert card.unit_l <= 10.0
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


@pytest.mark.parametrize(
    ("scoops", "expected"), [(3.0, [1.0, 1.5, 1.5]), (2.5, [1.0, 1.0, 1.5]), (1.0, [0.5, 0.5, 1.0])]
)
def test_the_largest_moist_part_is_split_evenly(scoops: float, expected: list[float]) -> None:
    """Two dusty parts need three moist layers: the larger moist part gives two, alike or nearly."""
    parts = [
        CardPart(of, is_mix=False, scoops=of_it, litres=of_it, share=0.0)
        for of, of_it in (("bark", 1.0), ("compost", scoops), ("perlite", 0.5), ("sand", 0.5))
    ]
    laid = layers(parts, frozenset({"perlite", "sand"}))
    assert sorted(number for of, number in laid if of in ("bark", "compost")) == expected


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
    # A unit of 5 L loose comes to 2.5 L; 14 of them are a batch.
    card = sized(card, card.units_most)
    assert card.batch_l == pytest.approx(35.0)
    (feed,) = card.additions
    assert (pytest.approx(0.070), pytest.approx(0.070 / 0.9)) == (feed.kg, feed.litres)
    assert feed.coated
    spoons = {"coated feed": Rate(None, 0.001), "unknown": Rate(None, 0.001)}
    card = cards(mix("m", {"peat": 1}, add=spoons), work=halved)["m"]
    feed, other = sized(card, card.units_most).additions
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
    (water,) = sized(cards(recipe, supplies=[block], work=vessel)["m"], 2).water
    assert ("coir", "soak", pytest.approx(11.0)) == (water.of, water.how, water.likely_l)
    loose = Supply(1, "coir", "ingredient", HERE, Pack("50 L", litres=Fraction(50)))
    assert cards(recipe, supplies=[loose], work=vessel)["m"].water == ()
    # Without a supply, what blocks usually take: 4.4 L and 13 L of coir a kilogram.
    (water,) = sized(cards(recipe, work=vessel)["m"], 2).water
    assert water.likely_l == pytest.approx(32.5 * 4.4 / 13.0)


def test_a_plan_without_mixes_blends_nothing() -> None:
    """Nothing to blend is no mistake."""
    empty: Plan = plan()
    assert {} == dict(blend(empty).cards)


def test_coir_soaks_what_is_unlike_the_usual() -> None:
    """30 L for 60 L of loose coir: the package's own figure, not the usual one (20.3 L)."""
    block = Supply(
        1, "coir", "ingredient", HERE, Pack("5 kg", kilograms=Fraction(5)),
        loose_l=Spread.exactly(60.0), water_l=30.0,
    )  # fmt: skip
    one = plan([], [mix("m", {"coir": 1})], supplies=(block,))
    water = water_for(one, "coir", 60.0)
    assert water is not None
    assert water.likely_l == pytest.approx(30.0)


def test_water_told_without_a_yield_is_not_divided_by_it() -> None:
    """A pack that tells its water and not its loose litres soaks as blocks usually do."""
    pack = Supply(1, "coir", "ingredient", HERE, Pack("5 kg", kilograms=Fraction(5)), water_l=30.0)
    told, usual = (plan([], supplies=given, ingredients=ingredients()) for given in ((pack,), ()))
    assert water_for(told, "coir", 60.0) == water_for(usual, "coir", 60.0)


def test_peat_is_moistened_by_its_litres() -> None:
    """The catalogue's likely 0.10 L of water for a litre: 60 L of peat take 6 L."""
    water = water_for(plan([], ingredients=ingredients()), "peat", 60.0)
    assert water == Water("peat", "moisten", pytest.approx(6.0))
