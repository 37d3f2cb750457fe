"""What a litre of a mix takes, the mixes inside it taken apart too."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rootroom.units import Rate

if TYPE_CHECKING:
    from rootroom.plan.model import Mix


def laid_in_per_l(mixes: Mapping[str, Mix], name: str) -> dict[str, float]:
    """Return the loose litres of each ingredient that a litre of a finished mix takes, by name.

    Mixes inside it are taken apart too, those without parts stay what they are.
    """
    found: dict[str, float] = {}
    for part, loose in mixes[name].loose_parts(1.0).items():
        inside = laid_in_per_l(mixes, part) if part in mixes and mixes[part].parts else {part: 1.0}
        for ingredient, litres in inside.items():
            found[ingredient] = found.get(ingredient, 0.0) + loose * litres
    return found


def added_per_l(mixes: Mapping[str, Mix], name: str) -> dict[str, Rate]:
    """Return the additions that a litre of a finished mix takes, its inner mixes' too."""
    mix = mixes[name]
    found = dict(mix.add)
    for part, loose in mix.loose_parts(1.0).items():
        for what, rate in (added_per_l(mixes, part) if part in mixes else {}).items():
            own = found.get(what)
            kg = (rate.kg_per_l or 0.0) * loose + ((own.kg_per_l or 0.0) if own else 0.0)
            litres = (rate.l_per_l or 0.0) * loose + ((own.l_per_l or 0.0) if own else 0.0)
            found[what] = Rate(kg or None, litres or None)
    return found
