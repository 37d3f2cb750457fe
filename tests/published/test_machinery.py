"""What keeps the printed numbers honest: sources, tolerances, and how many there are."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from attrs import evolve

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
    values = [case for case in all_cases if case.kind == "case" and case.subject != "lifting"]
    used = {case.source for case in values}
    record_property("values", len(values))
    record_property("sources", len(used))

    assert 300 <= len(values)
    assert 50 <= sum(all_sources[key].grade in ("A", "B") for key in used)
    assert 60 <= len({case.source for case in all_cases})


def test_each_case_says_where_it_was_read(all_cases):
    """A figure was read in its source, or second hand."""
    assert {"source", "second hand"} == {case.read for case in all_cases}


NUMBER = re.compile(r"(?<![\w.-])\d+(?:\.\d+)?")
PLAIN = {12.0, 27.0, 1728.0}
"""Feet and yards: what an area, a depth or a volume is turned by."""


def numbers(given) -> list[str]:
    """Return every number of the inputs, as written."""
    if isinstance(given, dict):
        return [number for value in given.values() for number in numbers(value)]
    if isinstance(given, list | tuple):
        return [number for value in given for number in numbers(value)]
    return [] if isinstance(given, bool) else NUMBER.findall(str(given))


def made_up(case) -> list[str]:
    """Return inputs of three figures or more that one step leads to from what they are to show.

    Such an input is fine where the source prints it, which `where` then repeats.
    """
    inputs, printed = numbers(dict(case.given)), set(NUMBER.findall(case.where))
    found = []
    for one in inputs:
        if len(one.replace(".", "").strip("0")) < 3 or one in printed:
            continue
        half = 0.5 * 10 ** -len(one.partition(".")[2])
        others = {float(other) for other in inputs if other != one} - {0.0} | PLAIN
        ends = [float(case.expected) + side * case.slack() for side in (-1, 1)]
        for other in others:
            for low, high in (
                sorted(end * other for end in ends),
                sorted(end / other for end in ends),
            ):
                if low - half <= float(one) <= high + half:
                    found.append(one)
    return found


def test_no_input_is_made_from_what_it_is_to_show(all_cases):
    """No case of packages or pots feeds back its own answer, which could not fail."""
    subjects = ("buying", "containers", "mixing", "dates")
    made = {
        case.name: made_up(case)
        for case in all_cases
        if case.kind == "case" and case.subject in subjects and made_up(case)
    }
    assert {} == made


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"supply": 'pack = "3.6 cu ft", swells = 1.67'}, "6"),
        ({"supply": 'pack = "2.2 cu ft", swells = 1.894'}, "4.17"),
    ],
)
def test_an_input_made_from_the_answer_is_found(all_cases, given, expected):
    """The factors that two cases had computed for themselves are found."""
    case = next(case for case in all_cases if case.name == "buying-bale-of-one-doubles")
    made = evolve(case, given=given, expected=expected)

    assert made_up(made)
