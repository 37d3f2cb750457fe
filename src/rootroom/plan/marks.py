"""What plants of one entry are told apart and found by: their sorts, their place, their tag.

None of it changes what is planned: a plant's amounts and days are those of all its sorts together.
Where its plants are worked on several days, its sorts go in the order of the plan.
"""

from __future__ import annotations

from attrs import frozen

MARK_KEYS = ("sort", "sorts", "place", "tag")
"""Keys of a plant, and columns of a list, that say nothing of how it is moved."""


@frozen
class Marks:
    """Sorts with their counts in the order of the plan, where the plants stand, what tag they have.

    A sort may come more than once after a record; plants that belong to no sort come last.
    """

    sorts: tuple[tuple[str, int], ...] = ()
    place: str = ""
    tag: str = ""

    def divided(self, into: int) -> Marks:
        """Return the marks of plants whose balls were each divided `into` so many."""
        if into == 1 or not self.sorts:
            return self
        sorts = tuple((sort, count * into) for sort, count in self.sorts)
        return Marks(sorts, self.place, self.tag)

    def between(self, first: int, end: int) -> dict[str, int]:
        """Return how many of each sort are among the plants from `first` until before `end`."""
        found: dict[str, int] = {}
        begin = 0
        for sort, count in self.sorts:
            many = min(begin + count, end) - max(begin, first)
            if many > 0:
                found[sort] = found.get(sort, 0) + many
            begin += count
        return found


NO_MARKS = Marks()


@frozen
class Place:
    """A bench, a shelf, a frame: the area [m2] that pots may take, and the gap [m] between pots."""

    area_m2: float
    gap_m: float = 0.0
