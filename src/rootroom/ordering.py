"""What must come first comes first; of what may come next, the least does."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from graphlib import TopologicalSorter
from heapq import heapify, heappop, heappush
from typing import Any, TypeVar

Thing = TypeVar("Thing")


def least_first(
    things: Iterable[Thing], before: Iterable[tuple[Thing, Thing]], rank: Callable[[Thing], Any]
) -> list[Thing]:
    """Return the things so that the first of each pair comes before the second, else by rank.

    No two things have the same rank.
    Raises CycleError for pairs that go round in a circle.
    """
    sorter: TopologicalSorter[Thing] = TopologicalSorter({thing: () for thing in things})
    for first, second in before:
        sorter.add(second, first)
    sorter.prepare()
    ready = [(rank(thing), thing) for thing in sorter.get_ready()]
    heapify(ready)
    found: list[Thing] = []
    while ready:
        thing = heappop(ready)[1]
        found.append(thing)
        sorter.done(thing)
        for freed in sorter.get_ready():
            heappush(ready, (rank(freed), freed))
    return found
