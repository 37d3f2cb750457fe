"""What must be had at one level of certainty, and the least level at which all is enough together.

Two mixes that are each enough in 80 % of the seasons are both enough in fewer, so what is bought
is read at a common percentile, raised until everything is enough together often enough.

At a level p

- each mix that plants and beds use themselves, and each ingredient that beds take unmixed, is read
  at its own percentile p;
- the loose litres that a finished litre takes are the percentile p of the mix's loose litres over
  the percentile p of its finished litres, both for the whole season. So shrink, demand and what
  other mixes take are read together: a mix that is blended gets loose parts at its percentile p,
  not more (percentiles of factors multiplied would be far more);
- all is enough in a draw when no mix and no ingredient needs more in it than that comes to.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from rootroom.counts import least_that
from rootroom.demand.draws import Draws, median, quantile
from rootroom.demand.estimates import Needs
from rootroom.demand.find import Demand
from rootroom.tolerances import ROUNDING

if TYPE_CHECKING:
    from rootroom.demand.recipes import Recipes


class _Levels:
    """The draws of a demand, sorted once so that a percentile is a look-up."""

    def __init__(self, demand: Demand) -> None:
        self._demand = demand
        self._recipes: Recipes = demand.recipes
        totals = self._recipes.mixes_l(demand.direct_draws_l, demand.loose_draws)
        loose = {name: totals[name] * demand.loose_draws[name] for name in totals}
        self.needed: list[tuple[str, Draws]] = [
            *totals.items(),
            *self._recipes.ingredients_l(
                totals, demand.loose_draws, demand.ingredient_draws_l
            ).items(),
        ]
        self._direct = _sorted(demand.direct_draws_l)
        self._unmixed = _sorted(demand.ingredient_draws_l)
        self._totals = _sorted(totals)
        self._loose = _sorted(loose)

    def needs(self, level: float) -> Needs:
        """Return the needs at a level, with the share of draws in which they are enough."""
        direct = {name: quantile(draws, level) for name, draws in self._direct.items()}
        unmixed = {name: quantile(draws, level) for name, draws in self._unmixed.items()}
        loose = {name: self._loose_per_l(name, level) for name in self._totals}
        own = self._demand.pot_additions
        return Needs(
            level=level,
            sure=self._enough(direct, loose, unmixed),
            mixes_l=direct,
            loose_per_l=loose,
            ingredients_l=unmixed,
            additions_kg={n: a.amount.likely for n, a in own.items() if a.unit == "kg"},
            additions_l={n: a.amount.likely for n, a in own.items() if a.unit == "l"},
        )

    def _loose_per_l(self, name: str, level: float) -> float:
        whole = quantile(self._totals[name], level)
        if whole > 0:
            return quantile(self._loose[name], level) / whole
        return median(self._demand.loose_draws[name])

    def _enough(
        self, direct: Mapping[str, float], loose: Mapping[str, float], unmixed: Mapping[str, float]
    ) -> float:
        totals = self._recipes.mixes_l(direct, loose)
        had = {**totals, **self._recipes.ingredients_l(totals, loose, unmixed)}
        enough = np.ones(self._demand.draws, dtype=bool)
        for name, needed in self.needed:
            enough &= needed <= had[name] * (1 + ROUNDING) + ROUNDING
        return float(enough.mean())


def _sorted(draws: Mapping[str, Draws]) -> dict[str, Draws]:
    return {name: np.sort(values) for name, values in draws.items()}


def needs_at(demand: Demand, level: float) -> Needs:
    """Return what must be had when every amount is read at the percentile `level` [0 to 1].

    Raises ValueError for a level outside 0 to 1.
    """
    if not 0 <= level <= 1:
        raise ValueError(f"level must lie between 0 and 1, got {level!r}")
    return _Levels(demand).needs(level)


def common_level(demand: Demand, sure: float) -> Needs:
    """Return the needs at the least common percentile at which all hold in `sure` of the draws.

    Levels are tried in steps of one draw, from `sure` up: with anything in doubt none below can do.
    Raises ValueError for a share outside 0 to 1.
    """
    if not 0 <= sure <= 1:
        raise ValueError(f"sure must lie between 0 and 1, got {sure!r}")
    levels = _Levels(demand)
    steps = max(demand.draws - 1, 1)
    first = levels.needs(sure)
    if first.sure >= sure - ROUNDING:
        return first
    # A step that is enough is kept; needs rise with the level, but for the last digits.
    least = least_that(
        lambda step: levels.needs(step / steps).sure >= sure - ROUNDING, int(sure * steps), steps
    )
    return levels.needs(least / steps)
