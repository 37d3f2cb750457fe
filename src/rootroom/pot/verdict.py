"""Whether a mix holds more or less air and water than is usual, in words, and what would change it.

A mix is compared at the height that the published figures were measured at, since every mix holds
more water in a low pot; figures for the drained container itself are compared in the pot.
Where no source gives figures for a use there are words and no verdict.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Literal

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.uses import Band, Use, coarse_parts, fine_parts
from rootroom.containers.shapes import Cylinder, Shape
from rootroom.pot.blend import (
    Blend,
    Holding,
    PotWater,
    likely_pores,
    likely_pores_in,
    water_at_tension,
)
from rootroom.pot.mixture import MixFigures
from rootroom.units import System, show_length

Reading = Literal["less", "may be less", "usual", "may be more", "more"]

DEEPEST_M, SHALLOWEST_M = 0.60, 0.04
"""Between these heights [m] a pot of another depth is looked for."""

LIKE_DEPTH = (0.75, 1.5)
"""How much shallower or deeper a pot may be to do for the same plant (common practice)."""

MIX_TO_ONE_PART = (10, 8, 6, 5, 4, 3, 2, 1)
"""Parts of the mix to one part that is added: what is tried, least first."""


@frozen
class Comparison:
    """A mix against one published band: found share where the band was measured, and the words."""

    band: Band
    found: Spread
    reading: Reading
    text: str


@frozen
class Remedy:
    """One change and what it would do: `text` says both, computed; None in `figure` if too little.

    `figure` is a height [m] for "depth", the added share of the new mix for "part".
    """

    kind: Literal["depth", "part"]
    figure: float | None
    text: str


@frozen
class Verdict:
    """What is to be said of a mix in a pot: comparisons, words, and computed changes."""

    use: Use
    comparisons: tuple[Comparison, ...]
    remedies: tuple[Remedy, ...]
    words: str


def _reading(found: Spread, band: Band) -> Reading:
    """Return how a range lies to a band; it is called out only where the likely value leaves it."""
    if band.low is not None and found.likely < band.low:
        return "less" if found.high < band.low else "may be less"
    if band.high is not None and found.likely > band.high:
        return "more" if found.low > band.high else "may be more"
    return "usual"


def percent(share: float) -> str:
    """Return a share as a whole percentage, the sign set off as the style has it."""
    return f"{round(share * 100):d} %"


def _range(low: float, high: float) -> str:
    if round(low * 100) == round(high * 100):
        return percent(low)
    return f"{round(low * 100):d} to {percent(high)}"


def _published(band: Band) -> str:
    if band.low is not None and band.high is not None:
        return _range(band.low, band.high)
    if band.low is not None:
        return f"{percent(band.low)} or more"
    assert band.high is not None
    return f"at most {percent(band.high)}"


_WORDS: dict[tuple[str, Reading], str] = {
    ("air", "less"): "holds more water and less air than is usual",
    ("air", "may be less"): "may hold less air than is usual",
    ("air", "usual"): "holds as much air as is usual",
    ("air", "may be more"): "may hold more air than is usual",
    ("air", "more"): "holds more air and less water than is usual",
    ("water", "less"): "holds less water than is usual",
    ("water", "may be less"): "may hold less water than is usual",
    ("water", "usual"): "holds as much water as is usual",
    ("water", "may be more"): "may hold more water than is usual",
    ("water", "more"): "holds more water than is usual",
}


def compare(figures: MixFigures, band: Band, in_pot: PotWater | None) -> Comparison | None:
    """Return a mix compared with one band; None where the mix or the pot is not known.

    `in_pot` is the mix in the pot, for bands that were measured in the container itself.
    """
    if figures.water is None:
        return None
    if band.tension_cm is not None:
        if band.of != "water":
            return None
        found = water_at_tension(figures.water, band.tension_cm)
    else:
        drained = in_pot
        if band.core_m is not None:
            drained = figures.water.in_pots([Cylinder(0.1, band.core_m)])[0]
        if drained is None:
            return None
        found = drained.air if band.of == "air" else drained.capacity
    reading = _reading(found, band)
    where = "in this pot" if band.measured == "in the container" else band.measured
    if band.core_m is not None:
        where += f" ({show_length(band.core_m, 'us')} high)"
    text = (
        f"{_WORDS[band.of, reading]} for {band.use} {where}: "
        f"{_range_of(found, band, reading)}, published {_published(band)}"
    )
    return Comparison(band, found, reading, text)


def _range_of(found: Spread, band: Band, reading: Reading) -> str:
    """Return a range in whole per cent, the likely value too where that rounds into the band."""
    text = f"{_range(found.low, found.high)} {band.of}"
    edge = band.low if "less" in reading else band.high
    if reading != "usual" and edge is not None and round(found.likely * 100) == round(edge * 100):
        text += f", likely {found.likely * 100:.1f} %"
    return text


def judge(
    figures: MixFigures,
    use: Use,
    in_pot: PotWater | None,
    *,
    changes: Callable[[Band], tuple[Remedy, ...]] | None = None,
) -> Verdict:
    """Return the verdict on a mix for a use: only the bands that a verdict rests on are compared.

    `changes` computes what would bring the mix into a band; it is asked only where it leaves one.
    """
    found: list[Comparison] = []
    fixes: list[Remedy] = []
    for band in use.bands:
        if not band.first or any(band.of == one.band.of for one in found):
            continue
        comparison = compare(figures, band, in_pot)
        if comparison is None:
            continue
        found.append(comparison)
        if comparison.reading != "usual" and changes is not None and not fixes:
            fixes.extend(changes(band))
    return Verdict(use, tuple(found), tuple(fixes), use.words)


def remedies(
    figures: MixFigures,
    band: Band,
    shape: Shape,
    fill_m: float,
    with_part: Callable[[str, int], Holding | Blend | None],
    *,
    parts: Iterable[str] = (),
    system: System = "metric",
) -> tuple[Remedy, ...]:
    """Return what would bring the likely air or water of a mix into a band.

    A pot of another depth helps only where the band is for the drained container; adding a coarse
    or fine part to the mix helps in both cases, one of its own `parts` where that is enough:
    `with_part` tells how the mix holds water with one part of it to so many of the mix.
    `system` sets how lengths are written.
    """
    if figures.water is None:
        return ()
    found = []
    if band.core_m is None and band.tension_cm is None:
        found.append(_other_depth(figures, band, fill_m, system))
    found.append(_more_of_a_part(figures, band, shape, fill_m, with_part, frozenset(parts)))
    return tuple(found)


def _likely(
    waters: Iterable[Holding | Blend], band: Band, shape: Shape, fill_m: float
) -> Iterator[float]:
    """Yield each mix's likely figure that a band is about, in a pot filled so high or its core."""
    if band.tension_cm is not None:
        for water in waters:
            yield water_at_tension(water, band.tension_cm).likely
        return
    core = None if band.core_m is None else Cylinder(0.1, band.core_m)
    to_m = fill_m if core is None else None
    for room, held in likely_pores_in(core or shape, to_m, waters):
        yield held if band.of == "water" else room - held


