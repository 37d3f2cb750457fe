"""Sizes, shares and ranges out of a plan: what kinds of value have a unit, and how each is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NewType

from rootroom.catalogue.spread import Spread
from rootroom.plan.values import MOST, READERS, read_decimal, show, with_unit
from rootroom.problems import TextError
from rootroom.units import (
    Amount,
    Rate,
    read_amount,
    read_area_m2,
    read_density_kg_per_m3,
    read_length_m,
    read_mass_kg,
    read_minutes,
    read_rate,
    read_share,
    read_volume_l,
)

_MOST_LITRES = 1e7
_MOST_METRES = 1e4
_MOST_KG = 1e7
"""Ten thousand cubic metres, ten kilometres, ten thousand tonnes: more is a wrong unit."""

Litres = NewType("Litres", float)
LitresOrZero = NewType("LitresOrZero", float)
Metres = NewType("Metres", float)
MetresOrZero = NewType("MetresOrZero", float)
Kilograms = NewType("Kilograms", float)
Density = NewType("Density", float)
Share = NewType("Share", float)
ShareBelow = NewType("ShareBelow", float)
MinutesText = NewType("MinutesText", float)
PerVolume = NewType("PerVolume", Rate)
MassOrVolume = NewType("MassOrVolume", Amount)
Factor = NewType("Factor", Spread)
ShareSpread = NewType("ShareSpread", Spread)
MinutesSpread = NewType("MinutesSpread", Spread)
Level = NewType("Level", float)
Area = NewType("Area", float)
Refresh = NewType("Refresh", tuple)  # type: ignore[type-arg]


def _read_area(value: object) -> float:
    """Return the area [m2] that a plant stands on: `2 ft x 3 ft` or `6 sq ft`."""
    if not isinstance(value, str):
        raise TextError(
            f"a text with a unit belongs here: {show(value)}",
            code="needs-unit",
            hint='write `"2 ft x 3 ft"` or `"6 sq ft"`',
        )
    sides = value.replace("×", "x").split(" x ")
    area = (
        read_length_m(sides[0]) * read_length_m(sides[1])
        if len(sides) == 2
        else read_area_m2(value)
    )
    if not 0 < area <= 1e6:
        raise TextError(f"no area of a garden: {show(value)}", code="zero-size")
    return area


def read_refresh(value: object) -> tuple[str, float]:
    """Return ("share", share) or ("top", depth [m]) of what is renewed."""
    text = with_unit(value, "`1/3`, `30 %` or `top 2 in`")
    if text.strip().lower().startswith("top "):
        return "top", _positive(read_length_m(text.strip()[4:]), text, _MOST_METRES)
    return "share", _share_above_zero(text, value, "a share that is renewed lies")


def read_level(value: object) -> float:
    """Return how full a pot is filled, as a share of its fill: `1/3`, `60 %`, `full`."""
    text = with_unit(value, "`1/3`, `60 %` or `full`")
    if text.strip().casefold() == "full":
        return 1.0
    return _share_above_zero(text, value, "a pot is filled to a share")


def _share_above_zero(text: str, value: object, what: str) -> float:
    share = read_share(text)
    if not 0 < share <= 1:
        raise TextError(f"{what} above 0 and up to 100 %: {show(value)}", code="bad-share")
    return share


def read_minutes_spread(value: object) -> Spread:
    """Return minutes as one number, a text with a unit, or as low, likely and high."""
    return _spread(value, _minutes)


Run = tuple[tuple[int, Spread], ...]
"""Minutes each by how many are done alike: from so many on, the first from 1."""


def _is_count(key: object) -> bool:
    return isinstance(key, str) and key.isascii() and key.isdecimal() and len(key) < 10


def read_minutes_by_run(value: object) -> Run:
    """Return minutes by the number in the run; those of one number, a text or a range from 1 on."""
    if not (isinstance(value, Mapping) and value and all(_is_count(key) for key in value)):
        return ((1, read_minutes_spread(value)),)
    steps = sorted((int(key), read_minutes_spread(each)) for key, each in value.items())
    if steps[0][0] != 1 or steps[-1][0] > MOST or len({key for key, _ in steps}) < len(steps):
        raise TextError(
            f"minutes by the number in the run begin with 1: {show(value)}",
            code="bad-range",
            hint="write `{ 1 = 8, 20 = 5 }`: 8 minutes each, from 20 alike on 5",
        )
    return tuple(steps)


def _spread(value: object, one: Callable[[object], float]) -> Spread:
    """Return one value, or low, likely and high, each as `one` reads it."""
    if not isinstance(value, Mapping):
        return Spread.exactly(one(value))
    keys = ("low", "likely", "high")
    if set(value) != set(keys):
        raise TextError(
            f"a range needs low, likely and high: {show(value)}",
            code="bad-range",
            hint="write `{ low = 1.5, likely = 1.7, high = 2.0 }`",
        )
    low, likely, high = (one(value[key]) for key in keys)
    if not low <= likely <= high:
        raise TextError(
            f"low, likely and high must not fall: `{value['low']}`, `{value['likely']}`, "
            f"`{value['high']}`",
            code="bad-range",
        )
    return Spread(low, likely, high)


def _ratio(value: object) -> float:
    return read_share(value) if isinstance(value, str) else float(read_decimal(value))


def _share_below_one(value: object) -> float:
    share = _ratio(value)
    if not 0 <= share < 1:
        raise TextError(
            f"a share lies from 0 to below 100 %: {show(value)}",
            code="bad-share",
            hint='write a share as text: `"12 %"`' if not isinstance(value, str) else "",
        )
    return share


def _minutes(value: object) -> float:
    minutes = read_minutes(value) if isinstance(value, str) else float(read_decimal(value))
    if minutes > 60 * 24 * 7:
        raise TextError(f"minutes beyond a week of work: {show(value)}", code="too-large")
    return minutes


def read_share_value(value: object) -> float:
    """Return a share from 0 to 1, written as text."""
    share = read_share(with_unit(value, "`12 %` or `1/3`"))
    if not 0 <= share <= 1:
        raise TextError(f"a share lies from 0 to 100 %: {show(value)}", code="bad-share")
    return share


def read_share_below_one(value: object) -> float:
    """Return a share from 0 to below 1, written as text."""
    share = read_share_value(value)
    if share == 1:
        raise TextError(f"a share below 100 % belongs here: {show(value)}", code="bad-share")
    return share


def _positive(number: float, value: object, most: float) -> float:
    if number <= 0:
        raise TextError(f"a size must be above zero: {show(value)}", code="zero-size")
    if number > most:
        raise TextError(f"a size beyond any garden: {show(value)}", code="too-large")
    return number


def _measure(
    read: Callable[[str], float], examples: str, most: float, *, zero: bool = False
) -> Callable[[object], float]:
    def reader(value: object) -> float:
        number = read(with_unit(value, examples))
        return number if zero and number == 0 else _positive(number, value, most)

    return reader


def read_mass_or_volume(value: object) -> Amount:
    """Return an amount by mass or by volume, above zero."""
    amount = read_amount(with_unit(value, "`2 tbsp` or `5 g`"))
    _positive(amount.kg or amount.l or 0.0, value, _MOST_LITRES)
    return amount


def read_per_volume(value: object) -> Rate:
    """Return a rate by mass or by volume per volume of finished mix, above zero."""
    rate = read_rate(with_unit(value, "`2 lb/yd3`, `3 g/L` or `2 tbsp/gal`"))
    per_l = rate.kg_per_l or rate.l_per_l or 0.0
    if per_l <= 0:
        raise TextError(f"a rate must be above zero: {show(value)}", code="zero-size")
    if per_l > 1:
        raise TextError(f"a rate beyond the mix itself: {show(value)}", code="too-large")
    return rate


READERS |= {
    Litres: _measure(read_volume_l, "`2.5 cu ft` or `7 L`", _MOST_LITRES),
    Metres: _measure(read_length_m, "`14 in` or `30 cm`", _MOST_METRES),
    MetresOrZero: _measure(read_length_m, "`1.5 in` or `4 cm`", _MOST_METRES, zero=True),
    LitresOrZero: _measure(read_volume_l, "`6 cu ft` or `100 L`", _MOST_LITRES, zero=True),
    Kilograms: _measure(read_mass_kg, "`5 lb` or `2 kg`", _MOST_KG),
    Density: _measure(read_density_kg_per_m3, "`100 kg/m3` or `12 oz/cup`", 20_000.0),
    Share: read_share_value,
    ShareBelow: read_share_below_one,
    MinutesText: _minutes,
    PerVolume: read_per_volume,
    MassOrVolume: read_mass_or_volume,
    Factor: lambda value: _spread(value, _ratio),
    ShareSpread: lambda value: _spread(value, _share_below_one),
    MinutesSpread: read_minutes_spread,
    Refresh: read_refresh,
    Level: read_level,
    Area: _read_area,
}
