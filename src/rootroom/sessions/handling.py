"""What a session's work touches and does: tools to bring, and the facts that cautions go by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rootroom.sessions.result import Before, Line

__all__ = ["actions_of", "places_of", "tools_for"]

HEAVY_KG = 20.0

# Common practice, no source.
_TOOLS = {
    "blend": ("scoop", "vessel", "shovel"),
    "lay out": ("scoop",),
    "move": ("gloves", "trowel", "watering can", "labels", "marker"),
    "refresh": ("gloves", "root saw", "secateurs", "watering can"),
    "plant out": ("gloves", "trowel", "watering can", "labels", "marker"),
    "fill bed": ("gloves", "barrow", "shovel", "rake", "hose"),
    "wash": ("brush", "bucket"),
}


def tools_for(lines: Iterable[Line]) -> tuple[str, ...]:
    """Return the tools of a session, each once."""
    tools: dict[str, None] = {}
    heavy = False
    for line in lines:
        tools.update(dict.fromkeys(_TOOLS.get(line.kind, ())))
        heavy |= line.people > 1 or (line.weight_kg or 0.0) >= HEAVY_KG
    if heavy:
        tools["hand truck"] = None
    return tuple(tools)


def actions_of(lines: Iterable[Line], before: Iterable[Before]) -> frozenset[str]:
    """Return the kinds of work of a session, the evening before included."""
    return frozenset({line.kind for line in lines} | {step.kind for step in before})


def places_of(lines: Sequence[Line], *, on_deck: bool) -> frozenset[str]:
    """Return where work is done: "bed", "ground", and "deck" for plants on a stated area."""
    places = {"deck"} if on_deck else set()
    for line in lines:
        if line.kind == "fill bed":
            places.add("bed")
        elif line.kind == "plant out":
            places.add("ground" if line.new == "ground" else "bed")
    return frozenset(places)
