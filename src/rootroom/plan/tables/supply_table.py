"""An entry of `supplies` as written."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, NewType

from attrs import frozen

from rootroom.plan.goods import Pack
from rootroom.plan.measures import Density, Factor, Litres
from rootroom.plan.values import MOST, READERS, Cents, Count, Number, Text, exact, read_count, show
from rootroom.problems import TextError
from rootroom.units import read_amount

PackText = NewType("PackText", Pack)
Kind = Literal["ingredient", "addition", "container", "mix"]


def read_pack(value: object) -> Pack:
    """Return what one package holds: pieces, litres or kilograms."""
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        pieces = read_count(value)
        return Pack(str(pieces), pieces=pieces)
    if not isinstance(value, str):
        raise TextError(
            f"a package needs its size: {show(value)}",
            code="needs-unit",
            hint='write `pack = "2 cu ft"`, `"5 kg"`, or a bare number of pieces',
        )
    if value.strip().isdecimal():
        raise TextError(
            f"an amount needs a unit: {show(value)}",
            code="missing-unit",
            hint=f'write its unit, `"{value.strip()} L"`, or pieces without quotes: '
            f"`{value.strip()}`",
        )
    amount = read_amount(value)
    size = amount.l if amount.l is not None else amount.kg
    if size is None or size <= 0:
        raise TextError(f"a size must be above zero: {show(value)}", code="zero-size")
    if size > MOST:
        raise TextError(f"a size beyond any garden: {show(value)}", code="too-large")
    if amount.l is not None:
        return Pack(value, litres=exact(amount.l))
    return Pack(value, kilograms=exact(size))


READERS[PackText] = read_pack


@frozen(eq=False, repr=False)
class BreakTable:
    """A quantity price as written."""

    packs: Count | None = None
    price: Cents | None = None


@frozen(eq=False, repr=False)
class SupplyTable:
    """An entry of `supplies` as written."""

    of: Text | None = None
    pack: PackText | None = None
    price: Cents | None = None
    from_: Text | None = None
    on_hand: Number | None = None
    have: PackText | None = None
    swells: Factor | None = None
    yields: Litres | None = None
    water: Litres | None = None
    weighs: Density | None = None
    more: tuple[BreakTable, ...] | None = None
    at_most: Count | None = None
