"""The most that one person should lift (revised NIOSH equation), and the lift of a pot.

Source: Waters, Putz-Anderson and Garg, Applications manual for the revised NIOSH lifting equation,
DHHS (NIOSH) 94-110, revised 9/2021; every figure of it is in catalogue/data/lifting.toml.
Its two systems, inches with pounds and centimetres with kilograms, are kept apart as published:
they are not exact conversions of each other.
Left out: jobs of several unlike tasks; and it says nothing of two people lifting together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import Literal, NamedTuple, get_args

from attrs import frozen

from rootroom.catalogue.tables import read_table
from rootroom.containers.container import Container
from rootroom.containers.shapes import Box, Pyramid

System = Literal["us", "metric"]
Coupling = Literal["good", "fair", "poor"]

DOES_NOT_APPLY = (
    "one hand only",
    "more than 8 hours of lifting",
    "seated or kneeling",
    "too little room to move",
    "a load that shifts, as a half-full bag or a pail of water does",
    "carrying more than a step or two, pushing or pulling",
    "wheelbarrows and shovels",
    "a jerk: floor to table in less than about a second",
    "a slippery floor",
    "far from 66 to 79 F (19 to 26 C), or from 35 to 50 % humidity",
)
"""Where the manual (p. 6) says that the equation does not apply; much yard work is among it."""


BENCH_M = 0.8382
"""Height of a potting bench [m], 33 in (practice notes: elbow height or a little below)."""
INCH_M, POUND_KG = 0.0254, 0.45359237
HEAVY_KG = 10.0
"""From here on a sheet says what is lifted [kg], as the caution of lifting does."""


class Multipliers(NamedTuple):
    """The six multipliers of the equation in its own order: HM, VM, DM, AM, FM, CM."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float


@frozen
class Lift:
    """The weight limit of one lift.

    `limit` is the recommended weight limit in the system's own unit [lb or kg], unrounded; 0 where
    the equation gives none, and then `outside` says why (it is empty otherwise).
    """

    system: System
    limit: float
    multipliers: Multipliers
    outside: str = ""

    def index(self, load: float) -> float | None:
        """Return the lifting index of a load [lb or kg]: load over limit; None outside the limits.

        Raises ValueError for a load that is negative or not a number.
        """
        _check_number("load", load)
        return None if self.outside else load / self.limit


def _check_number(name: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"{name} must be a number of at least 0, got {value}")


def lift(
    system: System = "us",
    *,
    h: float,
    v: float,
    d: float,
    a: float = 0.0,
    per_min: float = 0.2,
    hours: float = 1.0,
    coupling: Coupling = "poor",
) -> Lift:
    """Return the recommended weight limit of a two-handed lift by one person.

    Lengths in inches or centimetres, by `system`: `h` from the ankles forward to the hands, `v`
    from the floor up to the hands at the end that is judged, `d` how far they travel up or down.
    `a` is the twist [degrees], `per_min` lifts a minute, `hours` how long the lifting goes on (full
    recovery afterwards is assumed), `coupling` how well the hands hold.
    Raises ValueError for an unknown word, or a value that is negative or not a number.
    """
    if system not in get_args(System):
        raise ValueError(f'system must be "us" or "metric", got {system!r}')
    if coupling not in get_args(Coupling):
        raise ValueError(f'coupling must be "good", "fair" or "poor", got {coupling!r}')
    for name, value in (("h", h), ("v", v), ("d", d), ("a", a), ("per_min", per_min)):
        _check_number(name, value)
    if not (math.isfinite(hours) and hours > 0):
        raise ValueError(f"hours must be a number above 0, got {hours}")
    figures = read_table("lifting")
    own = figures["system"][system]
    low = v < own["low"]
    frequency, too_often = _frequency(per_min, hours, low)
    multipliers = Multipliers(
        horizontal=_horizontal(own["horizontal"], h),
        vertical=_vertical(own["vertical"], v),
        distance=_distance(own["distance"], d),
        asymmetry=_asymmetry(figures["asymmetry"], a),
        frequency=frequency,
        coupling=figures["coupling"][coupling][0 if low else 1],
    )
    outside = "; ".join([*_beyond(system, h=h, v=v, d=d, a=a), *too_often])
    limit = 0.0 if outside else own["load"] * math.prod(multipliers)
    return Lift(system, limit, multipliers, outside)


def _horizontal(figures: Mapping[str, float], h: float) -> float:
    return 0.0 if h > figures["most"] else figures["unit"] / max(h, figures["least"])


def _vertical(figures: Mapping[str, float], v: float) -> float:
    return 0.0 if v > figures["most"] else 1 - figures["slope"] * abs(v - figures["best"])


def _distance(figures: Mapping[str, float], d: float) -> float:
    if d > figures["most"]:
        return 0.0
    # At the least distance both systems sum to 1, but not to the last bit.
    return min(1.0, figures["base"] + figures["slope"] / max(d, figures["least"]))


def _asymmetry(figures: Mapping[str, float], a: float) -> float:
    return 0.0 if a > figures["most"] else 1 - figures["slope"] * a


def _beyond(system: System, *, h: float, v: float, d: float, a: float) -> list[str]:
    """Return what of the place of the hands lies beyond the equation."""
    figures = read_table("lifting")
    own = figures["system"][system]
    unit = own["words"]["length"]
    kinds = (
        (h, own["horizontal"]["most"], unit, "hands further than {} from the ankles"),
        (v, own["vertical"]["most"], unit, "hands higher than {} above the floor"),
        (d, own["distance"]["most"], unit, "hands travel further than {}"),
        (a, figures["asymmetry"]["most"], "degrees", "twist of more than {}"),
    )
    return [words.format(f"{most:g} {unit}") for value, most, unit, words in kinds if value > most]


