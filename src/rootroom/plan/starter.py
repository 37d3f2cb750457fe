"""The plan that `rootroom new` writes."""

from __future__ import annotations

from importlib.resources import files


def starter_plan() -> str:
    """Return a commented plan in the short form, which reads without a problem."""
    return files("rootroom.plan").joinpath("data", "starter.toml").read_text(encoding="utf-8")
