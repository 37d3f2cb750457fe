"""The figures of the lifting equation, as published."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def lifting_figures() -> dict[str, Any]:
    """Return the tables of data/lifting.toml: by system, and those that both systems share."""
    text = files("rootroom.catalogue").joinpath("data/lifting.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
