"""A user's text with a unit, as a float in a base unit.

Each reader takes the text as the user wrote it, computes with exact fractions and rounds once.
All raise TextError and nothing else, whatever the text.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from attrs import frozen

from rootroom.problems import TextError
from rootroom.units.known_units import AMBIGUOUS, SPELLINGS, Dimension, factor, fold
from rootroom.units.numbers import leading_number, quote, tidy


@frozen
class Rate:
    """How much of something goes into finished mix: by mass [kg per L] or by volume [L per L]."""

    kg_per_l: float | None
    l_per_l: float | None


@frozen
class Amount:
    """So much of something: by mass [kg] or by volume [L]."""

    kg: float | None
    l: float | None  # noqa: E741

    @property
    def unit(self) -> Literal["kg", "l"]:
        """The unit that it is given in."""
        return "l" if self.kg is None else "kg"

    @property
    def size(self) -> float:
        """How much it is in its unit."""
        return (self.l or 0.0) if self.kg is None else self.kg


@frozen
class _Wanted:
    """What a text is to measure: its name with its article, the dimensions, and examples."""

    article: str
    what: str
    kinds: tuple[Dimension, ...]
    examples: str


_VOLUME = _Wanted("a", "volume", ("volume",), "`2.5 cu ft` or `7 L`")
_LENGTH = _Wanted("a", "length", ("length",), "`14 in`, `11 ft 9 in` or `30 cm`")
_AREA = _Wanted("an", "area", ("area",), "`32 sq ft` or `3 m2`")
_MASS = _Wanted("a", "mass", ("mass",), "`5 lb` or `2 kg`")
_TIME = _Wanted("a", "time", ("time",), "`20 min` or `1 1/2 h`")
_DAYS = _Wanted("a", "number of days", ("time",), "`10 days` or `3 weeks`")
_AMOUNT = _Wanted("an", "amount", ("mass", "volume"), "`40 lb`, `9 cu ft`, `70 L` or `2 tbsp`")
_RATE = _Wanted("a", "rate", ("mass", "volume"), "`2 lb/yd3`, `3 g/L` or `2 tbsp/gal`")
_DENSITY = _Wanted("a", "density", ("mass",), "`100 kg/m3` or `12 oz/cup`")

# What a unit of the wrong kind was probably meant to be.
_MEANT = {
    ("volume", "ounce"): "`oz` is a weight; a volume is `fl oz`",
    ("volume", "yard"): "`yd` is a length; a volume is `yd3`",
    ("volume", "foot"): "`ft` is a length; a volume is `cu ft`",
    ("volume", "inch"): "`in` is a length; a volume is `cu in`",
    ("volume", "metre"): "`m` is a length; a volume is `m3`",
    ("mass", "fluid_ounce"): "`fl oz` is a volume; a weight is `oz`",
    ("time", "metre"): "minutes are `min`",
}
# Two units in one amount: the larger, the smaller, and how many of it make one of the larger.
_PAIRS = {
    ("yard", "foot"): 3,
    ("foot", "inch"): 12,
    ("pound", "ounce"): 16,
    ("hour", "minute"): 60,
    ("metre", "centimetre"): 100,
    ("kilogram", "gram"): 1000,
}
_PAIR = re.compile(r"([^a-z'\"]+)([a-z.'\"]+),? ?([^a-z'\"]+)([a-z.'\"]+)", re.IGNORECASE)
_PER = re.compile(r" per ", re.IGNORECASE)
# A slash after a unit, as in `2 lb/yd3`; the one in `1/2 lb` comes after a digit.
_SLASH = re.compile(r"(?:(?<=[a-z.'\"])|(?<=[a-z][23])|(?<=\^[23])) ?/ ?", re.IGNORECASE)
_MINUTES_A_DAY = 1440


def read_volume_l(text: str) -> float:
    """Return a volume [L]: `2.5 cu ft`, `1 1/2 gal`, `25 dry qt`."""
    return _read(text, _VOLUME)


def read_length_m(text: str) -> float:
    """Return a length [m]: `14 in`, `11 ft 9 in`, `11' 9"`, `30 cm`."""
    return _read(text, _LENGTH)


def read_area_m2(text: str) -> float:
    """Return an area [m2]: `32 sq ft`, `3 m2`."""
    return _read(text, _AREA)


def read_mass_kg(text: str) -> float:
    """Return a mass [kg]: `40 lb`, `2 lb 8 oz`, `5 kg`."""
    return _read(text, _MASS)


def read_minutes(text: str) -> float:
    """Return a length of time [min]: `20 min`, `1 1/2 h`, `1 h 30 min`."""
    return _read(text, _TIME)


def read_duration_days(text: str) -> int:
    """Return a number of days: `10 weeks`, `3 days`; part of a day is refused."""
    days = _quantity(tidy(text, _DAYS.what), text, _DAYS)[1] / _MINUTES_A_DAY
    if days.denominator != 1:
        raise TextError(
            f"{_DAYS.what} is not whole: {quote(text)}",
            code="not-whole-days",
            hint=f"write it as {_DAYS.examples}",
        )
    return int(days)


def read_amount(text: str) -> Amount:
    """Return an amount by mass [kg] or by volume [L]: `40 lb`, `2 tbsp`."""
    kind, value = _quantity(tidy(text, _AMOUNT.what), text, _AMOUNT)
    return Amount(float(value), None) if kind == "mass" else Amount(None, float(value))


def read_rate(text: str) -> Rate:
    """Return how much goes into finished mix: `2 lb/yd3`, `3 g/L`, `2 tbsp per gal`."""
    kind, value = _ratio(text, _RATE)
    return Rate(float(value), None) if kind == "mass" else Rate(None, float(value))


def read_density_kg_per_m3(text: str) -> float:
    """Return a bulk density [kg/m3]: `100 kg/m3`, `12 oz/cup`, `25 lb/cu ft`."""
    return float(_ratio(text, _DENSITY)[1] * 1000)


def read_share(text: str) -> float:
    """Return a share [1]: `12 %`, `1/3`, `0.25`; what lies beyond the whole is the caller's affair.

    A bare `1` or `12` is refused, since it may be meant in per cent.
    """
    plain = tidy(text, "share")
    number, rest = leading_number(plain, text, "share")
    if rest.lower() in ("%", "percent", "per cent", "pct"):
        return float(number / 100)
    if rest:
        raise TextError(
            f"unknown unit of a share: {quote(text)}",
            code="unknown-unit",
            hint="write it as `12 %` or `1/3`",
        )
    if number >= 1 and "/" not in plain:
        raise TextError(
            f"a share needs its `%`: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {quote(plain + ' %')} or as a fraction, `1/3`",
        )
    return float(number)


@lru_cache(maxsize=4096)
def _read(text: str, wanted: _Wanted) -> float:
    return float(_quantity(tidy(text, wanted.what), text, wanted)[1])


def _quantity(plain: str, text: str, wanted: _Wanted) -> tuple[Dimension, Fraction]:
    """Return what the tidied `plain` measures and how much, in the base unit.

    `text` is what the user wrote, for the messages.
    """
    pair = _PAIR.fullmatch(plain)
    if pair is not None:
        large, small = (SPELLINGS.get(fold(pair[group]), "") for group in (2, 4))
        if (large, small) in _PAIRS:
            return _pair(pair, (large, small), text, wanted)
    number, rest = leading_number(plain, text, wanted.what)
    kind, size = _unit(rest, text, wanted)
    return kind, number * size


def _pair(
    pair: re.Match[str], names: tuple[str, str], text: str, wanted: _Wanted
) -> tuple[Dimension, Fraction]:
    """Return an amount in two units, as `11 ft 9 in`."""
    large, small = (leading_number(pair[group], text, wanted.what) for group in (1, 3))
    many = _PAIRS[names]
    if large[1] or small[1] or small[0] >= many or large[0].denominator != 1:
        raise TextError(
            f"{wanted.what} in two units that do not fit together: {quote(text)}",
            code="two-units",
            hint=f"the first is a whole number, the second below {many}; or write it in one unit",
        )
    kind, size = _unit(pair[2], text, wanted)
    return kind, large[0] * size + small[0] * factor(names[1])[1]


def _ratio(text: str, wanted: _Wanted) -> tuple[Dimension, Fraction]:
    """Return what stands above the line and how much of it, in base units, for each litre."""
    plain = tidy(text, wanted.what)
    found = _PER.search(plain) or _SLASH.search(plain)
    if found is None:
        leading_number(plain, text, wanted.what)
        raise TextError(
            f"{wanted.article} {wanted.what} is an amount for each volume: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {wanted.examples}",
        )
    kind, over = _quantity(plain[: found.start()], text, wanted)
    below = plain[found.end() :]
    if below[:1].isalpha():
        below = "1 " + below
    under = _quantity(below or "1", text, _VOLUME)[1]
    if under == 0:
        raise TextError(
            f"{wanted.what} for each volume of nothing: {quote(text)}", code="bad-number"
        )
    return kind, over / under


def _unit(unit: str, text: str, wanted: _Wanted) -> tuple[Dimension, Fraction]:
    """Return what `unit` measures and its size, refusing one that is not what is wanted."""
    if not unit:
        raise TextError(
            f"{wanted.article} {wanted.what} needs a unit: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {wanted.examples}",
        )
    folded = fold(unit)
    # A bare `t` is a tonne only where nothing but a mass can stand, else it may be a teaspoon.
    name = "tonne" if unit == "t" and wanted is _MASS else SPELLINGS.get(folded)
    if name is None:
        raise _unknown(unit, folded, text, wanted)
    kind, size = factor(name)
    if kind not in wanted.kinds:
        raise TextError(
            f"{quote(unit)} does not measure {wanted.article} {wanted.what}: {quote(text)}",
            code="wrong-unit",
            hint=_MEANT.get((wanted.kinds[0], name), f"write it as {wanted.examples}"),
        )
    return kind, size


def _unknown(unit: str, folded: str, text: str, wanted: _Wanted) -> TextError:
    """Return the refusal of a unit that the table does not hold."""
    if folded in AMBIGUOUS:
        return TextError(
            f"{quote(unit)} can mean more than one unit: {quote(text)}",
            code="ambiguous-unit",
            hint=f"write {AMBIGUOUS[folded]}",
        )
    if re.search(r"[+;&]|[0-9]", re.sub(r"[a-z]\^?[23]", "", unit.lower())):
        return TextError(
            f"{wanted.article} {wanted.what} is one number and one unit: {quote(text)}",
            code="two-units",
            hint=f"write it as {wanted.examples}",
        )
    import difflib

    near = difflib.get_close_matches(folded, SPELLINGS, n=1, cutoff=0.75)
    return TextError(
        f"unknown unit {quote(unit)}: {quote(text)}",
        code="unknown-unit",
        hint=f"did you mean `{near[0]}`?" if near else f"write it as {wanted.examples}",
    )
