"""What a session's work touches and does: tools to bring, and the facts that cautions go by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rootroom.sessions.session import Before, Line

if TYPE_CHECKING:
    pass

HEAVY_KG = 20.0

# Common practice, no source.
_TOOLS = {
    "blend": ("scoop", "vessel", "shovel"),
    "lay out": ("scoop",),
    "mix in": ("scoop", "vessel", "shovel"),
    "move": ("gloves", "trowel", "watering can", "labels", "marker"),
    "refresh": ("gloves", "root saw", "secateurs", "watering can"),
    "plant out": ("gloves", "trowel", "watering can", "labels", "marker"),
    "fill bed": ("gloves", "barrow", "shovel", "rake", "hose"),
    "wash": ("brush", "bucket"),
}


def tools_for(lines: Sequence[Line]) -> tuple[str, ...]:
    """Return the tools of a session, each once."""
    tools: dict[str, None] = {}
    for kind, divides in dict.fromkeys((line.kind, line.into > 1) for line in lines):
        tools.update(dict.fromkeys(_TOOLS.get(kind, ())))
        if divides:
            tools["knife or spade"] = None
    if any(line.people > 1 or (line.weight_kg or 0.0) >= HEAVY_KG for line in lines):
        tools["hand truck"] = None
    return tuple(tools)


def actions_of(lines: Iterable[Line], before: Iterable[Before]) -> frozenset[str]:
    """Return the kinds of work of a session, the evening before included.

    To mix something in is to blend, for all that can happen.
    """
    kinds = {line.kind for line in lines} | {step.kind for step in before}
    return frozenset(kinds | {"blend"} if "mix in" in kinds else kinds)


def places_of(lines: Sequence[Line], *, on_deck: bool) -> frozenset[str]:
    """Return where work is done: "bed", "ground", and "deck" for plants on a stated area."""
    places = {"deck"} if on_deck else set()
    for line in lines:
        if line.kind == "fill bed":
            places.add("bed")
        elif line.kind == "plant out":
            places.add("ground" if line.new == "ground" else "bed")
    return frozenset(places)
