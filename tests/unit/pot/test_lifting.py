"""The lifting equation: its limits, its refusals and the helpers around it."""

import math
import re

import pytest

from rootroom.pot.lifting import index_text, lift, reach, reading

BEST = {"h": 10, "v": 30, "d": 10, "a": 0, "per_min": 0.2, "hours": 1, "coupling": "good"}


def lifted(**changed):
    """Return the lift at the best place of the hands, with some values changed."""
    return lift(**{**BEST, **changed})


def test_best_place_gives_the_load_constant():
    """With every multiplier 1 the limit is the load constant of the system."""
    assert lifted().limit == 51.0
    metric = lift("metric", h=25, v=75, d=25, a=0, per_min=0.1, hours=0.5, coupling="good")
    assert metric.limit == 23.0


def test_limit_is_the_product_of_the_multipliers():
    """The limit is the load constant times all six multipliers, nothing rounded."""
    found = lifted(h=17, v=12, d=33, a=25, per_min=4.5, hours=1.5, coupling="poor")
    assert 51 * math.prod(found.multipliers) == found.limit


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"h": 25.01}, "hands further than 25 in from the ankles"),
        ({"v": 70.5}, "hands higher than 70 in above the floor"),
        ({"d": 71}, "hands travel further than 70 in"),
        ({"a": 136}, "twist of more than 135 degrees"),
        ({"hours": 8.5}, "more than 8 hours of lifting"),
        ({"per_min": 15.5}, "15.5 lifts a minute is more than the table has for up to an hour"),
        (
            {"per_min": 9, "v": 20, "hours": 3},
            "9 lifts a minute is more than the table has for 3 hours",
        ),
    ],
)
def test_outside_says_why_and_gives_no_number(changed, why):
    """Beyond the limits the limit is 0, the reason is given, and there is no index."""
    found = lifted(**changed)
    assert found.limit == 0
    assert why == found.outside
    assert found.index(10) is None


def test_every_reason_is_given():
    """Two reasons at once are both named."""
    assert lifted(h=30, a=140).outside == (
        "hands further than 25 in from the ankles; twist of more than 135 degrees"
    )


def test_metric_limits_are_the_published_ones():
    """The metric system has its own limits: 63, 175 and 175 cm."""
    edge = lift("metric", h=63, v=175, d=175, a=135, coupling="poor")
    assert edge.outside == ""
    assert lift("metric", h=63.1, v=75, d=25).outside == "hands further than 63 cm from the ankles"


def test_frequency_is_linear_between_rows():
    """2.4 lifts a minute lies between the rows of 2 and 3 (the manual's own way, p. 56)."""
    found = lifted(per_min=2.4).multipliers.frequency
    assert found == pytest.approx(0.91 + 0.4 * (0.88 - 0.91))


def test_index_is_load_over_limit():
    """A load at the limit has index 1."""
    found = lifted()
    assert found.index(51) == 1
    assert found.index(0) == 0


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"h": -1}, "h must be a number of at least 0, got -1"),
        ({"v": math.nan}, "v must be a number of at least 0, got nan"),
        ({"d": math.inf}, "d must be a number of at least 0, got inf"),
        ({"a": -5}, "a must be a number of at least 0, got -5"),
        ({"per_min": -0.1}, "per_min must be a number of at least 0, got -0.1"),
        ({"hours": 0}, "hours must be a number above 0, got 0"),
        ({"coupling": "ok"}, 'coupling must be "good", "fair" or "poor", got \'ok\''),
        ({"system": "si"}, 'system must be "us" or "metric", got \'si\''),
    ],
)
def test_error_programming_mistakes_raise(changed, message):
    """A value that no lift has is refused by name."""
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        lifted(**changed)


def test_error_index_of_a_negative_load():
    """A negative load has no index."""
    with pytest.raises(ValueError, match="load must be a number of at least 0"):
        lifted().index(-1)


def test_reach_from_the_width_of_a_pot():
    """A 14 in pot on the ground: 10 + 7 in; on the bench: 8 + 7 in (manual, p. 8)."""
    assert reach("us", width=14, v=9.9) == 17
    assert reach("us", width=14, v=10) == 15
    assert reach("metric", width=36, v=24) == 43
    assert reach("metric", width=36, v=25) == 38


def test_reading_follows_the_manual():
    """The words change above 1 and above 3, and never promise safety."""
    words = [reading(index) for index in (0.4, 1.0, 1.01, 3.0, 3.01)]
    assert words[0] == words[1]
    assert words[2] == words[3]
    assert words[4] == "above 3: raised risk of injury for nearly everyone"
    assert not any("safe" in text for text in words)


@pytest.mark.parametrize(
    ("index", "text", "words"),
    [
        (0.94, "0.9", "at most 1"),
        (1.0, "1.0", "at most 1"),
        (1.046, "1.05", "above 1"),
        (1.004, "1.004", "above 1"),
        (2.94, "2.9", "above 1"),
        (3.04, "3.04", "above 3"),
    ],
)
def test_an_index_never_reads_the_other_way(index, text, words):
    """An index is told to as many decimals as its words need."""
    assert index_text(index) == text
    assert reading(index).startswith(words)
