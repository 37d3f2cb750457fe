"""A user's text with a unit, as a float in a base unit.

Each reader takes the text as the user wrote it, computes with exact fractions and rounds once.
All raise TextError and nothing else, whatever the text.
"""

from __future__ import annotations

import difflib
import re
from fractions import Fraction
from functools import lru_cache

from attrs import frozen

from rootroom.problems import TextError
from rootroom.units.factors import Dimension, factor
from rootroom.units.numbers import NUMBER, leading_number, quote, read_number, tidy
from rootroom.units.spellings import AMBIGUOUS, SPELLINGS, fold

__all__ = [
    "Amount",
    "Rate",
    "read_amount",
    "read_area_m2",
    "read_density_kg_per_m3",
    "read_duration_days",
    "read_length_m",
    "read_mass_kg",
    "read_minutes",
    "read_rate",
    "read_share",
    "read_volume_l",
]


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


_EXAMPLES: dict[Dimension, str] = {
    "volume": "`2.5 cu ft` or `7 L`",
    "length": "`14 in`, `11 ft 9 in` or `30 cm`",
    "area": "`32 sq ft` or `3 m2`",
    "mass": "`5 lb` or `2 kg`",
    "time": "`20 min` or `1 1/2 h`",
}
# What a unit of the wrong kind was probably meant to be.
_MEANT = {
    ("volume", "ounce"): "`oz` is a weight; a volume is `fl oz`",
    ("volume", "yard"): "`yd` is a length; a volume is `yd3`",
    ("volume", "foot"): "`ft` is a length; a volume is `cu ft`",
    ("volume", "inch"): "`in` is a length; a volume is `cu in`",
    ("volume", "metre"): "`m` is a length; a volume is `m3`",
    ("mass", "fluid_ounce"): "`fl oz` is a volume; a weight is `oz`",
    ("length", "cubic_foot"): "a length is `ft`",
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
_PAIR = re.compile(rf"({NUMBER}) ?([a-z.'\"]+?),? ?({NUMBER}) ?([a-z.'\"]+)", re.IGNORECASE)
_SLASH = re.compile(r"(?:[a-z.'\"]|[a-z]\^?[23]) ?(/)", re.IGNORECASE)
_PER = re.compile(r" per ", re.IGNORECASE)


def read_volume_l(text: str) -> float:
    """Return a volume [L]: `2.5 cu ft`, `1 1/2 gal`, `25 dry qt`."""
    return _one(text, "volume")


def read_length_m(text: str) -> float:
    """Return a length [m]: `14 in`, `11 ft 9 in`, `11' 9"`, `30 cm`."""
    return _one(text, "length")


def read_area_m2(text: str) -> float:
    """Return an area [m2]: `32 sq ft`, `3 m2`."""
    return _one(text, "area")


def read_mass_kg(text: str) -> float:
    """Return a mass [kg]: `40 lb`, `2 lb 8 oz`, `5 kg`."""
    return _one(text, "mass")


def read_minutes(text: str) -> float:
    """Return a length of time [min]: `20 min`, `1 1/2 h`, `1 h 30 min`."""
    return _one(text, "time")


def read_duration_days(text: str) -> int:
    """Return a number of days: `10 weeks`, `3 days`; part of a day is refused."""
    what = "length of time"
    days = _quantity(text, what, ("time",), "`10 weeks` or `3 days`")[1] / 1440
    if days.denominator != 1:
        raise TextError(
            f"{what} is not a whole number of days: {quote(text)}",
            code="not-whole-days",
            hint="write it as `10 days` or `3 weeks`",
        )
    return int(days)


def read_amount(text: str) -> Amount:
    """Return an amount by mass [kg] or by volume [L]: `40 lb`, `2 tbsp`."""
    kind, value = _quantity(text, "amount", ("mass", "volume"), "`40 lb` or `2 tbsp`")
    return Amount(float(value), None) if kind == "mass" else Amount(None, float(value))


def read_rate(text: str) -> Rate:
    """Return how much goes into finished mix: `2 lb/yd3`, `3 g/L`, `2 tbsp per gal`."""
    kind, value = _ratio(text, "rate", ("mass", "volume"), "`2 lb/yd3`, `3 g/L` or `2 tbsp/gal`")
    return Rate(float(value), None) if kind == "mass" else Rate(None, float(value))


def read_density_kg_per_m3(text: str) -> float:
    """Return a bulk density [kg/m3]: `100 kg/m3`, `12 oz/cup`, `25 lb/cu ft`."""
    return float(_ratio(text, "density", ("mass",), "`100 kg/m3` or `12 oz/cup`")[1] * 1000)


def read_share(text: str) -> float:
    """Return a share [1]: `12 %`, `1/3`, `0.25`; what lies beyond the whole is the caller's affair.

    A bare `1` or `12` is refused, since it may be meant in per cent.
    """
    what = "share"
    plain = tidy(text, what)
    number, rest = leading_number(plain, text, what)
    if rest.lower() in ("%", "percent", "per cent", "pct"):
        return float(number / 100)
    if rest:
        raise TextError(
            f"unknown unit of a {what}: {quote(text)}",
            code="unknown-unit",
            hint="write it as `12 %` or `1/3`",
        )
    if number >= 1 and "/" not in plain:
        raise TextError(
            f"a {what} needs its `%`: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {quote(plain + ' %')} or as a fraction, `1/3`",
        )
    return float(number)


@lru_cache(maxsize=4096)
def _one(text: str, dimension: Dimension) -> float:
    what = "length of time" if dimension == "time" else dimension
    return float(_quantity(text, what, (dimension,), _EXAMPLES[dimension])[1])


def _quantity(
    text: str, what: str, kinds: tuple[Dimension, ...], examples: str
) -> tuple[Dimension, Fraction]:
    """Return what `text` measures and how much, in the base unit."""
    plain = tidy(text, what)
    pair = _PAIR.fullmatch(plain)
    if pair is not None:
        names = tuple(SPELLINGS.get(fold(unit), "") for unit in (pair[2], pair[4]))
        if names in _PAIRS:
            return _pair(pair, names, text, what, kinds, examples)
    number, rest = leading_number(plain, text, what)
    kind, size = _unit(rest, text, what, kinds, examples)
    return kind, number * size


def _pair(
    pair: re.Match[str],
    names: tuple[str, ...],
    text: str,
    what: str,
    kinds: tuple[Dimension, ...],
    examples: str,
) -> tuple[Dimension, Fraction]:
    large, small = (read_number(pair[group], what) for group in (1, 3))
    many = _PAIRS[names[0], names[1]]
    if small >= many or large.denominator != 1:
        raise TextError(
            f"{what} in two units that do not fit together: {quote(text)}",
            code="two-units",
            hint=f"the first is a whole number, the second below {many}; or write it in one unit",
        )
    kind, size = _unit(pair[2], text, what, kinds, examples)
    return kind, large * size + small * factor(names[1])[1]


def _ratio(
    text: str, what: str, kinds: tuple[Dimension, ...], examples: str
) -> tuple[Dimension, Fraction]:
    """Return what stands above the line and how much of it, in base units, for each litre."""
    plain = tidy(text, what)
    found = _PER.search(plain) or _SLASH.search(plain)
    if found is None:
        leading_number(plain, text, what)
        raise TextError(
            f"a {what} is an amount for each volume: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {examples}",
        )
    start = found.start() if found.re is _PER else found.start(1)
    above, below = plain[:start].strip(), plain[found.end() :].strip()
    kind, over = _quantity(above or "?", what, kinds, examples)
    if below and below[0].isalpha():
        below = "1 " + below
    under = _quantity(below or "?", "volume under a " + what, ("volume",), _EXAMPLES["volume"])[1]
    if under == 0:
        raise TextError(f"{what} for each volume of nothing: {quote(text)}", code="bad-number")
    return kind, over / under


def _unit(
    unit: str, text: str, what: str, kinds: tuple[Dimension, ...], examples: str
) -> tuple[Dimension, Fraction]:
    """Return what `unit` measures and its size, refusing any that measures none of `kinds`."""
    if not unit:
        raise TextError(
            f"a {what} needs a unit: {quote(text)}",
            code="missing-unit",
            hint=f"write it as {examples}",
        )
    folded = fold(unit)
    name = "tonne" if unit == "t" and kinds == ("mass",) else SPELLINGS.get(folded)
    if name is None:
        raise _unknown(unit, folded, text, what, examples)
    kind, size = factor(name)
    if kind not in kinds:
        raise TextError(
            f"{quote(unit)} does not measure a {what}: {quote(text)}",
            code="wrong-unit",
            hint=_MEANT.get((kinds[0], name), f"write it as {examples}"),
        )
    return kind, size


def _unknown(unit: str, folded: str, text: str, what: str, examples: str) -> TextError:
    if folded in AMBIGUOUS:
        return TextError(
            f"{quote(unit)} can mean more than one unit: {quote(text)}",
            code="ambiguous-unit",
            hint=f"write {AMBIGUOUS[folded]}",
        )
    if re.search(r"[+;&]|[0-9]", re.sub(r"[a-z]\^?[23]", "", unit.lower())):
        return TextError(
            f"a {what} is one number and one unit: {quote(text)}",
            code="two-units",
            hint=f"write it as {examples}",
        )
    near = difflib.get_close_matches(folded, SPELLINGS, n=1, cutoff=0.75)
    return TextError(
        f"unknown unit {quote(unit)}: {quote(text)}",
        code="unknown-unit",
        hint=f"did you mean `{near[0]}`?" if near else f"write it as {examples}",
    )
