"""The shopping list as one JSON object: base units, whole cents, keys in a fixed order."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rootroom.buying.shopping import Comparison, Made, Shopping


def buying_json(shopping: Shopping) -> str:
    """Return the list as the text of one JSON object; numbers are rounded to a millionth."""
    return json.dumps(buying_object(shopping), ensure_ascii=False)


def buying_object(shopping: Shopping) -> dict[str, Any]:
    """Return the list as plain lists and dictionaries."""
    return {
        "status": shopping.status,
        "cost_cents": shopping.cost_cents,
        "bound_cents": shopping.bound_cents,
        "lines": [
            {
                "supply": line.supply,
                "of": line.of,
                "pack": line.pack,
                "from": line.source,
                "packs": line.packs,
                "cost_cents": line.cost_cents,
                "by": None if line.by is None else line.by.isoformat(),
            }
            for line in shopping.lines
        ],
        "fees": [{"from": fee.source, "cents": fee.cents} for fee in shopping.fees],
        "made": {name: _made(made) for name, made in shopping.made.items()},
        "left_l": {name: _number(litres) for name, litres in shopping.left_l.items()},
        "unpriced": {left.of: _number(left.left) for left in shopping.unpriced},
        "compare": [_comparison(comparison) for comparison in shopping.compare],
    }


def _made(made: Made) -> dict[str, Any]:
    return {
        "blended_l": _number(made.blended_l),
        "ready_l": _number(made.ready_l),
        "parts": {part.of: _number(part.loose_l) for part in made.parts},
    }


def _comparison(comparison: Comparison) -> dict[str, Any]:
    own = comparison.own_cents_per_l
    return {
        "mix": comparison.mix,
        "own_cents_per_l": None if own is None else _number(own),
        "ready": [
            {
                "pack": ready.pack,
                "cents_per_l": _number(ready.cents_per_l),
                "saved_share": None if ready.saved_share is None else _number(ready.saved_share),
            }
            for ready in comparison.ready
        ],
    }


def _number(value: float | Fraction) -> float:
    """Return a number rounded to a millionth; never a negative zero."""
    return round(float(value), 6) + 0.0
