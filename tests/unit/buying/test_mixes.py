"""How mixes are come by: recipes that bend, ready-made bags, mixes inside mixes."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rootroom.buying.shop import shop
from tests.support.buying import needs, pack, packs, selling
from tests.support.plans import mix


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
