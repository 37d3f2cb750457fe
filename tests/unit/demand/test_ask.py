"""Quick questions in the user's words."""

from __future__ import annotations

import pytest

from rootroom.demand.quick import ask_bed, ask_fill
from rootroom.problems import TextError


def test_a_container_in_any_spelling() -> None:
    """The answer names the container as the catalogue does, and what is filled."""
    asked = ask_fill("5 gal bag", "#1", count=3)
    assert ("5 gal bag", "#1", 3, 3) == (asked.container, asked.old, asked.count, asked.answer.pots)
    one = ask_fill("5 gal bag", "#1").answer.mix_l.likely
    assert asked.answer.mix_l.likely == pytest.approx(3 * one)


def test_whole_trays_are_filled() -> None:
    """60 cells are two trays of 50."""
    assert ask_fill("50-cell tray", "seed", count=60).answer.pots == 100


def test_beds_are_counted_too() -> None:
    """Three beds take three times what one takes."""
    one, three = ask_bed("8 ft x 4 ft", "5 in"), ask_bed("8 ft x 4 ft", "5 in", count=3)
    assert three.answer.mix_l.likely == pytest.approx(3 * one.answer.mix_l.likely)
    # 32 sq ft x 5 in
    assert three.answer.fill_l.likely == pytest.approx(377.55795, abs=5e-6)


def test_error_no_room_for_mix() -> None:
    """A ball as big as the pot is refused with both volumes."""
    message = r"^no room for mix: the ball from #5 has \d+\.\d L, and #1 takes"
    with pytest.raises(TextError, match=message):
        ask_fill("#1", "#5")


@pytest.mark.parametrize("text", ["seed", "cutting", "bare root"])
def test_error_what_takes_no_mix(text: str) -> None:
    """Seeds, cuttings and bare roots stand in nothing."""
    with pytest.raises(TextError, match=rf"^takes no mix: `{text}`$") as caught:
        ask_fill(text)
    assert caught.value.code == "takes-no-mix"


@pytest.mark.parametrize("depth", ["0 in", "11 m"])
def test_error_depth_of_a_bed(depth: str) -> None:
    """A bed is deeper than nothing and no deeper than 10 m."""
    with pytest.raises(TextError, match=rf"^a bed's depth lies above 0 and up to 10 m: `{depth}`$"):
        ask_bed("8 ft x 4 ft", depth)
