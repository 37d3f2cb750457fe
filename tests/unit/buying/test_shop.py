"""The shopping list of plans built by hand: what is bought, from whom, and what it says."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from rootroom.buying.result import Change, Shopping
from rootroom.buying.shop import shop
from rootroom.catalogue.spread import Spread
from rootroom.demand.result import Needs
from rootroom.plan.model import Plan
from tests.support.buying import heap, needs, pack, pieces, supplier
from tests.support.plans import mix, plan

CU_FT = 28.316846592


def packs(shopping: Shopping) -> dict[int, int]:
    """Return packs by supply."""
    return {line.supply: line.packs for line in shopping.lines}


def fees(shopping: Shopping) -> list[tuple[str, str, int]]:
    """Return fees as source, kind and cents."""
    return [(fee.source, fee.kind, fee.cents) for fee in shopping.fees]


def peat(litres: float) -> Needs:
    """Return the need of so many litres of peat for a bed."""
    return needs(ingredients_l={"peat": litres})


def selling(*supplies: Any, **more: Any) -> Plan:
    """Return a plan with these supplies and suppliers."""
    return plan(supplies=supplies, suppliers=dict(more.pop("suppliers", ())), **more)


def test_whole_packs_are_bought() -> None:
    """Ten litres and a bit take two packs of ten."""
    result = shop(selling(pack(1, "peat", 10, 500)), peat(10.1))

    assert ("optimal", {1: 2}, 1000, 1000) == (
        result.status, packs(result), result.cost_cents, result.bound_cents,
    )  # fmt: skip
    assert {"peat": pytest.approx(9.9)} == result.left_l


def test_exact_need_takes_no_pack_more() -> None:
    """Twenty-seven bags of a cubic foot are a cubic yard, though neither is whole millilitres."""
    result = shop(selling(pack(1, "peat", CU_FT, 500)), peat(27 * CU_FT))

    assert {1: 27} == packs(result)
    assert {"peat": 0.0} == result.left_l


def test_what_is_there_is_used_first() -> None:
    """Half a pack and an own heap count before anything is bought."""
    result = shop(
        selling(pack(1, "peat", 10, 500, on_hand=Fraction(1, 2)), heap(2, "peat", 3)), peat(18)
    )

    assert {1: 1} == packs(result)
    assert [(1, Fraction(1, 2), 5.0), (2, None, 3.0)] == [
        (use.supply, use.packs, use.used) for use in result.stock
    ]
    assert 10.0 == result.lines[0].need


def test_nothing_is_bought_when_enough_is_there() -> None:
    """An own heap that is enough leaves nothing to buy."""
    result = shop(selling(heap(1, "peat", 30), pack(2, "peat", 10, 500)), peat(18))

    assert ("optimal", 0, (), {"peat": 12.0}) == (
        result.status, result.cost_cents, result.lines, result.left_l,
    )  # fmt: skip


def test_price_step_counts_for_all_packs() -> None:
    """Three at 4.00 are cheaper than two at 6.50: the step's price holds for all packs."""
    result = shop(selling(pack(1, "peat", 10, 650, more=[(3, 400)])), peat(20))

    assert {1: 3} == packs(result)
    assert (400, 1200) == (result.lines[0].each_cents, result.cost_cents)


def test_equal_cost_leaves_least_over() -> None:
    """Of two packs at one price the one that leaves less is taken, though it comes later."""
    result = shop(selling(pack(1, "peat", 30, 500), pack(2, "peat", 20, 500)), peat(18))

    assert {2: 1} == packs(result)


def test_less_left_over_comes_before_fewer_packs() -> None:
    """Two packs of ten leave 2 L, one of thirty 12 L, at one cost: the two are taken."""
    result = shop(selling(pack(1, "peat", 30, 500), pack(2, "peat", 10, 250)), peat(18))

    assert {2: 2} == packs(result)


def test_fewer_packs_come_before_the_order_of_the_file() -> None:
    """One pack of twenty and two of ten cost and leave alike: the one is taken."""
    result = shop(selling(pack(1, "peat", 10, 250), pack(2, "peat", 20, 500)), peat(18))

    assert {2: 1} == packs(result)


def test_equal_in_all_takes_the_earlier_supply() -> None:
    """Of two supplies alike the one that stands earlier in the file is taken."""
    result = shop(selling(pack(1, "peat", 20, 500), pack(2, "peat", 20, 500)), peat(18))

    assert {1: 1} == packs(result)


