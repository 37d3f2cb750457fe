"""TOML text as tables, with the mistakes that gardeners type."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import Any

from rootroom.plan.places import Places, find_places
from rootroom.problems import Problem

__all__ = ["parse"]


def parse(text: str, file: str) -> tuple[dict[str, Any] | None, Places, list[Problem]]:
    """Return the tables, the places of their values, and the problems found on the way."""
    data = tomllib.loads(text, parse_float=Decimal)
    values, keys = find_places(text)
    return data, Places(file, text, values, keys), []
