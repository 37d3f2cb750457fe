"""The draws themselves: other numbers here mean other lows and highs for every user."""

from __future__ import annotations

import pytest

from rootroom.demand.draws import Streams

pytestmark = pytest.mark.pinned


def test_draws_are_the_same_on_every_machine() -> None:
    """The first uniform numbers of a stream come from its name alone."""
    expected = [0.9516778338675617, 0.08347613452738711, 0.978174298001067]
    assert expected == Streams(3).uniform("packing").tolist()