def test_trip_costs_once() -> None:
    """Two goods at one place pay one trip; a cheaper pack elsewhere is not worth a second."""
    suppliers = [supplier("Mill", trip_cents=600), supplier("Barn", trip_cents=600)]
    result = shop(
        selling(
            pack(1, "peat", 10, 500, supplier="Mill"),
            pack(2, "sand", 10, 500, supplier="Mill"),
            pack(3, "sand", 10, 100, supplier="Barn"),
            suppliers=suppliers,
        ),
        needs(ingredients_l={"peat": 10, "sand": 10}),
    )

    assert {1: 1, 2: 1} == packs(result)
    assert [("Mill", "trip", 600)] == fees(result)


def test_trip_carries_only_so_much() -> None:
    """Five packs of ten litres in a car that carries thirty make two trips."""
    result = shop(
        selling(
            pack(1, "peat", 10, 500, supplier="Mill"),
            suppliers=[supplier("Mill", trip_cents=600, carries_l=Fraction(30))],
        ),
        peat(50),
    )

    assert [("Mill", "trip", 1200)] == fees(result)
    assert 2 == result.fees[0].times


@pytest.mark.parametrize(
    ("litres", "expected"),
    [(10, {2: 1}), (90, {1: 1}), (60, {1: 1})],
)
def test_delivery_when_it_pays(litres: float, expected: dict[int, int]) -> None:
    """A delivery of at least 60 L for 20.00 beats bags at 5.00 for 10 L from 60 L on."""
    result = shop(
        selling(
            pack(1, "peat", 90, 900, supplier="Yard"),
            pack(2, "peat", 10, 500),
            suppliers=[supplier("Yard", delivery_cents=2000, least_l=Fraction(60))],
        ),
        peat(litres),
    )

    assert expected == packs(result)


def test_least_order_is_padded() -> None:
    """A delivery with a least order takes more than is needed, if nothing else is to be had."""
    result = shop(
        selling(
            pack(1, "peat", 10, 100, supplier="Yard"),
            suppliers=[supplier("Yard", delivery_cents=2000, least_l=Fraction(60))],
        ),
        peat(15),
    )

    assert {1: 6} == packs(result)
    assert 2600 == result.cost_cents


def test_least_order_goes_by_what_the_pack_is_sold_as() -> None:
    """Six packs sold as ten litres make an order of sixty, though they may hold a little less."""
    result = shop(
        selling(
            pack(1, "peat", Spread(9.5, 10, 10), 100, supplier="Yard"),
            suppliers=[supplier("Yard", delivery_cents=2000, least_l=Fraction(60))],
        ),
        peat(15),
    )

    assert {1: 6} == packs(result)


def test_cheaper_of_trip_and_delivery_counts() -> None:
    """With a trip for 9.00 and a delivery for 20.00 the trip is made, until it takes three."""
    yard = supplier("Yard", trip_cents=900, delivery_cents=2000, carries_l=Fraction(20))
    one = selling(pack(1, "peat", 10, 100, supplier="Yard"), suppliers=[yard])

    assert [("Yard", "trip", 900)] == fees(shop(one, peat(15)))
    assert [("Yard", "delivery", 2000)] == fees(shop(one, peat(55)))


def test_tax_is_rounded_half_up_for_each_supplier() -> None:
    """Five per cent of 1.10 is 5.5 cents: 6; the trip is not taxed."""
    result = shop(
        selling(
            pack(1, "peat", 10, 110, supplier="Mill"),
            suppliers=[supplier("Mill", trip_cents=600, tax_share=Fraction(5, 100))],
        ),
        peat(10),
    )

    assert [("Mill", "trip", 600), ("Mill", "tax", 6)] == fees(result)
    assert result.cost_cents == sum(line.cost_cents for line in result.lines) + 606


