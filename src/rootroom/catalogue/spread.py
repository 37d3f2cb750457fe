"""A figure that nobody knows exactly: least, likely and most."""

from __future__ import annotations

from collections.abc import Callable

from attrs import field, frozen


@frozen
class Spread:
    """Least, mode and most of a triangular distribution; all three equal for a known figure.

    Raises ValueError unless low <= likely <= high.
    """

    low: float = field(converter=float)
    likely: float = field(converter=float)
    high: float = field(converter=float)

    def __attrs_post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            given = f"{self.low}, {self.likely}, {self.high}"
            raise ValueError(f"need low <= likely <= high, got {given}")

    @classmethod
    def exactly(cls, value: float) -> Spread:
        """Return the spread of a figure that is known."""
        return cls(value, value, value)

    def map(self, change: Callable[[float], float]) -> Spread:
        """Return the spread of a rising function of this figure."""
        return Spread(change(self.low), change(self.likely), change(self.high))
