"""Lines of a session by themselves: checkpoints, trays, batches."""

from __future__ import annotations

from datetime import time

import pytest

from rootroom.sessions.session import Batches, Checkpoint, PlantLine
from rootroom.sessions.work_lines import find_checkpoint


@pytest.mark.worked
@pytest.mark.parametrize(
    ("pots", "scoops", "expected"),
    [
        (18, 1.25, Checkpoint(2, 2.5)),  # two pots are five half scoops, to the half
        (18, 0.1, Checkpoint(5, 0.5)),  # five small pots share one half scoop
        (18, 0.35, Checkpoint(3, 1.0)),  # 1.4 and 2.1 half scoops: the second is within 5 %
        (18, 0.29, Checkpoint(5, 1.5)),  # 1.16, 1.74, 2.32, 2.9: the last is
        (4, 0.1, None),  # the fifth pot would be the first to look at
        (3, 1.25, None),  # too few pots to stop for
        (18, 0.0, None),
    ],
)
def test_checkpoint_by_hand(pots: int, scoops: float, expected: Checkpoint | None) -> None:
    """The first few pots that come to half scoops within a twentieth."""
    assert expected == find_checkpoint(pots, scoops)


@pytest.mark.worked
@pytest.mark.parametrize(("pots", "in_trays"), [(50, True), (2, True), (1, False)])
def test_what_is_lifted_at_once_is_a_tray(pots: int, in_trays: bool) -> None:
    """A tray of 10 kg is lifted once for its 50 cells or 2 pots; a pot of 10 kg is itself."""
    line = PlantLine(
        kind="move", name="Fig", count=pots, minutes=1.0, start=time(9), move=1, old="#1",
        new="#3", pots=pots, weight_kg=10.0, moved_kg=10.0,
    )  # fmt: skip

    assert in_trays == line.in_trays


def test_nothing_blended_is_no_batch() -> None:
    """No units are no batches, whole or in part."""
    none = Batches(
        mix="tree", litres=0.0, units=0, units_each=0, units_last=0, batch_l=0.0, scoop_l=1.0,
        card={}, scoops={}, ingredients_l={},
    )  # fmt: skip

    assert (0.0, 0, 0.0) == (none.batches, none.full, none.last_share)
