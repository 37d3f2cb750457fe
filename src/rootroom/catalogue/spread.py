"""A figure that nobody knows exactly: least, likely and most."""

from __future__ import annotations

from collections.abc import Callable

from attrs import field, frozen


def as_float(number: float) -> float:
    """Return a whole number, too, as a float.

    attrs reads the signature of a converter: that of a function is there, that of `float` itself
    has to be parsed, which took 7 ms of every start.
    """
    return float(number)


@frozen
class Spread:
    """Least, mode and most of a triangular distribution; all three equal for a known figure.

    Raises ValueError unless low <= likely <= high.
    """

    low: float = field(converter=as_float)
    likely: float = field(converter=as_float)
    high: float = field(converter=as_float)

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