def _too_low(value: float, band: Band) -> bool:
    return band.low is not None and value < band.low


def _other_depth(figures: MixFigures, band: Band, fill_m: float, system: System) -> Remedy:
    """Return the depth of a straight-walled fill at which the likely value enters the band."""
    assert figures.water is not None
    depths = [SHALLOWEST_M + 0.005 * step for step in range(int(0.56 / 0.005) + 1)]
    pores = likely_pores(figures.water, [Cylinder(0.2, depth) for depth in depths])
    values = [held if band.of == "water" else room - held for room, held in pores]
    inside = [
        depth
        for depth, value in zip(depths, values, strict=True)
        if not _too_low(value, band) and not (band.high is not None and value > band.high)
    ]
    least, most = (fill_m * ratio for ratio in LIKE_DEPTH)
    inside = [depth for depth in inside if least <= depth <= most]
    if not inside:
        return Remedy("depth", None, "no pot of about that depth would change it")
    taller = inside[0] > fill_m
    best = inside[0] if taller else inside[-1]
    word = "deeper" if taller else "shallower"
    return Remedy(
        "depth",
        best,
        f"a {word} pot: filled {show_length(best, system)} high "
        f"in place of {show_length(fill_m, system)}",
    )


def _more_of_a_part(
    figures: MixFigures,
    band: Band,
    shape: Shape,
    fill_m: float,
    with_part: Callable[[str, int], Holding | Blend | None],
    own: frozenset[str],
) -> Remedy:
    """Return how much of a coarse (or fine) part, added, brings the likely value into the band."""
    assert figures.water is not None
    (now,) = _likely([figures.water], band, shape, fill_m)
    too_low = _too_low(now, band)
    opens = too_low == (band.of == "air")
    target = band.low if too_low else band.high
    assert target is not None
    for part in sorted(coarse_parts() if opens else fine_parts(), key=lambda one: one not in own):
        tried = ((to_one, with_part(part, to_one)) for to_one in MIX_TO_ONE_PART)
        known = [(to_one, water) for to_one, water in tried if water is not None]
        values = _likely((water for _, water in known), band, shape, fill_m)
        for (to_one, _), value in zip(known, values, strict=True):
            if (value >= target) if too_low else (value <= target):
                return Remedy(
                    "part",
                    1 / (1 + to_one),
                    f"a {'coarser' if opens else 'finer'} mix: 1 part of {part} to {to_one} of it "
                    f"gives {percent(value)} {band.of} (estimate)",
                )
    kind = "coarse" if opens else "fine"
    return Remedy("part", None, f"no {kind} part alone would change that enough")
