"""What blending saves, where the choice turns, and what each good is for."""

from __future__ import annotations

from fractions import Fraction

from rootroom.buying.shop import shop
from tests.support.buying import needs, pack, peat, selling, supplier
from tests.support.plans import mix


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
