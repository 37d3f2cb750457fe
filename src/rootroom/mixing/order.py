"""In which order mixes are blended, and what goes into the vessel when.

Common practice, no source: dry light parts dust, so they lie between moist ones; powders go
between the layers, where they spread; a coated fertilizer goes in last and is turned in gently,
since rubbing breaks its coats.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rootroom.mixing.card import BatchAddition, CardPart, Step, Water

if TYPE_CHECKING:
    from rootroom.plan.model import Mix

Layer = tuple[str, float]


def blending_order(mixes: Mapping[str, Mix]) -> list[str]:
    """Return the names of the mixes in the order of the plan, each before those that hold it."""
    nested = [(part, name) for name, mix in mixes.items() for part in mix.parts if part in mixes]
    if not nested:
        return list(mixes)
    # Imported here: it takes longer than everything else, and few plans nest their mixes.
    import networkx

    graph = networkx.DiGraph(nested)
    graph.add_nodes_from(mixes)
    place = {name: number for number, name in enumerate(mixes)}
    return list(networkx.lexicographical_topological_sort(graph, key=place.__getitem__))


def layers(parts: Sequence[CardPart], dusty: frozenset[str]) -> list[Layer]:
    """Return the parts as layers from below with their scoops, dusty ones between moist ones.

    With too few moist parts the largest of them is split into whole and half scoops.
    """
    by_size = sorted(parts, key=lambda part: -part.scoops)
    moist = [(part.of, part.scoops) for part in by_size if part.of not in dusty]
    dry = [(part.of, part.scoops) for part in by_size if part.of in dusty]
    while moist and len(moist) <= len(dry) and max(scoops for _, scoops in moist) >= 1:
        moist = _split_largest(moist)
    laid: list[Layer] = []
    # Moist parts are shared out over the gaps, the first and the last being moist.
    for number, layer in enumerate(dry):
        laid += _share_of(moist, number, len(dry) + 1)
        laid.append(layer)
    return laid + _share_of(moist, len(dry), len(dry) + 1)


def _split_largest(moist: list[Layer]) -> list[Layer]:
    largest = max(range(len(moist)), key=lambda i: (moist[i][1], -i))
    of, scoops = moist[largest]
    lower = int(scoops + 0.5) / 2
    halves = [(of, lower), (of, scoops - lower)]
    # The two lie apart, so that what is dusty comes between them.
    rest = [layer for number, layer in enumerate(moist) if number != largest]
    return [halves[0], *rest, halves[1]]


def _share_of(moist: list[Layer], gap: int, gaps: int) -> list[Layer]:
    first, last = -(-gap * len(moist) // gaps), -(-(gap + 1) * len(moist) // gaps)
    return moist[first:last]


def steps(
    laid: Sequence[Layer], water: Sequence[Water], additions: Sequence[BatchAddition]
) -> tuple[Step, ...]:
    """Return every step of blending a batch, in order."""
    powders = [addition.of for addition in additions if not addition.coated]
    coated = [addition.of for addition in additions if addition.coated]
    # A powder needs a layer above it, unless there is but one layer.
    gaps = max(len(laid) - 1, 1)
    found = [Step(one.how, one.of) for one in water]
    for number, (of, scoops) in enumerate(laid):
        found.append(Step("layer", of, scoops))
        if number < gaps:
            found += [Step("sprinkle", powder, share=1 / gaps) for powder in powders]
    found.append(Step("turn"))
    found += [Step("strew", of) for of in coated]
    found.append(Step("turn again", times=2))
    return tuple(found)
