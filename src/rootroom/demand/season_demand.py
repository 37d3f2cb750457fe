"""What the demand stage answers."""

from __future__ import annotations

from collections.abc import Mapping

from attrs import frozen

from rootroom.demand.draws import Draws
from rootroom.demand.estimates import Addition, BedDemand, Estimate
from rootroom.demand.moves import MoveTable
from rootroom.demand.recipes import Recipes
from rootroom.demand.workload import Workload


@frozen(eq=False)
class Demand:
    """The season's demand: by move and bed in the order of the file, by mix and ingredient.

    `mixes` counts what goes into other mixes too. `median_over_likely` is, of what plants and beds
    use themselves of each mix and ingredient, the median over the likely amount: likely amounts of
    single moves times this add up to the median of all.
    The draws are what needs at a level are read from: `direct_draws_l` of finished mix that plants
    and beds use themselves, `loose_draws` of loose litres a finished litre takes,
    `ingredient_draws_l` of what beds take unmixed; `pot_additions` are what moves give to pots
    and what plants get after them, `additions` that and what mixes take.
    `recipes` leads from mixes to ingredients, `work` is the plan as it was added up.
    """

    file: str
    moves: MoveTable
    beds: tuple[BedDemand, ...]
    mixes: Mapping[str, Estimate]
    ingredients: Mapping[str, Estimate]
    additions: Mapping[str, Addition]
    median_over_likely: Mapping[str, float]
    direct_draws_l: Mapping[str, Draws]
    loose_draws: Mapping[str, Draws]
    ingredient_draws_l: Mapping[str, Draws]
    pot_additions: Mapping[str, Addition]
    recipes: Recipes
    work: Workload
    draws: int
