"""Numbers of the lifting equation, computed by `rootroom.pot.lifting`."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from math import prod
from typing import Any

from rootroom.pot.lifting import lift

AT_BEST = {
    "us": {"h": 10.0, "v": 30.0, "d": 10.0},
    "metric": {"h": 25.0, "v": 75.0, "d": 25.0},
}
LOAD = {"us": 51.0, "metric": 23.0}


def _lift(given: Mapping[str, Any]) -> Any:
    system = given.get("system", "us")
    values = {key: value for key, value in given.items() if key not in ("system", "of", "work")}
    rest = {"a": 0.0, "per_min": 0.2, "hours": 1.0, "coupling": "good"}
    return lift(system, **{**AT_BEST[system], **rest, **values})


def limit(given: Mapping[str, Any]) -> float:
    """Return the weight limit in pounds or kilograms."""
    return float(_lift(given).limit)


def multiplier(given: Mapping[str, Any]) -> float:
    """Return the multiplier `of`."""
    return float(getattr(_lift(given).multipliers, given["of"]))


def limit_of_printed_multipliers(given: Mapping[str, Any]) -> float:
    """Return the limit as the manual's worksheets reckon it: multipliers rounded to hundredths."""
    rounded = [
        float(Decimal(repr(one)).quantize(Decimal("0.01"), ROUND_HALF_UP))
        for one in _lift(given).multipliers
    ]
    return LOAD[given.get("system", "us")] * prod(rounded)
