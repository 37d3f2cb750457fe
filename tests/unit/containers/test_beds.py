"""The ground plan of a bed: spellings, and what is refused."""

from __future__ import annotations

import pytest

from rootroom.containers.beds import read_bed_shape
from rootroom.problems import TextError

SQUARE_FOOT = 0.09290304
HINT = (
    "write it as `8 ft x 4 ft`, `round 5 ft`, `12 ft x 4 ft + 6 ft x 4 ft`, or "
    'corners = [["0 ft", "0 ft"], ["8 ft", "0 ft"], ["8 ft", "4 ft"]]'
)


@pytest.mark.parametrize(
    "text",
    [
        "8 ft x 4 ft",
        "8 x 4 ft",
        "8' x 4'",
        "8ft by 4ft",
        "8 ft × 4 ft",
        "96 in x 48 in",
        "32 sq ft",
    ],
)
def test_spellings_of_one_bed(text):
    """However it is written, the bed covers 32 square feet."""
    assert 32 * SQUARE_FOOT == pytest.approx(read_bed_shape(text).area_m2, rel=1e-12)


def test_metric_and_sums():
    """Metres read as well, and parts add up."""
    bed = read_bed_shape("2.4 m x 1.2 m + round 1 m")

    assert 2.88 + 0.7853981633974483 == pytest.approx(bed.area_m2, rel=1e-12)


@pytest.mark.parametrize(
    ("given", "message", "code", "hint"),
    [
        ("8 ft", "unknown shape of a bed: `8 ft`", "bed-shape", HINT),
        ("", "unknown shape of a bed: ``", "bed-shape", HINT),
        (
            "8 ft x 4 ft x 1 ft",
            "a bed's shape has two sides: `8 ft x 4 ft x 1 ft`",
            "bed-shape",
            'the depth stands beside it: depth = "11 in"',
        ),
        ("0 ft x 4 ft", "a bed's sides lie between 0 and 500 m: `0 ft x 4 ft`", "bed-shape", ""),
        ("9000 m x 1 m", "a bed's sides lie between 0 and 500 m: `9000 m x 1 m`", "bed-shape", ""),
        (
            [["0", "0"], ["1 m", "1 m"], ["1 m", "0"], ["0", "1 m"]],
            "a bed's corners must not cross or touch, got side 1-2 over side 3-4",
            "bed-corners",
            "name the corners one after another as you walk round the bed",
        ),
        (
            [["0", "0"], ["1 m", "1 m"]],
            "a bed's corners must be at least 3, got 2",
            "bed-corners",
            "name the corners one after another as you walk round the bed",
        ),
        (
            [["0"], ["1 m", "1 m"]],
            "a corner is a pair of lengths: corner 1",
            "bed-corners",
            'write it as ["8 ft", "4 ft"]',
        ),
    ],
)
def test_error_bed(given, message, code, hint):
    """A text or outline that is no bed is refused with how to write one."""
    with pytest.raises(TextError) as caught:
        read_bed_shape(given)

    error = caught.value
    assert (message, code, hint) == (error.message, error.code, error.hint)


def test_corners_may_lie_west_of_the_first():
    """Corners count from any point, so a length may be negative."""
    bed = read_bed_shape([["0", "0"], ["-2 m", "0 m"], ["-2 m", "1 m"], ["0 m", "1 m"]])

    assert 2.0 == pytest.approx(bed.area_m2)
