"""Mix, goods and money after what was done, worked by hand."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest

from rootroom.catalogue.spread import Spread
from rootroom.demand.workload import Workload, bed_layers, likely_values
from rootroom.plan.entries import Pack, Supply
from rootroom.plan.model import Plan
from rootroom.record.apply import replay
from rootroom.record.mix_and_goods import Goods
from rootroom.units import Rate
from tests.support.plans import HERE, bed, group, mix, move, plan, pot
from tests.support.recording import DAY, event, moved

LATER = DAY + timedelta(days=7)


def bales(number: int, of: str, litres: float, **more: object) -> Supply:
    """Return a supply in packs of so many loose litres [L]."""
    return Supply(
        number, of, more.pop("of_kind", "ingredient"), HERE,  # type: ignore[arg-type]
        Pack(f"{litres:g} L", Fraction(litres)), Spread.exactly(litres),
        price_cents=1000, supplier="Mill Road", **more,  # type: ignore[arg-type]
    )  # fmt: skip


def yard(**more: object) -> Plan:
    """Return a plan with a mix of 3 bark and 1 peat that shrinks by a fifth, with lime."""
    lime = Supply(
        4, "lime", "addition", HERE, Pack("10 kg", kilograms=Fraction(10)), mass_kg=10.0,
        on_hand=Fraction(1),
    )  # fmt: skip
    supplies = (
        bales(1, "bark", 100.0, on_hand=Fraction(1)),
        bales(2, "bark", 50.0, at_most=6),
        Supply(3, "peat", "ingredient", HERE, have_l=Fraction(30)),
        lime,
    )
    tree = mix("tree", {"bark": 3, "peat": 1}, shrink=0.2, add={"lime": Rate(0.003, None)})
    figs = group("Fig", 18, move(pot("#1", 2.0), pot("#3", 9.0)))
    return plan([figs], [tree], supplies=more.pop("supplies", supplies), **more)  # type: ignore


def goods(of: Plan, *events: object) -> Goods:
    """Return the goods after events."""
    return replay(of, events).goods  # type: ignore[arg-type]


def test_blending_uses_up_its_parts() -> None:
    """80 L at a shrink of 0.2 take 100 L: 75 bark, 25 peat; 0.003 kg/L of lime are 0.24 kg.

    Left: a quarter of the bale of 100 L, 5 L of the heap of 30 L, 0.976 of the sack of 10 kg.
    """
    after = goods(yard(), event("blended", mix="tree", l=80.0)).supplies

    assert Fraction(1, 4) == after[0].on_hand
    assert Fraction(5) == after[2].have_l
    assert Fraction(976, 1000) == after[3].on_hand


def test_what_was_counted_is_there_from_then_on() -> None:
    """Counted over the winter: 2 bales of 50 L and 10 L of peat, whatever was used before.

    40 L blended a week later take 37.5 L of bark, by the bale of 100 L first (a quarter was left),
    so 12.5 L of a bale of 50 L; and 12.5 L of peat, of which 2.5 L are short.
    """
    events = [
        event("blended", mix="tree", l=80.0),
        event("in stock", of="bark", supply=2, packs=2, l=None),
        event("in stock", of="bark", supply=2, packs=1, l=None),
        event("in stock", of="peat", supply=3, packs=None, l=10.0),
    ]
    counted = goods(yard(), *events).supplies
    later = goods(yard(), *events, event("blended", LATER, mix="tree", l=40.0))

    assert [Fraction(1, 4), 2, 10] == [counted[0].on_hand, counted[1].on_hand, counted[2].have_l]
    assert [0, Fraction(7, 4), 0] == [
        later.supplies[0].on_hand, later.supplies[1].on_hand, later.supplies[2].have_l
    ]  # fmt: skip
    assert {"peat": pytest.approx(2.5)} == later.short


def test_what_is_bought_after_a_count_adds_to_it() -> None:
    """3 bales counted and 2 bought later are 5; the one bought before is in the count."""
    events = [
        event("bought", of="bark", packs=1, paid_cents=None, supply=2),
        event("in stock", of="bark", supply=2, packs=3, l=None),
        event("bought", LATER, of="bark", packs=2, paid_cents=None, supply=2),
    ]
    supply = goods(yard(), *events).supplies[1]

    assert (5, 3) == (supply.on_hand, supply.at_most)


def test_a_count_of_what_the_plan_does_not_have_is_odd() -> None:
    """Packs of an own heap, and a good that nobody sells."""
    events = [
        event("in stock", of="peat", supply=3, packs=2, l=None),
        event("in stock", of="coir", supply=1, packs=2, l=None),
    ]
    assert 2 == len(goods(yard(), *events).odd)


def test_what_was_bought_is_on_hand_and_paid() -> None:
    """2 bales of 50 L for 21.40: 2 on hand, of at most 6 there may be 4 more, 1070 cents each."""
    bought = event("bought", of="bark", packs=2, paid_cents=2140, supply=2)
    found = goods(yard(), bought)

    assert (Fraction(2), 4) == (found.supplies[1].on_hand, found.supplies[1].at_most)
    assert [(Fraction(2), 2140, "Mill Road", 1070.0)] == [
        (paid.packs, paid.cents, paid.source, paid.cents_each) for paid in found.paid
    ]


def test_a_supply_that_has_moved_in_the_file_is_found() -> None:
    """The place counts if it names the good; else where it came from; else the good."""
    by_place = event("bought", of="peat", packs=1, paid_cents=None, supply=1)

    assert 3 == goods(yard(), by_place).paid[0].supply


def test_noted_scoops_come_before_the_recipe() -> None:
    """60 L of bark and 25 of peat went in, whatever the recipe says: 40 L of bark are left."""
    noted = event("blended", mix="tree", l=80.0, loose_l={"bark": 60.0, "peat": 25.0})

    assert Fraction(4, 10) == goods(yard(), noted).supplies[0].on_hand


def test_what_was_used_beyond_all_stock_is_short() -> None:
    """160 L take 150 L of bark and 50 of peat: 50 and 20 L more than there were."""
    short = goods(yard(), event("blended", mix="tree", l=160.0)).short

    assert {"bark": 50.0, "peat": 20.0} == {name: round(x, 6) for name, x in short.items()}


def test_mix_that_is_left_is_what_was_seen() -> None:
    """100 blended, 70 used, 5 spilled would leave 25; 22 were seen: 3 more are gone."""
    book = goods(
        yard(),
        event("blended", mix="tree", l=100.0),
        event("used", mix="tree", l=70.0),
        event("spilled", mix="tree", l=5.0),
        event("left", mix="tree", l=22.0),
    ).mixes["tree"]

    assert (22.0, -3.0, DAY) == (book.there, book.differs, book.made)


def test_mix_of_two_days_adds_up() -> None:
    """100 blended, 70 used; a week later 60 more, 80 used: 10 are there."""
    book = goods(
        yard(),
        event("used", LATER, mix="tree", l=80.0),
        event("blended", LATER, mix="tree", l=60.0),
        event("blended", mix="tree", l=100.0),
        event("used", mix="tree", l=70.0),
    ).mixes["tree"]

    assert (10.0, LATER) == (book.there, book.made)


def test_mix_of_which_nobody_told_went_into_the_pots() -> None:
    """100 blended and figs moved on the day: none is left. Blended the day before: all is."""
    blended = event("blended", mix="tree", l=100.0)

    assert 0.0 == goods(yard(), blended, moved("Fig", 1, 18)).mixes["tree"].there
    assert 100.0 == goods(yard(), blended).mixes["tree"].there


def test_a_mix_inside_another_is_taken_from_its_heap() -> None:
    """40 L of a mix that is half tree take 20 of the 100 L of tree."""
    outer = mix("open", {"tree": 1, "bark": 1})
    both = plan((), [mix("tree", {"bark": 3, "peat": 1}), outer])
    books = goods(
        both, event("blended", mix="tree", l=100.0), event("blended", mix="open", l=40.0)
    ).mixes

    assert (80.0, 40.0) == (books["tree"].there, books["open"].there)


def test_bags_of_ready_mix_are_opened() -> None:
    """55 L used of a mix that is sold in bags of 50 L, 3 on hand: 1.9 are left."""
    bags = (bales(1, "tree", 50.0, of_kind="mix", on_hand=Fraction(3)),)
    found = goods(yard(supplies=bags), event("used", mix="tree", l=55.0))

    assert (Fraction(19, 10), 0.0) == (found.supplies[0].on_hand, found.mixes["tree"].there)


def test_a_layer_of_a_bed_is_what_the_demand_says() -> None:
    """The litres of each layer agree with the demand's own, at the likely values."""
    south = bed(
        "South", 2.97, 0.28, [("logs", 0.076), ("tree", 0.05), ("tree", None)], already_m=0.076
    )
    with_bed = plan((), [mix("tree", {"bark": 1})], [south])
    values = likely_values(Workload.of(with_bed))

    spill = with_bed.factors.spill.likely
    assert [layer.litres(values) for layer in bed_layers(south, with_bed.mixes)] == (
        pytest.approx(
            [south.loose_l(number, with_bed.mixes, spill) for number in (1, 2, 3)], rel=1e-12
        )
    )


