"""Dates counted from another date, as the windows of a plan are."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from rootroom.plan.dates import read_window, resolve


def _day(given: Mapping[str, Any]) -> date:
    day = resolve(read_window(given["window"]), date.fromisoformat(given["last_frost"]))
    assert day is not None
    return day


def day_of_month(given: Mapping[str, Any]) -> float:
    """Return the day of the month that is given; far off in another month."""
    day = _day(given)
    return day.day if day.month == given["month"] else 1000.0 + day.day


def day_of_year(given: Mapping[str, Any]) -> float:
    """Return the number of the day in its year, from 1."""
    return _day(given).timetuple().tm_yday


def days_before(given: Mapping[str, Any]) -> float:
    """Return how many days the window's date lies before the date it counts from."""
    return (date.fromisoformat(given["last_frost"]) - _day(given)).days
