"""A float in a base unit as text for people, rounded as one measures, or worked in one's own unit.

Every text shown is one that the readers of this package take back, and showing what they read gives
the same text again. An amount that is not nothing never shows as 0: it shows as one step at least.

Explanations are worked in units as small as what is told of: small pots in cubic inches or
millilitres, larger ones in gallons or litres, beds in cubic feet or litres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from attrs import frozen

from rootroom.tolerances import AS_WRITTEN, LAST_DIGITS, ROUNDING
from rootroom.units.known_units import FACTORS
from rootroom.units.reading import Rate, read_area_m2, read_length_m, read_mass_kg, read_volume_l

Kind = Literal["volume", "length", "area", "mass", "rate", "density", "time", "share", "count"]
System = Literal["us", "metric"]

_SIGNS = {
    Fraction(1, 8): "⅛", Fraction(1, 4): "¼", Fraction(3, 8): "⅜", Fraction(1, 2): "½",
    Fraction(5, 8): "⅝", Fraction(3, 4): "¾", Fraction(7, 8): "⅞",
}  # fmt: skip


@frozen
class _Scale:
    """One unit: its size in the base unit, and the steps it is measured in.

    `steps` holds pairs: below so many of the unit, in steps of so much; `below` is where the next
    larger unit takes over, in the base unit. `small` names the unit for what is over, with how many
    of it make one, where steps are finer than an eighth.
    """

    unit: str
    size: Fraction
    steps: tuple[tuple[float, Fraction], ...]
    below: Fraction | None = None
    small: tuple[str, int] | None = None
    plural: str = ""


def _scale(
    unit: str,
    size: Fraction,
    *steps: tuple[float, str],
    below: Fraction | None = None,
    small: tuple[str, int] | None = None,
    plural: str = "",
) -> _Scale:
    pairs = tuple((top, Fraction(step)) for top, step in steps)
    return _Scale(unit, size, pairs, below, small, plural)


def _of(name: str) -> Fraction:
    return FACTORS[name][1]


_UNIT_OF_NOTHING = {"tsp": "cu ft", "mL": "L", "mm": "cm", "oz": "lb", "g": "kg"}
_MORE, _LESS = 1 + Fraction(str(LAST_DIGITS)), 1 - Fraction(str(LAST_DIGITS))
_HALF = Fraction(1, 2)
_INF = math.inf
_YD3_KG_PER_L = 1 / _of("cubic_yard")
_ONE = Fraction(1)

_SCALES: Mapping[tuple[str, str], tuple[_Scale, ...]] = {
    ("volume", "us"): (
        _scale("tsp", _of("teaspoon"), (_INF, "1/4"), below=_of("tablespoon")),
        _scale("tbsp", _of("tablespoon"), (_INF, "1/2"), below=_of("cup") / 4),
        _scale(
            "cup",
            _of("cup"),
            (0.5, "1/8"),
            (4, "1/4"),
            (8, "1/2"),
            (_INF, "1"),
            below=_of("gallon"),
            plural="cups",
        ),
        _scale("gal", _of("gallon"), (_INF, "1/4"), below=_of("cubic_foot")),
        _scale(
            "cu ft",
            _of("cubic_foot"),
            (10, "1/4"),
            (20, "1/2"),
            (_INF, "1"),
            below=10 * _of("cubic_yard"),
        ),
        _scale("cu yd", _of("cubic_yard"), (20, "1/4"), (50, "1/2"), (_INF, "1")),
    ),
    ("spoons", "us"): (
        _scale("tsp", _of("teaspoon"), (_INF, "1/4"), below=_of("tablespoon")),
        _scale("tbsp", _of("tablespoon"), (_INF, "1/2"), below=_of("cup")),
        _scale("cup", _of("cup"), (8, "1/4"), (_INF, "1/2"), below=_of("gallon"), plural="cups"),
        _scale("gal", _of("gallon"), (_INF, "1/8"), below=10 * _of("gallon")),
        _scale("gal", _of("gallon"), (_INF, "1/2")),
    ),
    ("volume", "metric"): (
        _scale("mL", _of("millilitre"), (10, "1/2"), (100, "1"), (_INF, "10"), below=_ONE),
        _scale("L", _ONE, (10, "1/10"), (1000, "1"), (_INF, "10"), below=Fraction(10000)),
        _scale("m³", Fraction(1000), (100, "1/10"), (_INF, "1")),
    ),
    ("length", "us"): (
        _scale("in", _of("inch"), (1, "1/8"), (24, "1/4"), (_INF, "1/2"), below=_of("yard")),
        _scale("ft", _of("foot"), (100, "1/12"), (_INF, "1"), small=("in", 12)),
    ),
    ("length", "metric"): (
        _scale("mm", _of("millimetre"), (_INF, "1"), below=_of("centimetre")),
        _scale("cm", _of("centimetre"), (30, "1/2"), (_INF, "1"), below=_ONE),
        _scale("m", _ONE, (10, "1/100"), (_INF, "1/10")),
    ),
    ("area", "us"): (_scale("sq ft", _of("square_foot"), (10, "1/4"), (100, "1/2"), (_INF, "1")),),
    ("area", "metric"): (_scale("m²", _ONE, (10, "1/100"), (_INF, "1/10")),),
    ("mass", "us"): (
        _scale("oz", _of("ounce"), (4, "1/4"), (8, "1/2"), (_INF, "1"), below=_of("pound")),
        _scale("lb", _of("pound"), (10, "1/16"), (50, "1/2"), (_INF, "1"), small=("oz", 16)),
    ),
    ("mass", "metric"): (
        _scale("g", _of("gram"), (10, "1/2"), (100, "1"), (_INF, "5"), below=_ONE),
        _scale("kg", _ONE, (10, "1/20"), (100, "1/2"), (_INF, "1")),
    ),
    ("rate", "us"): (
        _scale(
            "oz/yd3",
            _of("ounce") * _YD3_KG_PER_L,
            (_INF, "1/4"),
            below=_of("pound") * _YD3_KG_PER_L,
        ),
        _scale("lb/yd3", _of("pound") * _YD3_KG_PER_L, (10, "1/4"), (_INF, "1/2")),
    ),
    ("rate", "metric"): (
        _scale("g/m³", Fraction(1, 10**6), (100, "1"), (_INF, "10"), below=Fraction(1, 1000)),
        _scale("kg/m³", Fraction(1, 1000), (10, "1/10"), (_INF, "1/2")),
    ),
    ("rate by volume", "us"): (
        _scale(
            "tsp/gal",
            _of("teaspoon") / _of("gallon"),
            (_INF, "1/4"),
            below=_of("tablespoon") / _of("gallon"),
        ),
        _scale(
            "tbsp/gal",
            _of("tablespoon") / _of("gallon"),
            (_INF, "1/2"),
            below=_of("cup") / 4 / _of("gallon"),
        ),
        _scale("cup/gal", _of("cup") / _of("gallon"), (_INF, "1/4"), plural="cups/gal"),
    ),
    ("rate by volume", "metric"): (_scale("mL/L", Fraction(1, 1000), (10, "1/10"), (_INF, "1")),),
    ("density", "us"): (
        _scale("lb/cu ft", 1000 * _of("pound") / _of("cubic_foot"), (10, "1/4"), (_INF, "1/2")),
    ),
    ("density", "metric"): (_scale("kg/m³", _ONE, (100, "1"), (1000, "5"), (_INF, "10")),),
    ("time", ""): (
        _scale("min", _ONE, (_INF, "1"), below=_of("hour")),
        _scale("h", _of("hour"), (100, "1/12"), (_INF, "1"), small=("min", 60)),
    ),
    ("share", ""): (_scale("%", Fraction(1, 100), (1, "1/10"), (10, "1/2"), (_INF, "1")),),
}


def show(value: float, kind: Kind, system: System, *, up: bool = False, like: float = 0.0) -> str:
    """Return `value` as text: in L, m, m2, kg, kg per L, kg/m3, min, shares of one, or things.

    `up` rounds to the step above in place of the nearest, for what must be enough; a value that
    stands beside a larger one, `like`, is told in the unit of that one.
    Raises ValueError for a value that is negative or not finite.
    """
    if kind == "count":
        return str(math.floor(_exact(value) + _HALF))
    return _show(value, (kind, "" if kind in ("time", "share") else system), up=up, like=like)


def show_volume(litres: float, system: System, *, up: bool = False, like: float = 0.0) -> str:
    """Return a volume [L] as text: `2¼ cu ft`, `64 L`; `like` [L] stands beside it."""
    return show(litres, "volume", system, up=up, like=like)


def show_spoons(litres: float, system: System, *, up: bool = False) -> str:
    """Return a volume [L] in spoons and cups, to the spoon: `15 tbsp`; metric as any volume."""
    return _show(litres, ("spoons" if system == "us" else "volume", system), up=up)


def show_mass(kilograms: float, system: System, *, up: bool = False) -> str:
    """Return a mass [kg] as text: `2 lb 8 oz`, `1.15 kg`."""
    return show(kilograms, "mass", system, up=up)


def show_length(metres: float, system: System) -> str:
    """Return a length [m] as text: `13¾ in`, `11 ft 9 in`, `35 cm`."""
    return show(metres, "length", system)


def show_minutes(minutes: float) -> str:
    """Return a length of time [min] as text: `45 min`, `1 h 20 min`."""
    return show(minutes, "time", "us")


def show_level(share: float) -> str:
    """Return how full a pot is, by a share of its fill: `full`, `1/3 full`, `40 % full`."""
    if share > 1 - ROUNDING:
        return "full"
    near = Fraction(share).limit_denominator(8)
    text = str(near) if abs(float(near) - share) < AS_WRITTEN else f"{share * 100:.0f} %"
    return f"{text} full"


def show_rate(rate: Rate, system: System) -> str:
    """Return a rate as text: `5 lb/yd3`, `2 tbsp/gal`, `3 kg/m³`."""
    if rate.kg_per_l is not None:
        return show(rate.kg_per_l, "rate", system)
    if rate.l_per_l is None:
        raise ValueError("rate must be by mass or by volume, got neither")
    return _show(rate.l_per_l, ("rate by volume", system), up=False)


@lru_cache(maxsize=4096)
def _show(value: float, key: tuple[str, str], *, up: bool, like: float = 0.0) -> str:
    scales, decimal = _SCALES[key], key[1] != "us"
    exact = _exact(value)
    largest = max(exact, _exact(like))
    if not largest:
        return f"0 {_UNIT_OF_NOTHING.get(scales[0].unit, scales[0].unit)}"
    for scale in scales:
        if scale.below is None or _rounded(largest / scale.size, scale, up=up)[0] * scale.size < (
            scale.below
        ):
            if not exact:
                return f"0 {scale.unit}"
            amount, step = _rounded(exact / scale.size, scale, up=up)
            return _text(amount, step, scale, decimal=decimal)
    raise ValueError("the last scale must have no end")


def _exact(value: float) -> Fraction:
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"value must be finite and not negative, got {value!r}")
    return Fraction(value)


def _rounded(amount: Fraction, scale: _Scale, *, up: bool) -> tuple[Fraction, Fraction]:
    """Return `amount` in whole steps, one at least, and the step."""
    # A float that was read from a whole number of steps may lie a last digit off it.
    at_most = amount * _MORE
    step = next(step for top, step in scale.steps if at_most < top)
    # Exact fractions need no more tolerance than that, so `ceil_count` has no place here.
    steps = -(-amount * _LESS // step) if up else math.floor(at_most / step + _HALF)
    return max(steps, 1) * step, step


def _text(amount: Fraction, step: Fraction, scale: _Scale, *, decimal: bool) -> str:
    whole, over = divmod(amount, 1)
    if scale.small is not None and over and step < Fraction(1, 8):
        return f"{whole} {scale.unit} {over * scale.small[1]} {scale.small[0]}"
    if decimal:
        number = f"{float(amount):.2f}".rstrip("0").rstrip(".")
    else:
        number = f"{whole or ''}{_SIGNS[over]}" if over else str(whole)
    return f"{number} {scale.plural if scale.plural and amount > 1 else scale.unit}"


@frozen
class OwnUnit:
    """A unit by its name, and what one of it is in the base unit [L, kg, m2, m or one]."""

    name: str
    size: float

    def of(self, value: float) -> float:
        """Return how many of it a value in the base unit is."""
        return value / self.size


PLAIN = OwnUnit("", 1.0)
VOLUMES = {
    name: OwnUnit(name, read_volume_l(f"1 {name}"))
    for name in ("mL", "L", "cu in", "gal", "cu ft", "yd3", "tbsp", "cup")
}
MASSES = {name: OwnUnit(name, read_mass_kg(f"1 {name}")) for name in ("g", "kg", "oz", "lb")}
BESIDE = {"L": VOLUMES["gal"], "l": VOLUMES["gal"], "kg": MASSES["lb"]}
"""For each base unit of a table the US one that stands beside it."""
AREA = {"us": OwnUnit("sq ft", read_area_m2("1 sq ft")), "metric": OwnUnit("m2", 1.0)}
DEPTH = {"us": OwnUnit("in", read_length_m("1 in")), "metric": OwnUnit("cm", 0.01)}
SMALL_POT_L = {"us": read_volume_l("0.5 gal"), "metric": 1.0}
"""Pots below this are told in cubic inches, or in millilitres [L]."""


def pot_unit(litres: float, system: System) -> OwnUnit:
    """Return what a pot of so much [L] is measured in."""
    small, large = ("cu in", "gal") if system == "us" else ("mL", "L")
    return VOLUMES[large if litres >= SMALL_POT_L[system] else small]


def whole_unit(litres: float, system: System) -> OwnUnit:
    """Return what so much mix [L] for all pots, or for a bed, is measured in."""
    if system == "metric":
        return VOLUMES["L"]
    return VOLUMES["cu ft" if litres >= VOLUMES["cu ft"].size else "gal"]


def given_unit(amount: float, kind: str, system: System) -> tuple[OwnUnit, OwnUnit]:
    """Return what so much of an addition [kg or L] is measured in, and the mix that its rate is of.

    `kind` is kg or L.
    """
    if kind == "kg":
        small, large = ("oz", "lb") if system == "us" else ("g", "kg")
        unit = MASSES[large if amount >= MASSES[large].size else small]
        return unit, VOLUMES["yd3" if system == "us" else "L"]
    if system == "us":
        unit = VOLUMES["cup" if amount >= VOLUMES["cup"].size else "tbsp"]
        return unit, VOLUMES["gal"]
    return VOLUMES["L" if amount >= 1 else "mL"], VOLUMES["L"]


def bridge(old: OwnUnit, new: OwnUnit) -> tuple[str, str]:
    """Return what turns an amount of one unit into another, in words and in numbers; or nothing."""
    ratio = old.size / new.size
    if abs(ratio - 1) < ROUNDING:
        return "", ""
    sign, many = ("x", ratio) if ratio > 1 else ("/", 1 / ratio)
    larger, smaller = (old, new) if ratio > 1 else (new, old)
    return f" {sign} {many:.4g} {smaller.name} a {larger.name}", f" {sign} {many:.6g}"


def three_digits(value: float) -> str:
    """Return a number to three digits, whole above them and never with an exponent: `1412`."""
    if value >= 1000:
        return f"{value:.0f}"
    text = f"{value:.3g}"
    return text if "e" not in text else f"{value:.12f}".rstrip("0").rstrip(".")


def in_units(value: float, unit: OwnUnit) -> str:
    """Return a value of the base unit as a number of a unit, with the digits of a formula."""
    return f"{unit.of(value):.6g}"
