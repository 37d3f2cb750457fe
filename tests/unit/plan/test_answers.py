"""Answers as people type them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from rootroom.plan import answers
from rootroom.problems import TextError


@pytest.mark.parametrize(
    "text",
    [
        "5:1:1 bark peat perlite", "5 : 1 : 1 Pine bark, peat moss, perlite",
        "5 bark, 1 peat, 1 perlite", "5 bark 1 peat 1 perlite", "bark 5, peat 1, perlite 1",
        "5 parts bark + 1 part peat + 1 part of perlite", "5 bark; 1 peat; 1 perlite",
        "5:1:1 of bark, peat and perlite",
    ],
)  # fmt: skip
def test_recipe_in_several_forms(text) -> None:
    """Ratio or parts, with or without commas, by any spelling of an ingredient."""
    assert {"bark": 5, "peat": 1, "perlite": 1} == answers.read_recipe(text)


def test_recipe_with_names_of_two_words_and_shares() -> None:
    """The longest known name counts; shares are parts."""
    assert {"peat": 4, "leaf mold": 2, "worm castings": 1} == answers.read_recipe(
        "4:2:1 peat leaf mold worm castings"
    )
    assert {"peat": 60, "perlite": 40} == answers.read_recipe("60 % peat, 40 % perlite")
    assert {"peat": Decimal("2.5"), "bark": Decimal("0.5")} == answers.read_recipe(
        "2.5 peat, ½ bark"
    )


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("peat", "bad-recipe"), ("5:1 peat", "bad-recipe"), ("0 peat", "bad-recipe"),
        ("1/0 peat", "bad-recipe"), ("2 peat, 3", "bad-recipe"), ("2 peat 3, 1 bark", "bad-recipe"),
        ("2 peat, 1 Peat moss", "part-twice"), ("2 moon dust", "unknown-ingredient"),
        ("", "bad-recipe"), ("5:1", "bad-recipe"), ("99999 peat", "bad-recipe"),
    ],
)  # fmt: skip
def test_error_recipes(text, code) -> None:
    """What is no recipe is refused with an example."""
    with pytest.raises(TextError) as refused:
        answers.read_recipe(text)
    assert code == refused.value.code


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("sat sun", ["sat", "sun"]), ("Saturdays and Sundays", ["sat", "sun"]),
        ("weekend", ["sat", "sun"]), ("wed, wed", ["wed"]),
        ("weekdays", ["mon", "tue", "wed", "thu", "fri"]),
        ("2027-04-03, 2027-04-10", [date(2027, 4, 3), date(2027, 4, 10)]),
    ],
)  # fmt: skip
def test_work_days(text, expected) -> None:
    """Weekdays in short or whole, or dates."""
    assert expected == answers.read_days_text(text)


def test_numbers_windows_and_counts() -> None:
    """Prices keep two decimals, windows their words, counts may be words."""
    assert Decimal("15.20") == answers.read_price_text("$15.2")
    assert 4 == answers.read_hours_text("4 h")
    assert Decimal("2.5") == answers.read_hours_text("2.5")
    assert 12 == answers.read_count_text(" Twelve ")
    assert "2 weeks after last frost" == answers.read_when_text("2 Weeks  after last frost")
    assert date(2027, 4, 3) == answers.read_when_text("2027-4-3")
    for read, text in (
        (answers.read_price_text, "1.234"),
        (answers.read_price_text, "nan"),
        (answers.read_hours_text, "0"),
        (answers.read_count_text, "0"),
        (answers.read_days_text, " , "),
        (answers.read_when_text, "3/4/2027"),
        (answers.read_name, " "),
    ):
        with pytest.raises(TextError):
            read(text)
