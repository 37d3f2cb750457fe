"""How dates, money and names are written."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import pytest

import rootroom.sheets
from rootroom.counts import counted
from rootroom.sheets.writing import Writer

SHEETS = Path(rootroom.sheets.__file__).parent
US, METRIC = Writer("us", "en_US", "USD"), Writer("metric", "en_GB", "EUR")
DAY = date(2027, 3, 20)


def test_dates_follow_the_locale_of_the_units() -> None:
    """A plan in US units writes the month first, a metric one the day."""
    assert "Saturday, March 20, 2027" == US.day_long(DAY)
    assert "Saturday, 20 March 2027" == METRIC.day_long(DAY)
    assert ("Mar 20", "20 Mar") == (US.day_short(DAY), METRIC.day_short(DAY))
    assert ("Sat, Mar 20", "Sat 20 Mar") == (US.day_week(DAY), METRIC.day_week(DAY))


def test_times_and_numbers_follow_the_locale() -> None:
    """Hours are of 12 or 24, thousands are parted, shares are whole per cent."""
    assert ("9:05\u00a0AM", "09:05") == (US.hour(time(9, 5)), METRIC.hour(time(9, 5)))
    assert ("$1,234.50", "€1,234.50") == (US.money(123450), METRIC.money(123450))
    assert ("1,234.50", "12,000", "13%") == (
        US.money_plain(123450), US.number(12000), US.share(0.134)
    )  # fmt: skip


def test_a_currency_that_no_table_knows_stands_as_its_code() -> None:
    """Money in an unknown currency still names it."""
    assert "QQQ" in Writer("metric", "en_GB", "QQQ").money(500)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("first\nsecond", "first second"),
        ("\u202edrawkcab", "drawkcab"),
        ("  ", "—"),
        ("תאנה", "\u2068תאנה\u2069"),
        ("Café", "Café"),
    ],
)
def test_a_name_stays_on_one_line_and_turns_nothing_about(name: str, shown: str) -> None:
    """Line ends and direction marks go; a name written from the right is set apart."""
    assert shown == US.name(name)


def test_a_count_chooses_its_form() -> None:
    """One plant, two plants."""
    assert ("1 plant", "2 plants") == (counted(1, "plant"), counted(2, "plant"))