@cache
def _column(low: bool, hours_up_to: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    table = read_table("lifting")["frequency"]
    column = table["low" if low else "high"][f"hours_{hours_up_to}"]
    return tuple(map(float, table["per_min"])), tuple(column)


def _frequency(per_min: float, hours: float, low: bool) -> tuple[float, list[str]]:
    """Return the frequency multiplier, linear between the rows of its table, and why it is 0."""
    if hours > 8:
        return 0.0, ["more than 8 hours of lifting"]
    rows, column = _column(low, 1 if hours <= 1 else 2 if hours <= 2 else 8)
    if per_min <= rows[0]:
        return column[0], []
    pairs = pairwise(zip(rows, column, strict=True))
    for (before, more), (after, less) in pairs:
        if per_min <= after:
            value = more + (less - more) * (per_min - before) / (after - before)
            if value > 0:
                return value, []
            break
    spell = "up to an hour" if hours <= 1 else f"{hours:g} hours"
    return 0.0, [f"{per_min:g} lifts a minute is more than the table has for {spell}"]


def reach(system: System, *, width: float, v: float) -> float:
    """Estimate how far forward the hands are, for a load held at its sides and not measured.

    `width` is the load's depth away from the body and `v` the height of the hands [in or cm]; the
    manual (p. 8) gives it for when h cannot be measured.
    Raises ValueError for a value that is negative or not a number.
    """
    _check_number("width", width)
    _check_number("v", v)
    figures = read_table("lifting")["system"][system]["reach"]
    return float(figures["far" if v < figures["below"] else "near"] + width / 2)


def reading(index: float) -> str:
    """Return what the manual (p. 19-20) says of a lifting index, in words of our own."""
    _check_number("index", index)
    if index <= 1:
        return "at most 1, which the manual sets as the goal"
    if index <= 3:
        return "above 1: raised risk of back trouble for some people"
    return "above 3: raised risk of injury for nearly everyone"


def index_text(index: float) -> str:
    """Return an index to one decimal, as in the manual; to more where one would read otherwise."""
    digits = next(n for n in range(1, 20) if reading(round(index, n)) == reading(index))
    return f"{index:.{digits}f}"


# The usual lift of a potting day is taken: two hands at the rim, from the ground to a bench, the
# pot's width away from the body, poor coupling. Each figure may be replaced.
# The equation is for one person and a steady load indoors; yard work is often outside of it, so the
# figure guides and never promises.
@frozen
class PotLift:
    """One kind of lift of a session.

    `lift` holds the published system's own figures, `limit_kg` the limit in [kg]. `index` is None
    where the equation gives none (two people, or outside its limits), and `text` then says why.
    """

    lift: Lift
    weight_kg: float
    limit_kg: float
    index: float | None
    text: str
    advice: tuple[str, ...]


def reach_width_m(container: Container) -> float | None:
    """Return how far a pot reaches from the body [m], held close; None where it is not known.

    Round pots have one width; whoever lifts a long box stands at its long side.
    """
    match container.shape:
        case Box(length_m=one, width_m=other):
            return min(one, other)
        case Pyramid(top_m=top, bottom_m=bottom):
            return min(max(top[0], bottom[0]), max(top[1], bottom[1]))
    return container.diameter_m


def lift_of_pot(
    *,
    weight_kg: float,
    width_m: float,
    height_m: float,
    system: System,
    per_min: float = 0.2,
    hours: float = 1.0,
    people: int = 1,
    refreshed: bool = False,
) -> PotLift:
    """Return what the equation says of lifting a pot to a bench, judged at the worse end.

    `weight_kg` [kg] is all that is lifted, `width_m` [m] as by `reach_width_m`, `height_m` [m] the
    pot's, held at its rim; the rest as in `lift`.
    `refreshed` marks a plant that stays in its pot.
    Raises ValueError for sizes or a weight that are not above 0.
    """
    for name, value in (("weight_kg", weight_kg), ("width_m", width_m), ("height_m", height_m)):
        if not value > 0:
            raise ValueError(f"{name} must be above 0, got {value}")
    length = INCH_M if system == "us" else 0.01
    ends = [
        lift(
            system,
            h=reach(system, width=width_m / length, v=hands / length),
            v=hands / length,
            d=BENCH_M / length,
            per_min=per_min,
            hours=hours,
        )
        for hands in (height_m, height_m + BENCH_M)
    ]
    worse = min(ends, key=lambda one: one.limit)
    unit = POUND_KG if system == "us" else 1.0
    index = worse.index(weight_kg / unit) if people == 1 else None
    advice = _advice(refreshed) if index is None or index > 1 else ()
    text = _words(worse, index, people)
    return PotLift(worse, weight_kg, worse.limit * unit, index, text, advice)


def _words(worse: Lift, index: float | None, people: int) -> str:
    if people > 1:
        return f"a lift by {people}: the equation is for one person, so there is no index"
    if index is None:
        return f"outside the equation: {worse.outside}"
    return f"lifting index {index_text(index)}, {reading(index)}"


def _advice(refreshed: bool) -> tuple[str, ...]:
    if refreshed:
        return ("work on it where it stands", "move it on a hand truck")
    return ("move it on a hand truck", "fill the pot where it will stand")
