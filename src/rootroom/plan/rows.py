"""Rows."""

from __future__ import annotations


def read_rows(*args: object) -> None:
    """Read rows."""
