"""Names that complete as one types: containers, mixes, goods, each with what it holds."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.uses import crops
from rootroom.containers.text import shipped_containers
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.units import System

Names = dict[str, str]
"""What each name holds or is, by name."""

MOST = 500
"""Names of one kind that are handed to the page."""
AWAY = {
    "ground": "out into open soil",
    "sold": "leaves the garden",
    "shelter": "carried under cover",
    "outdoors": "carried out again",
}
WINDOWS = {
    "last frost": "of the garden",
    **{f"{n} weeks before last frost": "" for n in (6, 4, 3, 2)},
    **{f"{n} weeks after last frost": "" for n in (2, 3, 4, 6)},
}
WHOLE = {"bare root": "no pot", "cutting": "no pot", "seed": "no pot"}


@cache
def shipped_names(system: System) -> Names:
    """Return the usual containers, with what each is filled with."""
    found = {
        one.text: f"holds {show_volume(one.fill_l.likely, system)}"
        + (" a cell" if one.cells > 1 else "")
        for one in shipped_containers()
    }
    return found | WHOLE


@cache
def known_crops() -> Names:
    """Return the crops that are known, with what is known of each."""
    told = {"tender": "tender", "annual": "annual", "small_steps": "small steps", "woody": "woody"}
    return {
        name: ", ".join(word for key, word in told.items() if getattr(crop, key))
        for name, crop in crops().items()
    }


def names_for(data: Mapping[str, Any], plan: Plan | None, system: System) -> dict[str, Names]:
    """Return what may be written into `now`, `to`, `mix`, `of` and `from` of a supply."""
    own: Names = dict.fromkeys(_keys(data, "containers"), "of this plan")
    for text, container in plan.containers.items() if plan is not None else ():
        own[text] = f"holds {show_volume(container.fill_l.likely, system)}"
    mixes = {name: _parts_text(data["mixes"][name]) for name in _keys(data, "mixes")}
    beds = dict.fromkeys(_values(data, "beds", "name"), "a bed of this plan")
    goods = dict.fromkeys(ingredients(), "an ingredient") | dict.fromkeys(
        _keys(data, "ingredients"), "an ingredient of this plan"
    )
    known = own | shipped_names(system)
    sold = dict.fromkeys([*_keys(data, "suppliers"), *_values(data, "supplies", "from")], "")
    return {
        "now": known,
        "to": beds | AWAY | known,
        "mix": mixes,
        "part": goods | dict.fromkeys(mixes, "a mix of this plan"),
        "of": goods | dict.fromkeys(mixes, "ready-made") | known,
        "from": sold,
        "when": WINDOWS,
        "crop": known_crops(),
    }


def system_of(data: Mapping[str, Any]) -> System:
    """Return the units that a plan wants its amounts in."""
    garden = data.get("garden")
    told = garden.get("units") if isinstance(garden, Mapping) else None
    return "metric" if told == "metric" else "us"


def _parts_text(mix: Any) -> str:
    parts = mix.get("parts") if isinstance(mix, Mapping) else None
    if not isinstance(parts, Mapping):
        return "bought ready-made"
    return ", ".join(
        f"{part[1] if isinstance(part, tuple) else part} {name}" for name, part in parts.items()
    )[:100]


def _keys(data: Mapping[str, Any], table: str) -> list[str]:
    found = data.get(table)
    return list(found)[:MOST] if isinstance(found, Mapping) else []


def _values(data: Mapping[str, Any], table: str, key: str) -> list[str]:
    rows = data.get(table)
    found = (
        [row.get(key) for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []
    )
    return list(dict.fromkeys(one for one in found if isinstance(one, str)))[:MOST]
