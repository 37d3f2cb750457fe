"""A pot that is lifted: what the lifting equation makes of it, and what to do instead.

The usual lift of a potting day is taken: two hands at the rim, from the ground to a bench, the
pot's width away from the body, poor coupling. Each figure may be replaced.
The equation is for one person and a steady load indoors; yard work is often outside of it, so the
figure guides and never promises.
"""

from __future__ import annotations

from attrs import frozen

from rootroom.containers.container import Container
from rootroom.containers.shapes import Box, Pyramid
from rootroom.pot.lifting import Coupling, Lift, System, index_text, lift, reach, reading

BENCH_M = 0.8382
"""Height of a potting bench [m], 33 in (practice notes: elbow height or a little below)."""

INCH_M, POUND_KG = 0.0254, 0.45359237


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
    rise_m: float = BENCH_M,
    twist_degrees: float = 0.0,
    per_min: float = 0.2,
    hours: float = 1.0,
    coupling: Coupling = "poor",
    people: int = 1,
    refreshed: bool = False,
) -> PotLift:
    """Return what the lifting equation says of lifting a pot, judged at the worse end.

    `weight_kg` [kg] is all that is lifted, `width_m` [m] as by `reach_width_m`, `height_m` [m] the
    pot's, held at its rim, `rise_m` [m] how high it is lifted from the ground; the rest as in
    `lift`.
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
            d=rise_m / length,
            a=twist_degrees,
            per_min=per_min,
            hours=hours,
            coupling=coupling,
        )
        for hands in (height_m, height_m + rise_m)
    ]
    worse = min(ends, key=lambda one: one.limit)
    unit = POUND_KG if system == "us" else 1.0
    limit_kg = worse.limit * unit
    index = worse.index(weight_kg / unit) if people == 1 else None
    if people > 1:
        text = f"a lift by {people}: the equation is for one person, so there is no index"
    elif index is None:
        text = f"outside the equation: {worse.outside}"
    else:
        text = f"lifting index {index_text(index)}, {reading(index)}"
    heavy = people > 1 or index is None or index > 1
    advice = _advice(refreshed) if heavy else ()
    return PotLift(worse, weight_kg, limit_kg, index, text, advice)


def _advice(refreshed: bool) -> tuple[str, ...]:
    if refreshed:
        return ("work on it where it stands", "move it on a hand truck")
    return ("move it on a hand truck", "fill the pot where it will stand")
