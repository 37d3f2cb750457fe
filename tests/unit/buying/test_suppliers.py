"""What going there, having it brought and tax cost, and by when goods are had."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from attrs import evolve

from rootroom.buying.shop import shop
from rootroom.catalogue.spread import Spread
from rootroom.sheets.answers.buying import buying_text
from tests.support.buying import fees, needs, pack, packs, peat, pieces, selling, supplier
from tests.support.plans import mix


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


@pytest.mark.worked
def test_trip_carries_only_so_much_weight() -> None:
    """Five packs of 12 kg in a car for 30 kg are two trips of 40 minutes, as 60 kg are in all."""
    mill = supplier("Mill", trip_cents=600, carries_kg=Fraction(30), trip_min=40.0)
    packs_of = evolve(pack(1, "peat", 10, 100, supplier="Mill"), mass_kg=12.0)
    result = shop(selling(packs_of, suppliers=[mill]), peat(50))

    assert [("Mill", "trip", 1200)] == fees(result)
    assert {"Mill": 80.0} == result.trip_min
    text = " ".join(buying_text(result).split())
    assert "load 25 L, about 30 kg a trip of 2 (peat 50 L, about 60 kg), 1 h 20 min" in text


def test_what_is_delivered_has_no_trip() -> None:
    """A delivery is no load of the grower's, and takes no time of the grower's."""
    yard = supplier("Yard", delivery_cents=0, trip_min=40.0)
    result = shop(selling(pack(1, "peat", 10, 100, supplier="Yard"), suppliers=[yard]), peat(50))

    assert {} == result.trip_min
    assert "load" not in buying_text(result)


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


@pytest.mark.worked
def test_least_order_that_buys_far_more_is_told_with_the_next_best_way() -> None:
    """15 L from a yard that delivers 60 L for 26.00; bags of 10 L elsewhere cost 28.00 for two."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(60))
    bulk = pack(1, "peat", 10, 100, supplier="Yard")
    (alone,) = shop(selling(bulk, suppliers=[yard]), peat(15)).least_orders
    mill = pack(2, "peat", 10, 1400, supplier="Mill")
    both = shop(selling(bulk, mill, suppliers=[yard, supplier("Mill")]), peat(15))
    (told,) = both.least_orders
    tripped = supplier("Yard", delivery_cents=2000, trip_cents=2700, least_l=Fraction(60))
    (fetched,) = shop(selling(bulk, suppliers=[tripped]), peat(15)).least_orders

    assert (60.0, 60.0, 15.0, None) == (
        alone.least_l, alone.bought_l, alone.needed_l, alone.other_cents
    )  # fmt: skip
    assert (2600, 2800, ("Mill",)) == (both.cost_cents, told.other_cents, told.other_from)
    # Two packs and the trip of 27.00.
    assert (2900, ("Yard",)) == (fetched.other_cents, fetched.other_from)
    text = " ".join(buying_text(both).split())
    assert "The least order at Yard is 60 L: 60 L are bought where 15 L would do." in text
    assert "The next best way, from Mill, costs 28.00 in all, 2.00 more." in text


@pytest.mark.parametrize("litres", [45, 100])
def test_an_order_near_what_is_needed_is_not_told(litres: int) -> None:
    """60 L for 45 L are not far more, and 100 L are an order of themselves."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(60))
    bulk = pack(1, "peat", 10, 100, supplier="Yard")

    assert () == shop(selling(bulk, suppliers=[yard]), peat(litres)).least_orders


def test_twice_what_is_needed_is_far_more() -> None:
    """60 L where 30 L would do are told."""
    yard = supplier("Yard", delivery_cents=2000, least_l=Fraction(60))
    bulk = pack(1, "peat", 10, 100, supplier="Yard")
    (told,) = shop(selling(bulk, suppliers=[yard]), peat(30)).least_orders

    assert (60.0, 30.0) == (told.bought_l, told.needed_l)


def test_a_trip_that_costs_nothing_counts_nothing() -> None:
    """Of two packs at one price the first is bought, though its supplier names a trip of 0.00."""
    mill = supplier("Mill", trip_cents=0)
    same = [pack(1, "peat", 10, 500, supplier="Mill"), pack(2, "peat", 10, 500)]
    result = shop(selling(*same, suppliers=[mill]), peat(10))

    assert {1: 1} == packs(result)
    assert (500, 500) == (result.cost_cents, result.bound_cents)


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


def test_goods_are_had_by_the_evening_before() -> None:
    """Without any lead, too, goods are there a day before the session: they are soaked by then."""
    result = shop(
        selling(pack(1, "peat", 100, 500), pieces(2, "#3", 10, 450)),
        peat(100),
        containers={"#3": 14},
        due={"peat": date(2027, 3, 6), "#3": date(2027, 3, 13)},
    )

    assert [date(2027, 3, 5), date(2027, 3, 12)] == [line.by for line in result.lines]
