"""Money, shares and amounts as the terminal and the sheets show them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rootroom.plan.entries import WITHOUT_DECIMALS
from rootroom.units import show_mass, show_spoons, show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Unit
    from rootroom.demand.recipes import Spoons
    from rootroom.units import System

LITRES_PER_CU_FT = Fraction("28.316846592")


def money(cents: int, currency: str) -> str:
    """Return cents as `12.30`, or `12` in a currency without decimals, whose name stands apart."""
    sign = "-" if cents < 0 else ""
    if currency in WITHOUT_DECIMALS:
        return f"{sign}{(abs(cents) + 50) // 100}"
    return f"{sign}{abs(cents) // 100}.{abs(cents) % 100:02}"


def amount_text(amount: float, unit: Unit, system: System, *, up: bool = False) -> str:
    """Return an amount of litres, kilograms or pieces as one measures it."""
    amount = max(amount, 0.0)
    if unit == "pieces":
        return str(round(amount))
    return show_volume(amount, system, up=up) if unit == "l" else show_mass(amount, system, up=up)


def addition_text(
    name: str,
    amount: float,
    unit: Unit,
    spoons: Spoons,
    system: System,
    *,
    up: bool = False,
) -> str:
    """Return an amount of an addition; `15 tbsp, 11 oz` where the plan gives it by the spoon.

    `spoons` holds what is given so, and what a litre of it weighs [kg/L] where that is known.
    """
    density = spoons.get(name)
    if name not in spoons or unit == "pieces" or (unit == "kg" and not density):
        return amount_text(amount, unit, system, up=up)
    litres = amount if unit == "l" else amount / (density or 1.0)
    text = show_spoons(max(litres, 0.0), system, up=up)
    return f"{text}, {show_mass(max(litres, 0.0) * density, system, up=up)}" if density else text


def per_volume(cents_per_l: Fraction, system: System, currency: str) -> str:
    """Return a price per cubic foot (US units) or per ten litres (metric), without the unit."""
    litres = LITRES_PER_CU_FT if system == "us" else Fraction(10)
    return money(int(cents_per_l * litres + Fraction(1, 2)), currency)


def volume_name(system: System) -> str:
    """Return what `per_volume` prices are for."""
    return "cu ft" if system == "us" else "10 L"


def share_text(share: Fraction) -> str:
    """Return a share of one as `13.5 %`."""
    text = f"{float(share * 100):.1f}".removesuffix(".0")
    return f"{text} %"


def signed(share: Fraction) -> str:
    """Return a difference as `+13.5 %`."""
    per_cent = round(float(share * 100), 1)
    return f"{per_cent:+.1f}".removesuffix(".0") + " %"