def test_a_bed_uses_up_its_ingredient() -> None:
    """Half of 100 L of bark, 10 cm on 1 m2: half a bale of 100 L is left."""
    south = bed("South", 1.0, 0.30, [("bark", 0.10), ("tree", None)])
    filled = event("filled", bed="South", layer=1, share=0.5)

    assert Fraction(1, 2) == goods(yard(beds=[south]), filled).supplies[0].on_hand


def test_of_two_layers_of_one_good_the_one_that_was_told_is_filled() -> None:
    """Bark of 10 and 5 cm around a layer of mix, on 1 m2: the upper 50 L are in, the lower not."""
    south = bed("South", 1.0, 0.30, [("bark", 0.10), ("tree", None), ("bark", 0.05)])
    told = [event("filled", bed="South", layer=3, share=1.0, of="bark")]
    found = replay(yard(beds=[south]), told)

    assert {("South", 3): 1.0} == found.filled
    assert Fraction(1, 2) == found.goods.supplies[0].on_hand


def test_containers_that_were_bought_are_in_stock() -> None:
    """Two packs of ten and four in stock: 24, and the packs are no packs any more."""
    pots = Supply(1, "#3", "container", HERE, Pack("10", pieces=10), price_cents=4500)
    stocked = yard(supplies=(pots,), stock={"#3": 4})
    state = replay(stocked, [event("bought", of="#3", packs=2, paid_cents=9000)])

    assert 24 == state.boxes["#3"].on_hand
    assert Fraction(0) == state.goods.supplies[0].on_hand