def test_parts_bend_to_whole_packs() -> None:
    """Within a tenth, 100 L of 1:1 comes out of 50 L peat + 50 L sand packs even at 45 : 55."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 10))
    supplies = [pack(1, "peat", 45, 900), pack(2, "sand", 55, 700)]
    result = shop(selling(*supplies, mixes=[one]), needs({"m": 100}))

    assert {1: 1, 2: 1} == packs(result)
    assert result.made["m"].bent
    assert [Fraction(-1, 10), Fraction(1, 10)] == [
        part.difference_share for part in result.made["m"].parts
    ]


def test_no_flex_means_the_exact_recipe() -> None:
    """Without flex the parts are the plan's to the last digit."""
    one = mix("m", {"peat": 1, "sand": 1})
    result = shop(
        selling(pack(1, "peat", 45, 900), pack(2, "sand", 55, 700), mixes=[one]), needs({"m": 100})
    )

    assert {1: 2, 2: 1} == packs(result)
    assert not result.made["m"].bent
    assert [50.0, 50.0] == [part.loose_l for part in result.made["m"].parts]


def test_held_parts_are_never_raised() -> None:
    """Sand in `hold` stays at its share or below, so a second pack of peat is bought."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 10), hold=frozenset({"sand"}))
    result = shop(
        selling(pack(1, "peat", 45, 900), pack(2, "sand", 55, 700), mixes=[one]), needs({"m": 100})
    )

    assert {1: 2, 2: 1} == packs(result)


def test_recipe_nearest_the_plan_comes_before_the_order_of_the_file() -> None:
    """60 + 40 L and 50 + 50 L cost alike, leave nothing and are two packs: 1:1 is taken."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 4))
    supplies = [
        pack(1, "peat", 60, 500), pack(2, "sand", 40, 500),
        pack(3, "peat", 50, 500), pack(4, "sand", 50, 500),
    ]  # fmt: skip

    assert {3: 1, 4: 1} == packs(shop(selling(*supplies, mixes=[one]), needs({"m": 100})))


def test_recipe_nearest_the_plan_where_all_else_is_equal() -> None:
    """Flex that no pack needs is not used."""
    one = mix("m", {"peat": 1, "sand": 1}, flex=Fraction(1, 4))
    result = shop(
        selling(pack(1, "peat", 60, 900), pack(2, "sand", 60, 700), mixes=[one]), needs({"m": 100})
    )

    assert [Fraction(1, 2), Fraction(1, 2)] == [part.share for part in result.made["m"].parts]


@pytest.mark.parametrize(
    ("only", "expected"),
    [(None, (70.0, 30.0)), ("own", (100.0, 0.0)), ("ready", (0.0, 100.0))],
)
def test_blend_buy_or_some_of_each(only: str | None, expected: tuple[float, float]) -> None:
    """One pack blends 70 L and a bag fills up the rest, unless the plan forbids either."""
    one = mix("m", {"peat": 1}, only=only)
    result = shop(
        selling(pack(1, "peat", 70, 700), pack(2, "m", 30, 500, of_kind="mix"), mixes=[one]),
        needs({"m": 100}),
    )

    assert expected == (result.made["m"].blended_l, result.made["m"].ready_l)


def test_mix_inside_a_mix_may_be_ready_made() -> None:
    """A part that is a mix is blended or bought like any other, with its own shrink."""
    inner, outer = mix("inner", {"peat": 1, "sand": 1}), mix("outer", {"inner": 2, "sand": 1})
    result = shop(
        selling(
            pack(1, "inner", 60, 100, of_kind="mix"),
            pack(2, "peat", 10, 500),
            pack(3, "sand", 30, 300),
            mixes=[inner, outer],
        ),
        needs({"outer": 90}, loose_per_l={"outer": 1.0, "inner": 1.25}),
    )

    assert {1: 1, 3: 1} == packs(result)
    assert ["inner", "outer"] == list(result.made)
    assert (0.0, 60.0) == (result.made["inner"].blended_l, result.made["inner"].ready_l)


def test_containers_are_bought_by_whole_packs() -> None:
    """Fourteen pots are two packs of ten; six are over."""
    result = shop(selling(pieces(1, "#7", 10, 4500)), needs(), containers={"#7": 14})

    assert {1: 2} == packs(result)
    assert [("#7", 6.0)] == [(left.of, left.left) for left in result.left]


def test_swelling_is_counted_at_the_level_from_the_other_end() -> None:
    """At level 0.5 a bale comes to its median; surer, to less, so that it is surely enough."""
    bale = selling(pack(1, "peat", Spread(100, 150, 200), 500))
    middle = shop(bale, needs(ingredients_l={"peat": 10}, level=0.5)).lines[0].contents
    # 1 - level = 0.02 of a triangle from 100 to 200 with its mode at 150: 100 + sqrt(.02*100*50).
    surer = shop(bale, needs(ingredients_l={"peat": 10}, level=0.98)).lines[0].contents

    assert 150.0 == middle
    assert pytest.approx(110.0) == surer


