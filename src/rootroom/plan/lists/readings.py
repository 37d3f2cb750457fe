"""How cells with more than one reading are to be read, as far as the list's owner said so."""

from __future__ import annotations

from typing import Literal

from attrs import define, field

Order = Literal["day-first", "month-first"]


@define
class Readings:
    """How cells with more than one reading are to be read, as far as somebody said so.

    `own` are names of a plan's own containers and beds, which mean what the plan says.
    """

    dates: Order | None = None
    year: int | None = None
    gallons: Literal["class", "true"] | None = None
    decimal: Literal["point", "comma"] | None = None
    means: dict[str, str] = field(factory=dict)
    own: tuple[str, ...] = ()
