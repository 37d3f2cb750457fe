"""What keeps the printed numbers honest: sources, tolerances, and how many there are."""

from __future__ import annotations

import re
from collections import Counter

import pytest

pytestmark = pytest.mark.published

KEBAB = re.compile(r"[a-z0-9]+(?:-[a-z0-9.]+)*")


def test_each_case_names_a_source(all_cases, all_sources):
    """No printed number stands without the place that printed it."""
    missing = [case.name for case in all_cases if case.source not in all_sources or not case.where]

    assert [] == missing


def test_each_source_is_used(all_cases, all_sources):
    """No source is listed for show."""
    unused = set(all_sources) - {case.source for case in all_cases}

    assert set() == unused


def test_each_source_is_complete(all_sources):
    """Every source has its title, publisher, year, address, day seen and a grade."""
    incomplete = [
        source.key
        for source in all_sources.values()
        if not (source.title and source.publisher and source.year and source.address)
        or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", source.seen)
        or source.grade not in ("A", "B", "C")
    ]

    assert [] == incomplete


def test_only_traps_rest_on_weak_sources(all_cases, all_sources):
    """A source of grade C proves nothing; it may only show a mistake."""
    weak = [c.name for c in all_cases if not c.trap and all_sources[c.source].grade == "C"]

    assert [] == weak


def test_each_wider_tolerance_has_its_reason(all_cases):
    """A tolerance that is not half of the last digit says why."""
    silent = [case.name for case in all_cases if case.tolerance and not case.reason]

    assert [] == silent


def test_names_are_used_once(all_cases):
    """Names are in kebab case and told apart."""
    names = Counter(case.name for case in all_cases)

    assert [] == [name for name, count in names.items() if count > 1 or not KEBAB.fullmatch(name)]


def test_there_are_enough(all_cases, all_sources, record_property):
    """At least 80 numbers from at least 15 sources of grade A or B are reproduced."""
    values = [case for case in all_cases if not case.trap]
    used = {case.source for case in values}
    record_property("values", len(values))
    record_property("sources", len(used))

    assert 80 <= len(values)
    assert 15 <= sum(all_sources[key].grade in ("A", "B") for key in used)
