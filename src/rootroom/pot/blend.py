"""What a mix of several parts weighs, and how much water and air it will hold: an estimate.

Dry density of a blend follows from its parts, since nothing is lost but room; water, air and
porosity do not (Gabriel, Altland and Owen 2009): fine particles fill the gaps of coarse ones.
So water and air are a range: each part lies somewhere between its driest and its wettest published
figures, and the room lost in blending is taken from the air, since solids and the water that they
hold stay. `likely` is the formula at the likely figures; low and high are the 10th and 90th
percentile of draws in which every part and the loss move on their own, widened to hold `likely`.
A measurement of the mix itself replaces the estimate (`measured.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from hashlib import sha256
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom.catalogue.curves import PublishedCurve, Retention, retention_of
from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Shape
from rootroom.pot.curve import Curve
from rootroom.pot.fitting import fit_curves
from rootroom.pot.water import water_and_air_many
from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Measure = Callable[[Curve], tuple[Floats, Floats]]

DRAWS = 2_000
"""Draws behind the 10th and 90th percentile: within 0.01 of the limit for every published mix."""

NOTHING_LOST = Spread(0, 0, 0)


@frozen
class PotWater:
    """Water and air of a mix in one filled and drained pot; shares are of the mix's volume.

    At `likely` air and water sum to the porosity; the ends are those of single figures and do not.
    """

    porosity: Spread
    capacity: Spread
    air: Spread
    available: Spread


@frozen
class Holding:
    """How one material holds water in each case: curves that agree where they were measured.

    Where several curves stand for a case, the driest takes the least water of them in each pot,
    the wettest the most, and the likely one the middle.
    """

    name: str
    driest: tuple[Curve, ...]
    likely: tuple[Curve, ...]
    wettest: tuple[Curve, ...]

    def in_pots(
        self, shapes: Sequence[Shape], to_m: Sequence[float | None] | None = None
    ) -> list[PotWater]:
        """Return water and air in each shape, filled to a height [m] or to the brim."""
        return _pot_waters(self, shapes, to_m)


@frozen
class Part:
    """A share of a blend's loose volume: a material, or another blend."""

    share: float
    of: Holding | Blend


@frozen
class Blend:
    """A mix as parts by loose volume (shares that sum to 1) and the volume lost in blending.

    Raises ValueError for no parts, shares that are negative or do not sum to 1, or a loss below
    nothing or of everything.
    """

    name: str
    parts: tuple[Part, ...]
    shrink: Spread = NOTHING_LOST

    def __attrs_post_init__(self) -> None:
        if not self.parts or any(part.share < 0 for part in self.parts):
            raise ValueError("parts must hold at least one share, and none negative")
        if abs(sum(part.share for part in self.parts) - 1) > ROUNDING:
            raise ValueError(f"shares must sum to 1, got {sum(p.share for p in self.parts)}")
        if not 0 <= self.shrink.low <= self.shrink.high < 1:
            raise ValueError(f"shrink must lie from 0 to below 1, got {self.shrink}")

    def in_pots(
        self, shapes: Sequence[Shape], to_m: Sequence[float | None] | None = None
    ) -> list[PotWater]:
        """Return water and air in each shape, filled to a height [m] or to the brim."""
        return _pot_waters(self, shapes, to_m)


def holding_of(retention: Retention) -> Holding:
    """Return the curves of a published ingredient."""
    if retention.curves:
        return Holding(retention.ingredient, *((_curve(one),) for one in retention.curves))
    assert retention.porosity is not None
    assert retention.capacity is not None
    assert retention.core_m is not None
    cases = [
        fit_curves(porosity, capacity, retention.core_m)
        for porosity, capacity in zip(retention.porosity, retention.capacity, strict=True)
    ]
    return Holding(retention.ingredient, *cases)


def _curve(one: PublishedCurve) -> Curve:
    return Curve(one.theta_s, one.theta_r, one.alpha_per_cm, one.n)


@cache
def holding_of_ingredient(name: str) -> Holding | None:
    """Return how a shipped ingredient holds water; None where nothing is published."""
    retention = retention_of(name)
    return None if retention is None else holding_of(retention)


@frozen(eq=False)
class _Shares:
    """Porosity, water and unavailable water: one row a draw, the likely case last; columns pots."""

    porosity: Floats
    water: Floats
    held: Floats


def water_at_tension(of: Holding | Blend, tension_cm: float) -> Spread:
    """Return the water of a mix at one tension [cm of water], as a pressure table measures it."""
    import numpy as np

    def at_tension(curve: Curve) -> tuple[Floats, Floats]:
        return np.array([curve.water_share(tension_cm)]), np.zeros(1)

    return _spreads(_shares(of, at_tension).water)[0]


def likely_pores(
    of: Holding | Blend, shapes: Sequence[Shape], to_m: Sequence[float | None] | None = None
) -> list[tuple[float, float]]:
    """Return the likely porosity and water of a mix in each shape, many times quicker than all."""
    fills: Sequence[float | None] = [None] * len(shapes) if to_m is None else to_m

    def drained(curve: Curve) -> Floats:
        return water_and_air_many(shapes, [curve] * len(shapes), fills).capacity_share

    porosity, water = _likely(of, drained)
    return [(porosity, held) for held in water.tolist()]


def likely_pores_in(
    shape: Shape, to_m: float | None, mixes: Iterable[Holding | Blend]
) -> Iterator[tuple[float, float]]:
    """Yield the likely porosity and water of each mix in one shape, filled to a height [m].

    Mixes that share parts share the work: each curve is integrated once.
    """

    @cache
    def drained(curve: Curve) -> Floats:
        return water_and_air_many([shape], [curve], [to_m]).capacity_share

    for of in mixes:
        porosity, water = _likely(of, drained)
        yield porosity, float(water[0])


