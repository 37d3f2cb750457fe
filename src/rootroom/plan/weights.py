"""Additions by weight and by volume: whether one can be turned into the other where it must."""

from __future__ import annotations


def check_weights(*args: object) -> None:
    """Check."""
