"""How much of each mix, ingredient and addition the season takes.

Likely amounts are the formulas at the likely values; the doubt comes from draws of whole seasons,
in each of which every factor has one value.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.demand.draws import Draws, Streams, estimate, median
from rootroom.demand.estimates import Addition, BedDemand, Estimate
from rootroom.demand.moves import KindColumns, MoveColumns, MoveLoad, MoveTable, mix_columns
from rootroom.demand.recipes import (
    Recipes,
    given_in_aftercare,
    given_to_mixes,
    given_to_pots,
    sum_given,
)
from rootroom.demand.room import Room
from rootroom.demand.workload import Values, Workload, drawn_values, likely_values
from rootroom.formulas import ball_l, loose_l

if TYPE_CHECKING:
    from rootroom.plan.model import Move, Plan

NOTHING = Estimate(0.0, 0.0, 0.0, 0.0)


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


def find_demand(plan: Plan, *, draws: int = 4000) -> Demand:
    """Return the season's demand for mix, ingredients and additions.

    `draws` is the number of seasons that are drawn for the low and high of every figure.
    """
    work = Workload.of(plan)
    likely, drawn = likely_values(work), drawn_values(work, Streams(draws))
    direct, direct_draws = work.direct_l(likely), work.direct_l(drawn)
    unmixed, unmixed_draws = work.unmixed_l(likely), work.unmixed_l(drawn)
    recipes = work.recipes
    mixes = recipes.mixes_l(direct, likely.loose)
    mix_draws = recipes.mixes_l(direct_draws, drawn.loose)
    loose = recipes.ingredients_l(mixes, likely.loose, unmixed)
    ingredient_draws = recipes.ingredients_l(mix_draws, drawn.loose, unmixed_draws)
    loads = [load for kind in work.loads for load in kind]
    own = (*given_to_pots(loads), *given_in_aftercare(plan, loads))
    return Demand(
        file=plan.file,
        moves=_Moves(work, likely, drawn).table(plan),
        beds=tuple(
            BedDemand(layer.bed, layer.of, estimate(layer.litres(likely), layer.litres(drawn)))
            for layer in work.layers
        ),
        mixes=_estimates(mixes, mix_draws, plan.mixes),
        ingredients=_estimates(loose, ingredient_draws, _ingredient_order(plan)),
        additions=sum_given(plan, (*own, *given_to_mixes(plan, mixes, mix_draws))),
        median_over_likely={
            name: median(drawn_l) / likely_l if likely_l > 0 else 1.0
            for amounts, draws_l in ((direct, direct_draws), (unmixed, unmixed_draws))
            for name, likely_l in amounts.items()
            for drawn_l in (draws_l[name],)
        },
        direct_draws_l=direct_draws,
        loose_draws=drawn.loose,
        ingredient_draws_l=unmixed_draws,
        pot_additions=sum_given(plan, own),
        recipes=recipes,
        work=work,
        draws=draws,
    )


def _estimates(
    likely: Mapping[str, float], drawn: Mapping[str, Draws], order: Mapping[str, object]
) -> dict[str, Estimate]:
    return {name: estimate(likely[name], drawn[name]) for name in order if name in likely}


def _ingredient_order(plan: Plan) -> dict[str, None]:
    """Return what mixes and beds are made of in the order of the file, mixes included."""
    parts = (part for mix in plan.mixes.values() for part in mix.parts)
    layers = (layer.of for bed in plan.beds for layer in bed.layers)
    return dict.fromkeys((*parts, *layers))


class _Moves:
    """Works out every move, room by room."""

    def __init__(self, work: Workload, likely: Values[float], drawn: Values[Draws]) -> None:
        self._work = work
        self._likely = likely
        self._drawn = drawn
        self._fills: dict[str, Estimate] = {}
        self._balls: dict[object, Estimate] = {}

    def table(self, plan: Plan) -> MoveTable:
        """Return the table of all moves."""
        return MoveTable(plan.plants, self._work.pairs, lambda: self._kinds(plan))

    def _kinds(self, plan: Plan) -> tuple[KindColumns, ...]:
        by_room: dict[Room | None, list[tuple[int, int, MoveLoad]]] = {}
        for kind, loads in enumerate(self._work.loads):
            for number, load in enumerate(loads):
                by_room.setdefault(load.room, []).append((kind, number, load))
        found: dict[tuple[int, int], MoveColumns] = {}
        # Room by room, since the draws of all rooms at once would not fit into memory.
        for room, loads_of_room in by_room.items():
            a_pot, a_pot_likely = self._a_pot_l(room, [load for _, _, load in loads_of_room])
            for kind, number, load in loads_of_room:
                found[kind, number] = self._columns(load, a_pot, a_pot_likely)
        pairs = self._work.pairs
        return tuple(
            KindColumns(
                kind,
                pairs.rows[pairs.of_kind(k)].tolist(),
                tuple(found[k, number] for number in range(len(kind.moves))),
            )
            for k, kind in enumerate(plan.plants.kinds)
        )

    def _a_pot_l(
        self, room: Room | None, loads: list[MoveLoad]
    ) -> tuple[dict[int, Draws], dict[int, float]]:
        """Return the mix in one pot [L], drawn and likely, by the balls that it takes."""
        if room is None:
            return {}, {}
        drawn, likely = self._drawn, self._likely
        balls = {balls for load in loads for balls in load.total}
        a_pot = {
            n: loose_l(room.place_l(drawn.fills_l, drawn.ball, n), drawn.packing, drawn.spill)
            for n in balls
        }
        a_pot_likely = {
            n: loose_l(room.place_l(likely.fills_l, likely.ball, n), likely.packing, likely.spill)
            for n in balls
        }
        return a_pot, a_pot_likely

    def _columns(
        self, load: MoveLoad, a_pot: Mapping[int, Draws], a_pot_likely: Mapping[int, float]
    ) -> MoveColumns:
        move = load.move
        low, likely, high, median = mix_columns(load, a_pot, a_pot_likely)
        new = move.new
        return MoveColumns(
            move=move,
            old=move.old.text,
            new=str(move.place) if new is None else new.text,
            fill_l=NOTHING if new is None or not new.holds else self._fill(new.text),
            ball_l=self._ball(move, load.room),
            plants=load.plants.tolist(),
            pots=load.pots.tolist(),
            low_l=low,
            likely_l=likely,
            high_l=high,
            median_l=median,
        )

    def _fill(self, text: str) -> Estimate:
        if text not in self._fills:
            likely, drawn = self._likely.fills_l[text], self._drawn.fills_l[text]
            self._fills[text] = estimate(likely, drawn)
        return self._fills[text]

    def _ball(self, move: Move, room: Room | None) -> Estimate:
        """Return the ball of one plant [L], also of one that leaves for a bed or a buyer."""
        kept = move.kept_ball
        key = (move.old.text, kept, move.refresh)
        if key not in self._balls:
            likely, drawn = self._likely, self._drawn
            if room is not None:
                usual = room.ball_l(likely.fills_l, likely.ball)
                draws = room.ball_l(drawn.fills_l, drawn.ball)
            else:
                usual = ball_l(likely.fills_l[move.old.text], likely.ball, kept)
                draws = ball_l(drawn.fills_l[move.old.text], drawn.ball, kept)
            self._balls[key] = estimate(usual, draws)
        return self._balls[key]
