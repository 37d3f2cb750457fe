"""Windows by hand: common planting-date arithmetic, no source of a grade to cite."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.plan.dates import read_window, resolve

pytestmark = pytest.mark.worked


@pytest.mark.parametrize(
    ("text", "last_frost", "expected"),
    [
        # April has 25 days up to the 25th, March 31: 42 days back is March 14.
        ("6 weeks before last frost", date(2026, 4, 25), date(2026, 3, 14)),
        # 56 days back: 25 in April, 31 in March, so the last day of February.
        ("8 weeks before last frost", date(2026, 4, 25), date(2026, 2, 28)),
        # The same in a leap year: February has 29 days.
        ("8 weeks before last frost", date(2028, 4, 25), date(2028, 2, 29)),
        # May 1 less 56 days: 1 in May, 30 in April, 25 of March's 31, so the 6th.
        ("8 weeks before last frost", date(2027, 5, 1), date(2027, 3, 6)),
        # May 10 less 56 days is March 15.
        ("8 weeks before last frost", date(2027, 5, 10), date(2027, 3, 15)),
        # August 1 less 120 days: 1 + 31 + 30 + 31 = 93 back to April 30, 27 more.
        ("120 days before last frost", date(2027, 8, 1), date(2027, 4, 3)),
        ("90 days before last frost", date(2027, 8, 1), date(2027, 5, 3)),
        # Over the end of a year.
        ("3 weeks after last frost", date(2027, 12, 20), date(2028, 1, 10)),
        ("1 week after last frost", date(2027, 4, 12), date(2027, 4, 19)),
        ("a week after the last frost", date(2027, 4, 12), date(2027, 4, 19)),
        ("1 day before last frost", date(2027, 3, 1), date(2027, 2, 28)),
        ("Last Frost", date(2027, 4, 12), date(2027, 4, 12)),
        ("0 days after last frost", date(2027, 4, 12), date(2027, 4, 12)),
    ],
)
def test_window(text, last_frost, expected):
    """A window is so many whole days from the last frost."""
    assert expected == resolve(read_window(text), last_frost)