def test_unpriced_is_listed_and_not_counted() -> None:
    """What no supply names has an amount and no price, and stays at its share of the recipe."""
    one = mix("m", {"peat": 1, "bark": 1}, flex=Fraction(1, 2))
    result = shop(selling(pack(1, "peat", 10, 500), mixes=[one]), needs({"m": 100}))

    assert {1: 5} == packs(result)
    assert [("bark", "l", 50.0)] == [(x.of, x.unit, x.left) for x in result.unpriced]
    assert ("optimal", 2500) == (result.status, result.cost_cents)


def test_plan_without_supplies_is_a_list_of_amounts() -> None:
    """A plan that names no supply at all is still answered."""
    result = shop(plan(mixes=[mix("m", {"peat": 1})]), needs({"m": 100}), containers={"#3": 4})

    assert "optimal" == result.status
    assert [("peat", 100.0), ("#3", 4.0)] == [(x.of, x.left) for x in result.unpriced]


@pytest.mark.parametrize(
    ("supplies", "without", "missing", "change"),
    [
        ([pack(1, "peat", 10, 500, at_most=2)], frozenset(), 15.0, Change("at_most", 1, 2, 4)),
        ([heap(1, "peat", 20)], frozenset(), 15.0, Change("have", 1, amount=15.0)),
        ([pack(1, "peat", 10, None, on_hand=Fraction(2))], frozenset(), 15.0,
         Change("price", 1, amount=15.0)),
        ([pack(1, "peat", 10, 500, supplier="Mill")], frozenset({"Mill"}), 35.0,
         Change("without", 1, source="Mill")),
    ],
)  # fmt: skip
def test_error_what_cannot_be_had_is_named(
    supplies: list[Any], without: frozenset[str], missing: float, change: Change
) -> None:
    """Which good, how much, what for, by when, and the smallest change that would do."""
    result = shop(
        selling(*supplies, suppliers=[supplier("Mill")]),
        peat(35),
        without=without,
        due={"peat": date(2027, 4, 3)},
    )

    assert "infeasible" == result.status
    short = result.short[0]
    assert ("peat", "l", 35.0, missing, date(2027, 4, 3)) == (
        short.of, short.unit, short.need, short.missing, short.by,
    )  # fmt: skip
    assert change == short.change


def test_error_change_does_and_a_smaller_one_does_not() -> None:
    """With the change named the list is whole; with a pack less it is not."""

    def with_limit(most: int) -> Shopping:
        return shop(selling(pack(1, "peat", 10, 500, at_most=most)), peat(35))

    then = with_limit(2).short[0].change.then

    assert "optimal" == with_limit(then).status
    assert "infeasible" == with_limit(then - 1).status


