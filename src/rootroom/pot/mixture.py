"""What is known of each mix of a plan: how it holds water, and what it weighs dry.

In order of trust: what the plan states as measured, then a range from the parts, then (for a mix
that is bought and not measured) the published range of nursery substrates.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Literal

from attrs import frozen

from rootroom.catalogue.ingredients import Ingredient, ingredients
from rootroom.catalogue.spread import Spread
from rootroom.containers.shapes import Cylinder
from rootroom.plan.tables.mixes import shrink_of_parts
from rootroom.pot.blend import Blend, Holding, Part, blend_density, holding_of_ingredient
from rootroom.pot.curve import Curve
from rootroom.pot.fitting import fit_curves
from rootroom.tolerances import LEAST_AIR, ROUNDING

if TYPE_CHECKING:
    from rootroom.plan.model import Measured, Mix, Plan

Basis = Literal["measured", "estimate", "published range", "unknown"]

UNKNOWN_HEIGHT_M = (0.076, 0.20)
"""Between which heights [m] a measurement is taken to have been made that does not tell its own."""

READY_MADE = "ready-made mix"
READY_MADE_DRY = Spread(90, 130, 300)
"""Dry density [kg/m3] of a mix that is bought: most peat and peat-bark mixes lie between 90 and 160
(Univ. of Arkansas, unit 7 section 2); the high end, for mixes with compost, is from memory."""

FEW = 0.10
"""Parts without figures are left out of the estimate up to this share of the mix."""


@frozen
class MixFigures:
    """How a mix holds water and what it weighs dry [kg/m3]; None where nobody knows.

    `basis` says what the figures rest on, `unknown` names parts that have none; `narrowed` names
    what was measured where that was not enough, so that the rest is an estimate still.
    """

    name: str
    water: Holding | Blend | None
    dry_kg_per_m3: Spread | None
    basis: Basis
    unknown: tuple[str, ...] = ()
    narrowed: str = ""

    @property
    def words(self) -> str:
        """What the figures rest on, in words."""
        without = f"; no published figures for {', '.join(self.unknown)}" if self.unknown else ""
        if self.narrowed:
            return f"{self.narrowed} measured, as the plan states; the rest an estimate" + without
        return {
            "measured": "measured, as the plan states",
            "estimate": "estimate from its parts, not measured",
            "published range": "bought and not measured: the published range of nursery substrates",
            "unknown": "unknown",
        }[self.basis] + without


def figures_of_mixes(plan: Plan) -> dict[str, MixFigures]:
    """Return what is known of every mix of a plan, by name."""
    found: dict[str, MixFigures] = {}

    def figures(name: str) -> MixFigures:
        if name not in found:
            found[name] = _figures(plan.mixes[name], plan, figures)
        return found[name]

    for name in plan.mixes:
        figures(name)
    return found


def _figures(mix: Mix, plan: Plan, inner: Callable[[str], MixFigures]) -> MixFigures:
    if mix.bought:
        water = holding_of_ingredient(READY_MADE)
        figures = MixFigures(mix.name, water, READY_MADE_DRY, "published range")
    else:
        whole = sum(mix.parts.values())
        parts = {name: float(part / whole) for name, part in mix.parts.items() if part}
        nested = {name: inner(name) for name in parts if name in plan.mixes}
        figures = figures_of_parts(
            mix.name, parts, mix.shrink, ingredients=plan.ingredients, mixes=nested
        )
    return figures if mix.measured is None else _with_measured(figures, mix.measured)


def figures_of_parts(
    name: str,
    parts: Mapping[str, float],
    shrink: Spread,
    *,
    ingredients: Mapping[str, Ingredient],
    mixes: Mapping[str, MixFigures] | None = None,
) -> MixFigures:
    """Return what is known of a mix from its parts.

    `parts` are loose shares that sum to 1, `shrink` the share of volume lost (none where there is
    one part only), `mixes` the figures of parts that are mixes themselves.
    """
    inner = mixes or {}
    lost = shrink if len(parts) > 1 else Spread(0, 0, 0)
    holdings = {part: _holding(part, ingredients, inner) for part in parts}
    unknown = tuple(part for part, holding in holdings.items() if holding is None)
    known = sum(share for part, share in parts.items() if part not in unknown)
    water = None
    if known >= 1 - FEW - ROUNDING:
        rows = [(parts[part] / known, one) for part, one in holdings.items() if one is not None]
        water = Blend(name, tuple(Part(share, one) for share, one in rows), lost)
    densities = {part: _dry(part, ingredients, inner) for part in parts}
    dry = {part: one for part, one in densities.items() if one is not None}
    density = blend_density(parts, dry, lost) if len(dry) == len(parts) else None
    return MixFigures(name, water, density, "estimate" if water else "unknown", unknown)


def water_with_part(
    plan: Plan, mixes: Mapping[str, MixFigures], name: str, part: str, to_one: int
) -> Holding | Blend | None:
    """Return how a mix would hold water with one part more, to `to_one` of all its parts.

    It is what the plan would make of that recipe, with the volume that its parts then lose.
    A mix that is bought or measured is one part of it as a whole.
    """
    mix = plan.mixes[name]
    whole = mix.bought or mix.measured is not None
    old = {name: 1.0} if whole else mix.shares
    parts = {one: share * to_one / (1 + to_one) for one, share in old.items()}
    parts[part] = parts.get(part, 0.0) + 1 / (1 + to_one)
    # A plan holds the ingredients that it names; the part may be another one of the catalogue.
    known = {**ingredients(), **plan.ingredients}
    shrink = shrink_of_parts(parts, known)
    if not whole and mix.shrink != shrink_of_parts(mix.parts, known):
        shrink = mix.shrink
    return figures_of_parts(name, parts, shrink, ingredients=known, mixes=mixes).water


def _holding(
    part: str, ingredients: Mapping[str, Ingredient], mixes: Mapping[str, MixFigures]
) -> Holding | Blend | None:
    if part in mixes:
        return mixes[part].water
    return holding_of_ingredient(ingredients[part].name if part in ingredients else part)


def _dry(
    part: str, ingredients: Mapping[str, Ingredient], mixes: Mapping[str, MixFigures]
) -> Spread | None:
    if part in mixes:
        return mixes[part].dry_kg_per_m3
    row = ingredients.get(part)
    if row is None:
        return None
    # The plan's own ingredient may give its density as handled only, which is then an upper bound.
    return row.dry_density_kg_per_m3 or row.density_kg_per_m3


def _with_measured(figures: MixFigures, measured: Measured) -> MixFigures:
    """Return the figures with what was measured in place of what was estimated."""
    water = holding_of_measured(figures.name, measured, figures.water)
    density = figures.dry_kg_per_m3
    if measured.density_kg_per_m3 is not None:
        density = Spread.exactly(measured.density_kg_per_m3)
    if water is None:
        return MixFigures(figures.name, figures.water, density, figures.basis, figures.unknown)
    told = {
        "porosity": measured.porosity_share,
        "air": measured.air_share,
        "water": measured.capacity_share,
    }
    known = [name for name, share in told.items() if share is not None]
    if measured.curve is None and len(known) == 1:
        unknown = figures.unknown
        return MixFigures(figures.name, water, density, figures.basis, unknown, known[0])
    return MixFigures(figures.name, water, density, "measured")


def holding_of_measured(
    name: str, measured: Measured, estimate: Holding | Blend | None
) -> Holding | None:
    """Return how a mix holds water by its measurement; None where that says nothing of it.

    Two of porosity, air and capacity fix the third. One alone is joined to the estimate of another
    at the height of the test, so the answer is narrower than the estimate and still a range.
    Where the plan gives no height, the test may have been made at any usual one.
    A measured curve answers for every height.
    """
    if measured.curve is not None:
        one = measured.curve
        curve = Curve(one.theta_s, one.theta_r, one.alpha_per_cm, one.n, one.m)
        return Holding(f"measured {name}", (curve,), (curve,), (curve,))
    heights = UNKNOWN_HEIGHT_M if measured.core_height_m is None else (measured.core_height_m,) * 2
    cases = _measured_cases(measured, estimate, heights[0])
    if cases is None:
        return None
    # At a tall core the same water means a mix that holds more of it: that is the wettest case.
    cores = (heights[0], heights[0], heights[1])
    fitted = [
        fit_curves(porosity, capacity, core)
        for (porosity, capacity), core in zip(cases, cores, strict=True)
    ]
    return Holding(f"measured {name}", *fitted)


def _measured_cases(
    measured: Measured, estimate: Holding | Blend | None, core_m: float
) -> list[tuple[float, float]] | None:
    """Return porosity and capacity, driest to wettest; None where neither was measured."""
    porosity, air, capacity = (
        measured.porosity_share,
        measured.air_share,
        measured.capacity_share,
    )
    if porosity is not None and air is not None and capacity is None:
        capacity = porosity - air
    if porosity is None and air is not None and capacity is not None:
        porosity = air + capacity
    if porosity is not None and capacity is not None:
        return [_possible(porosity, capacity)] * 3
    if estimate is None or (porosity is None and air is None and capacity is None):
        return None
    guess = estimate.in_pots([Cylinder(0.1, core_m)])[0]
    if porosity is not None:
        airs = (guess.air.high, guess.air.likely, guess.air.low)
        return [_possible(porosity, porosity - one) for one in airs]
    if capacity is not None:
        airs = (guess.air.low, guess.air.likely, guess.air.high)
        return [_possible(capacity + one, capacity) for one in airs]
    assert air is not None
    pores = (guess.porosity.low, guess.porosity.likely, guess.porosity.high)
    return [_possible(one, one - air) for one in pores]


def _possible(porosity: float, capacity: float) -> tuple[float, float]:
    """Return porosity and capacity moved inside of what a curve can have."""
    porosity = min(max(porosity, 0.02), 0.99)
    return porosity, min(max(capacity, 0.01), porosity - LEAST_AIR)
