"""How a plan's sheets write dates, times, money and amounts: by its units and the locale of them.

Dates, numbers and money come from a library's tables for the locale, amounts from `units`.
The same plan gives the same text everywhere: nothing is taken from the process's own locale.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from attrs import define

from rootroom.plan.entries import WITHOUT_DECIMALS
from rootroom.sheets.layout import WIDTH, clip, day_long, day_short, hour, tidy
from rootroom.units import show_mass, show_spoons, show_volume

if TYPE_CHECKING:
    from rootroom.buying.shopping import Unit
    from rootroom.demand.recipes import Spoons
    from rootroom.plan.model import Garden
    from rootroom.units import Amount, System


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
    name: str, amount: float, unit: Unit, spoons: Spoons, system: System, *, up: bool = False
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


LOCALES = {"us": "en_US", "metric": "en_GB"}
"""The locale that goes with each system of units."""

_RIGHT = frozenset({"R", "AL", "AN"})
"""Directions that would turn the words around a name about."""


@define(slots=False)
class Writer:
    """Writes what stands on a plan's sheets; `currency` is the plan's code or word.

    `spoons` is what the plan gives by the spoon, and what a litre of it weighs [kg/L].
    """

    system: System
    locale_name: str
    currency: str
    spoons: Spoons = MappingProxyType({})

    @classmethod
    def of(cls, garden: Garden, spoons: Spoons | None = None) -> Writer:
        """Return the writer for a garden."""
        return cls(garden.system, LOCALES[garden.system], garden.currency, spoons or {})

    @cached_property
    def _locale(self) -> Any:
        from babel import Locale

        return Locale.parse(self.locale_name)

    @property
    def language(self) -> str:
        """The language tag of the sheets, as `en-US`."""
        return self.locale_name.replace("_", "-")

    def day_long(self, day: date) -> str:
        """Return `Saturday, March 20, 2027`."""
        from babel.dates import format_date

        return self._kept(day, "full", partial(format_date, day, "full", locale=self._locale))

    def day(self, day: date) -> str:
        """Return `Sat, Mar 20, 2027`."""
        return self._date(day, "yMMMEd")

    def day_short(self, day: date) -> str:
        """Return `Mar 20`."""
        return self._date(day, "MMMd")

    def day_week(self, day: date) -> str:
        """Return `Sat, Mar 20`."""
        return self._date(day, "MMMEd")

    def month(self, day: date) -> str:
        """Return `Mar`."""
        return self._date(day, "MMM")

    def _date(self, day: date, skeleton: str) -> str:
        from babel.dates import format_skeleton

        make = partial(format_skeleton, skeleton, day, locale=self._locale)
        return self._kept(day, skeleton, make)

    def _kept(self, moment: date | time, form: str, make: Callable[[], str]) -> str:
        """Return a date or time in some form, which is made once for all sheets."""
        if (moment, form) not in self._dates:
            self._dates[moment, form] = _plain(make())
        return self._dates[moment, form]

    @cached_property
    def _dates(self) -> dict[tuple[date | time, str], str]:
        return {}

    def hour(self, moment: time) -> str:
        """Return `9:00 AM` or `09:00`."""
        from babel.dates import format_time

        return self._kept(
            moment, "hour", partial(format_time, moment, "short", locale=self._locale)
        )

    def money(self, cents: int) -> str:
        """Return `$1,234.50`; a currency that the locale's tables do not know stands as a word."""
        from babel.numbers import format_currency

        amount = Decimal(cents) / 100
        return _plain(str(format_currency(amount, self.currency, locale=self._locale)))

    def money_plain(self, cents: int) -> str:
        """Return `1,234.50`, for columns whose head names the currency."""
        from babel.numbers import format_decimal

        whole = self.currency in WITHOUT_DECIMALS
        form = "#,##0" if whole else "#,##0.00"
        return str(format_decimal(Decimal(cents) / 100, format=form, locale=self._locale))

    def number(self, number: float) -> str:
        """Return a count with its separators: `1,200`."""
        if number < 1000:
            return str(round(number))
        from babel.numbers import format_decimal

        return str(format_decimal(round(number), locale=self._locale))

    def share(self, share: float) -> str:
        """Return a share of one in whole per cent: `13%`."""
        from babel.numbers import format_percent

        return str(format_percent(share, locale=self._locale))

    def volume(self, litres: float, *, up: bool = False, like: float = 0.0) -> str:
        """Return a volume [L]; `up` rounds up, for what must be enough, `like` is beside it."""
        return show_volume(max(litres, 0.0), self.system, up=up, like=like)

    def mass(self, kilograms: float) -> str:
        """Return a mass [kg]."""
        return show_mass(max(kilograms, 0.0), self.system)

    def amount(
        self, name: str, amount: float, unit: Unit, *, up: bool = False, like: float = 0.0
    ) -> str:
        """Return litres, kilograms or pieces of a good as one measures them, beside `like`."""
        if unit == "pieces":
            return self.number(max(amount, 0.0))
        if unit == "l" and name not in self.spoons:
            return self.volume(amount, up=up, like=like)
        return addition_text(name, amount, unit, self.spoons, self.system, up=up)

    def given(self, name: str, amount: Amount) -> str:
        """Return an amount of an addition that is known by mass or by volume."""
        if amount.kg is not None:
            return self.amount(name, amount.kg, "kg")
        return self.amount(name, amount.l or 0.0, "l")

    def name(self, text: str, most: int = 30) -> str:
        """Return a name from the plan on one line, set apart if it is written from the right.

        Only a screen has no room for more than `most` characters.
        """
        shown = tidy(text).strip() or "—"
        if shown.isascii() or not any(unicodedata.bidirectional(c) in _RIGHT for c in shown):
            return shown
        return f"\u2068{shown}\u2069"

    def marks(self, text: str) -> str:
        """Return what a plan may say of a thing beside its name; nothing where it does not."""
        return self.name(text, WIDTH) if text.strip() else ""


class ScreenWriter(Writer):
    """Writes for a terminal of 80 columns: short dates, money without a sign, names cut short."""

    def day_long(self, day: date) -> str:
        """Return `Sat 10 Apr 2027`."""
        return day_long(day)

    def day_short(self, day: date) -> str:
        """Return `10 Apr`."""
        return day_short(day)

    day_week = day_short

    def hour(self, moment: time) -> str:
        """Return `09:30`."""
        return hour(moment)

    def name(self, text: str, most: int = 30) -> str:
        """Return a name on one line of at most `most` characters."""
        return clip(text, most)

    def money(self, cents: int) -> str:
        """Return `1234.50`; the currency is named once."""
        return money(cents, self.currency)

    money_plain = money

    def number(self, number: float) -> str:
        """Return a count."""
        return str(round(number))

    def share(self, share: float) -> str:
        """Return a share of one in whole per cent: `13%`."""
        return f"{share:.0%}"


def _plain(text: str) -> str:
    """Return text with its narrow spaces made plain no-break ones, which every font has."""
    return text.replace("\u202f", "\u00a0")