def test_error_least_order_that_its_limits_never_reach() -> None:
    """A delivery whose only supply is limited below the least order cannot be had."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(100))
    bulk = pack(1, "peat", 10, 100, supplier="Yard", at_most=5)
    result = shop(selling(bulk, suppliers=[yard]), peat(30))

    assert "infeasible" == result.status
    assert ("peat", 30.0) == (result.short[0].of, result.short[0].missing)
    assert Change("at_most", 1, 5, 10) == result.short[0].change


def test_the_rest_is_bought_when_something_is_missing() -> None:
    """What can be had is bought, so that a season goes on."""
    one = selling(pack(1, "peat", 10, 500, at_most=2), pack(2, "sand", 10, 300))
    result = shop(one, needs(ingredients_l={"peat": 35, "sand": 10}))

    assert {1: 2, 2: 1} == packs(result)
    assert 1300 == result.cost_cents


def test_lead_moves_the_day_of_ordering() -> None:
    """Three days of lead before the first use; a part is needed when its mix is."""
    result = shop(
        selling(
            pack(1, "peat", 100, 500, supplier="Yard"),
            mixes=[mix("m", {"peat": 1})],
            suppliers=[supplier("Yard", lead_days=3)],
        ),
        needs({"m": 100}),
        due={"m": date(2027, 3, 6)},
    )

    assert date(2027, 3, 2) == result.lines[0].by


def test_prices_up_raise_prices_and_fees() -> None:
    """Eight per cent on 5.55 is 5.99 (half up), on a trip of 6.00 it is 6.48."""
    result = shop(
        selling(
            pack(1, "peat", 10, 555, supplier="Mill"),
            suppliers=[supplier("Mill", trip_cents=600)],
        ),
        peat(10),
        prices_up=Fraction(8, 100),
    )

    assert (599, [("Mill", "trip", 648)]) == (result.lines[0].each_cents, fees(result))


def test_share_saved_holds_when_all_prices_rise() -> None:
    """The share that blending saves does not move when every price doubles."""
    one = selling(
        pack(1, "peat", 50, 1000), pack(2, "m", 50, 2000, of_kind="mix"),
        mixes=[mix("m", {"peat": 1})],
    )  # fmt: skip
    now = shop(one, needs({"m": 100}, loose_per_l={"m": 1.25})).compare[0]
    later = shop(one, needs({"m": 100}, loose_per_l={"m": 1.25}), prices_up=Fraction(1)).compare[0]

    # Own: 20 cents a loose litre, 25 a finished one; ready-made 40: saved 1 - 25 / 40 = 3/8.
    assert (Fraction(20), Fraction(25)) == (now.own_loose_cents_per_l, now.own_cents_per_l)
    assert Fraction(3, 8) == now.ready[0].saved_share == later.ready[0].saved_share


def test_turn_is_the_first_price_at_which_another_list_is_cheaper() -> None:
    """Peat at 10.00 for what costs 20.00 ready-made: dearer from 20.01 on, found by solving."""
    one = selling(
        pack(1, "peat", 50, 1000), pack(2, "m", 50, 2000, of_kind="mix"),
        mixes=[mix("m", {"peat": 1})],
    )  # fmt: skip
    turns = {turn.supply: turn for turn in shop(one, needs({"m": 50})).turns}

    assert ("up", 2001) == (turns[1].direction, turns[1].at_cents)
    assert ("down", 999) == (turns[2].direction, turns[2].at_cents)


def test_bulk_pays_from_where_fees_are_covered() -> None:
    """Bags at 5.00 for 10 L; bulk at 1.00 for 10 L and a delivery of 20.00: from 41 L, 5 bags.

    Four bags (40 L) cost 20.00, bulk for them 24.00; five bags (41 to 50 L) cost 25.00, as bulk.
    """
    result = shop(
        selling(
            pack(1, "peat", 10, 100, supplier="Yard"),
            pack(2, "peat", 10, 500),
            suppliers=[supplier("Yard", delivery_cents=2000)],
        ),
        peat(90),
    )

    assert [("peat", "Yard", 41.0)] == [(b.of, b.source, b.from_l) for b in result.bulk]


def test_why_says_what_it_is_for() -> None:
    """Every use of a good, with its amount."""
    one, other = mix("one", {"peat": 1}), mix("other", {"peat": 1, "sand": 1})
    result = shop(
        selling(pack(1, "peat", 10, 500), pack(2, "sand", 10, 500), mixes=[one, other]),
        needs({"one": 10, "other": 20}),
    )

    assert [("peat", "mix one", 10.0), ("peat", "mix other", 10.0)] == [
        (why.of, why.use, why.amount) for why in result.why if why.of == "peat"
    ]


def test_same_input_same_answer() -> None:
    """The whole answer repeats, figure by figure."""
    one = mix("m", {"peat": 4, "bark": 2, "sand": 1}, flex=Fraction(1, 10))
    supplies = [
        pack(1, "peat", 107, 1520), pack(2, "bark", 57, 640), pack(3, "bark", 28, 340),
        pack(4, "sand", 14, 210), pack(5, "m", 57, 1230, of_kind="mix"),
    ]  # fmt: skip
    first, second = (shop(selling(*supplies, mixes=[one]), needs({"m": 777})) for _ in range(2))

    assert first == second


def test_goods_are_had_by_the_evening_before() -> None:
    """Without any lead, too, goods are there a day before the session: they are soaked by then."""
    result = shop(
        selling(pack(1, "peat", 100, 500), pieces(2, "#3", 10, 450)),
        peat(100),
        containers={"#3": 14},
        due={"peat": date(2027, 3, 6), "#3": date(2027, 3, 13)},
    )

    assert [date(2027, 3, 5), date(2027, 3, 12)] == [line.by for line in result.lines]
