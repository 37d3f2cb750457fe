"""Minutes of one person by kind of work and by volume, as typed rows of data/minutes.toml."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from math import exp, log
from types import MappingProxyType
from typing import Any, Literal

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.tables import read_table, record, spread_of

Per = Literal["piece", "litre", "kilogram"]
Pace = Literal["home", "nursery"]
PACES: tuple[Pace, ...] = ("home", "nursery")


@frozen(eq=False, repr=False)
class MinutesRow:
    """One kind of work: minutes a piece, a piece by its volume, a litre or a kilogram.

    `knots` are pairs of volume [L] and minutes [min] a piece, and empty where `each` says it all.
    """

    kind: str
    by: str
    per: Per
    each: Spread | None
    knots: tuple[tuple[float, Spread], ...]
    source: str
    grade: str
    note: str

    def at(self, amount: float) -> Spread:
        """Return the minutes for a container of `amount` [L], or for `amount` litres or kilograms.

        Raises ValueError for an amount that is negative.
        """
        if not amount >= 0:
            raise ValueError(f"amount must not be negative, got {amount!r}")
        if self.each is not None:
            factor = 1.0 if self.per == "piece" else amount
            return self.each.map(lambda value: value * factor)
        return Spread(*(self._between(name, amount) for name in ("low", "likely", "high")))

    def _between(self, name: str, litres: float) -> float:
        """Return minutes on the line through the two knots beside `litres`, in logarithms.

        To two digits: nobody knows a third, and a container near a knot shows the knot's figure.
        """
        volumes = [volume for volume, _ in self.knots]
        if litres <= volumes[0]:
            return float(getattr(self.knots[0][1], name))
        upper = min(bisect_right(volumes, litres), len(volumes) - 1)
        (v0, m0), (v1, m1) = self.knots[upper - 1], self.knots[upper]
        low, high = getattr(m0, name), getattr(m1, name)
        slope = log(high / low) / log(v1 / v0)
        return float(f"{exp(log(low) + slope * log(litres / v0)):.2g}")


@cache
def minutes_rows(pace: Pace = "home") -> Mapping[str, MinutesRow]:
    """Return all kinds of work by name, read once; those that a pace does not have as at home."""
    table = read_table("minutes")
    rows = {kind: row for kind, row in table.items() if kind not in ("sources", "pace")}
    if pace != "home":
        rows |= table["pace"][pace]
    return MappingProxyType({kind: _row(table, kind, row) for kind, row in rows.items()})


def minutes_row(kind: str, pace: Pace = "home") -> MinutesRow:
    """Return one kind of work with its source; ValueError for a kind that is not shipped."""
    rows = minutes_rows(pace)
    if kind not in rows:
        raise ValueError(f"kind of work must be one of {', '.join(rows)}, got {kind!r}")
    return rows[kind]


def minutes(kind: str, amount: float = 1.0, pace: Pace = "home") -> Spread:
    """Return the minutes [min] of one person for one kind of work.

    `amount` is the container's fill [L] for work on pots, the litres for blending and beds, the
    kilograms for soaking; it counts for nothing where each piece takes the same.
    Raises ValueError for a kind that is not shipped or a negative amount.
    """
    return minutes_row(kind, pace).at(amount)


def _row(table: Mapping[str, Any], kind: str, row: Mapping[str, Any]) -> MinutesRow:
    per: Per = "piece"
    each: Spread | None = None
    for key, unit in (("minutes_per_l", "litre"), ("minutes_per_kg", "kilogram")):
        if key in row:
            per, each = unit, spread_of(row[key])  # type: ignore[assignment]
    if "minutes" in row:
        each = spread_of(row["minutes"])
    knots = tuple(
        (float(knot["litres"]), spread_of(knot["minutes"])) for knot in row.get("rows", ())
    )
    if any(a[0] >= b[0] for a, b in pairwise(knots)):
        raise ValueError(f"rows must rise in volume, got {kind!r}")
    return record(MinutesRow, table, row, kind=kind, per=per, each=each, knots=knots)
