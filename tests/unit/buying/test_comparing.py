"""What blending saves, where the choice turns, and what each good is for."""

from __future__ import annotations

from fractions import Fraction

from rootroom.buying.shop import shop
from rootroom.buying.shopping import Made, Part
from tests.support.buying import needs, pack, packs, peat, selling, supplier
from tests.support.plans import bed, mix


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


def test_a_bed_is_named_by_what_is_laid_into_it() -> None:
    """The sand of a bed's layer is for the bed; the peat of its mix is for the mix."""
    south = bed("South bed", 1.0, 0.2, [("sand", 0.1), ("m", None)])
    one = selling(
        pack(1, "sand", 10, 500), pack(2, "peat", 10, 500),
        mixes=[mix("m", {"peat": 1})], beds=[south],
    )  # fmt: skip
    result = shop(one, needs({"m": 10}, ingredients_l={"sand": 10}))

    assert {("sand", "South bed"), ("m", "South bed"), ("peat", "mix m")} == {
        (why.of, why.use) for why in result.why
    }


def test_a_recipe_is_bent_from_a_thousandth_of_a_part_on() -> None:
    """A share of 0.5008 in place of 0.5 is bent by 0.16 %, one of 0.5004 by 0.08 % is not."""

    def made(share: str) -> Made:
        return Made(10.0, 0.0, (Part("peat", 5.0, Fraction(share), Fraction(1, 2)),))

    assert made("0.5008").bent
    assert not made("0.5004").bent


def test_own_mix_costs_what_the_list_pays() -> None:
    """Quantity prices count from the packs that are bought; what is not bought counts for nothing.

    Peat: 5 packs of 10 L at 4.00 (6.00 each below five): 40 cents a litre, not 60, and not the 5 of
    bulk, whose delivery would cost more than it saves. Ready-made 80: saved 1 - 40 / 80.
    """
    result = shop(
        selling(
            pack(1, "peat", 10, 600, more=[(5, 400)]),
            pack(2, "peat", 100, 500, supplier="Yard"),
            pack(3, "m", 10, 800, of_kind="mix"),
            mixes=[mix("m", {"peat": 1})],
            suppliers=[supplier("Yard", delivery_cents=9000)],
        ),
        needs({"m": 50}),
    )

    assert {1: 5} == packs(result)
    assert Fraction(40) == result.compare[0].own_cents_per_l
    assert Fraction(1, 2) == result.compare[0].ready[0].saved_share


def test_ready_made_mix_costs_what_the_list_pays() -> None:
    """Five bags at their quantity price of 3.00 are 30 cents a litre, own mix at 60 twice that."""
    result = shop(
        selling(
            pack(1, "peat", 10, 600), pack(2, "m", 10, 700, of_kind="mix", more=[(5, 300)]),
            mixes=[mix("m", {"peat": 1})],
        ),
        needs({"m": 50}),
    )  # fmt: skip

    assert {2: 5} == packs(result)
    assert (30, -1) == (
        result.compare[0].ready[0].cents_per_l, result.compare[0].ready[0].saved_share,
    )  # fmt: skip