def test_error_unknown_goods_are_told() -> None:
    """A good or a mix that the plan does not name is said in words."""
    state = replay(
        yard(),
        [
            event("bought", of="gravel", packs=1, paid_cents=None),
            event("blended", mix="gone", l=1.0),
            event("filled", bed="North", layer=1, share=1.0),
        ],
    )

    assert {
        "2027-03-20: the plan has no supply of `gravel`",
        "2027-03-20: the plan has no mix called `gone`",
        "2027-03-20: the plan has no layer 1 of a bed called `North`",
    } == set(state.odd)


def test_looks_at_the_heap_add_up() -> None:
    """100 blended, 90 seen; a week later 30 used, 55 seen: 10 and 5 are unaccounted for."""
    book = goods(
        yard(),
        event("blended", mix="tree", l=100.0),
        event("left", mix="tree", l=90.0),
        event("used", LATER, mix="tree", l=30.0),
        event("left", LATER, mix="tree", l=55.0),
    ).mixes["tree"]

    assert (55.0, -15.0) == (book.there, book.differs)


def test_of_two_looks_on_a_day_the_larger_holds() -> None:
    """Two helpers saw 20 and 25 L of the same heap, in either order."""
    looks = [event("left", name=n, mix="tree", l=x) for n, x in (("a", 25.0), ("b", 20.0))]
    blended = event("blended", mix="tree", l=100.0)

    assert 25.0 == goods(yard(), blended, *looks).mixes["tree"].there
    assert 25.0 == goods(yard(), *reversed(looks), blended).mixes["tree"].there


def test_a_layer_is_never_more_than_full() -> None:
    """Two helpers who both ticked the whole layer fill it once."""
    south = bed("South", 1.0, 0.30, [("bark", 0.10), ("tree", None)])
    both = [event("filled", bed="South", layer=1, share=1.0) for _ in range(2)]

    assert {("South", 1): 1.0} == replay(yard(beds=[south]), both).filled