def likely_profile(of: Holding | Blend, heights_m: Sequence[float]) -> tuple[float, list[float]]:
    """Return the likely porosity, and the water at heights [m] in a pot that has drained."""
    import numpy as np

    tensions: Floats = np.asarray(heights_m, dtype=float) * 100.0
    porosity, water = _likely(of, lambda curve: curve.water_share(tensions))
    return porosity, [float(held) for held in water]


def _likely(of: Holding | Blend, measure: Callable[[Curve], Floats]) -> tuple[float, Floats]:
    import numpy as np

    if isinstance(of, Holding):
        every = np.sort(np.stack([measure(curve) for curve in of.likely]), axis=0)
        return of.likely[0].theta_s, every[len(of.likely) // 2]
    parts = [(part.share, *_likely(part.of, measure)) for part in of.parts]
    kept = 1 - of.shrink.likely
    porosity = max(1 - sum(share * (1 - pores) for share, pores, _ in parts) / kept, 0.0)
    held = np.sum([share * water for share, _, water in parts], axis=0) / kept
    return porosity, np.minimum(held, porosity)


def _pot_waters(
    of: Holding | Blend, shapes: Sequence[Shape], to_m: Sequence[float | None] | None
) -> list[PotWater]:
    """Return water and air of a material or blend in each shape."""
    fills: Sequence[float | None] = [None] * len(shapes) if to_m is None else to_m
    if not shapes:
        return []

    def drained(curve: Curve) -> tuple[Floats, Floats]:
        found = water_and_air_many(shapes, [curve] * len(shapes), fills)
        return found.capacity_share, found.unavailable_share

    shares = _shares(of, drained)
    columns = [
        _spreads(shares.porosity),
        _spreads(shares.water),
        _spreads(shares.porosity - shares.water),
        _spreads(shares.water - shares.held),
    ]
    return [PotWater(*spreads) for spreads in zip(*columns, strict=True)]


def _spreads(shares: Floats) -> list[Spread]:
    """Return the 10th percentile, the likely case and the 90th percentile of each column."""
    import numpy as np

    low, high = np.quantile(shares[:-1], (0.1, 0.9), axis=0)
    likely = shares[-1]
    rows = np.stack([np.minimum(low, likely), likely, np.maximum(high, likely)], axis=1)
    return [Spread(*row) for row in rows.tolist()]


@cache
def _positions(name: str) -> Floats:
    """Return where between driest (-1), likely (0) and wettest (1) each draw of a thing lies.

    A triangular draw from a stream that depends on nothing but the name; a last 0 is likely.
    """
    import numpy as np

    seed = int.from_bytes(sha256(name.encode("utf-8", "surrogatepass")).digest()[:16])
    uniform = np.random.Generator(np.random.PCG64(seed)).random(DRAWS)
    rising = np.sqrt(2 * uniform) - 1
    falling = 1 - np.sqrt(2 * (1 - uniform))
    return np.append(np.where(uniform < 0.5, rising, falling), 0.0)


def _between(position: Floats, low: Floats, likely: Floats, high: Floats) -> Floats:
    """Return the figures at positions (rows) between three cases (columns), straight in between."""
    import numpy as np

    up, down = np.maximum(position, 0.0)[:, None], np.maximum(-position, 0.0)[:, None]
    return likely + up * (high - likely) - down * (likely - low)


def _shares(of: Holding | Blend, measure: Measure) -> _Shares:
    import numpy as np

    if isinstance(of, Holding):
        return _material(of, measure)
    parts = [(part.share, _shares(part.of, measure)) for part in of.parts]
    shrink = (np.array([end]) for end in (of.shrink.low, of.shrink.likely, of.shrink.high))
    kept = 1 - _between(_positions(f"shrink of {of.name}"), *shrink)
    solid: Floats = sum(share * (1 - one.porosity) for share, one in parts) / kept
    water: Floats = sum(share * one.water for share, one in parts) / kept
    held: Floats = sum(share * one.held for share, one in parts) / kept
    # Pressed so far that water would take all the room, the blend is saturated and no wetter.
    porosity = np.maximum(1 - solid, 0.0)
    water = np.minimum(water, porosity)
    return _Shares(porosity, water, np.minimum(held, water))


def _material(of: Holding, measure: Measure) -> _Shares:
    """Return the draws of one material: its three cases, and its position between them."""
    import numpy as np

    porosity, water, held = [], [], []
    for curves, rank in ((of.driest, 0), (of.likely, len(of.likely) // 2), (of.wettest, -1)):
        every = [measure(curve) for curve in curves]
        water.append(np.sort(np.stack([one for one, _ in every]), axis=0)[rank])
        held.append(np.sort(np.stack([one for _, one in every]), axis=0)[rank])
        porosity.append(np.array([curves[0].theta_s]))
    position = _positions(f"water of {of.name}")
    wet, room = _between(position, *water), _between(position, *porosity)
    return _Shares(room + 0 * wet, wet, np.minimum(_between(position, *held), wet))


def blend_density(
    parts: Mapping[str, float], densities: Mapping[str, Spread], shrink: Spread
) -> Spread:
    """Return the dry density [kg/m3] of a blend: mass of the parts over the volume that is left.

    `parts` are loose shares that sum to 1, `densities` [kg/m3] those of the loose and dry parts.
    """

    def total(end: Literal["low", "likely", "high"]) -> float:
        mass = sum(share * getattr(densities[name], end) for name, share in parts.items())
        return float(mass / (1 - getattr(shrink, end)))

    return Spread(total("low"), total("likely"), total("high"))
