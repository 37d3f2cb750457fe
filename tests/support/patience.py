"""Searches that tests wait for end by the work they did, not by the clock."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

PATIENCE_S = 600.0
"""Seconds [s] that no test's search takes, however busy the machine."""


@contextmanager
def unhurried(effort_s: float) -> Iterator[None]:
    """Allow a search for sessions the work of `effort_s` [s] on an idle machine, and no clock."""
    with patch.multiple(
        "rootroom.sessions.schedule", USUAL_EFFORT_S=effort_s, SAFETY_NET_S=PATIENCE_S
    ):
        yield
