"""What a plan asks for, added up by what is equal, and the values that it is worked out with.

`Values` holds one value of every factor, or one array of draws of every factor; all sums of the
demand are functions of a `Workload` and of `Values`, so likely figures and draws share one code.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import TYPE_CHECKING, Generic

from attrs import evolve, frozen

from rootroom.demand.draws import Draws, Streams
from rootroom.demand.moves import MoveLoad, Pairs, move_loads
from rootroom.demand.recipes import Recipes
from rootroom.demand.room import Load, Number, Room
from rootroom.formulas import bed_l, loose_l

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.containers.container import Container
    from rootroom.plan.entries import Bed
    from rootroom.plan.model import Plan


@frozen
class Factor:
    """One figure that nobody knows exactly: its `name` is the name of its stream of draws.

    `kind` is packing, spill, ball, fill (of a container), shrink (of a mix) or settles (of a bed);
    `of` names the container, mix or bed.
    """

    kind: str
    of: str
    spread: Spread

    @property
    def name(self) -> str:
        """The name that seeds its draws."""
        return f"{self.kind} of {self.of}" if self.of else self.kind


@frozen(eq=False)
class Values(Generic[Number]):
    """One value, or one array of draws, of every factor; fills by container text [L]."""

    packing: Number
    spill: Number
    ball: Number
    fills_l: Mapping[str, Number]
    loose: Mapping[str, Number]
    settles: Mapping[str, Number]


@frozen
class BedLayer:
    """One layer of one bed: `settled_l` [L] once settled; some are laid to their depth as it is."""

    bed: str
    of: str
    settled_l: float
    settles: bool

    def litres(self, values: Values[Number]) -> Number:
        """Return the loose litres to bring; what does not settle is its plain volume."""
        if self.settles:
            settles = values.settles[self.bed]
            return bed_l(self.settled_l + 0 * settles, settles, values.spill)
        return self.settled_l + 0 * values.spill


def bed_layers(bed: Bed, mixes: Collection[str]) -> list[BedLayer]:
    """Return the layers of a bed from below, with their volumes once settled [L]."""
    return [
        BedLayer(bed.name, layer.of, bed.layer_l(number), bed.lets_settle(number, mixes))
        for number, layer in enumerate(bed.layers, 1)
    ]


@frozen(eq=False)
class Workload:
    """A plan added up: pots by mix and room, layers of beds, recipes, and the factors that count.

    `loads` are the moves of each kind, `containers` all that stand in some room by their text.
    """

    pairs: Pairs
    loads: list[list[MoveLoad]]
    rooms: Mapping[str, Mapping[Room, Load]]
    layers: tuple[BedLayer, ...]
    recipes: Recipes
    containers: Mapping[str, Container]
    factors: tuple[Factor, ...]

    @classmethod
    def of(cls, plan: Plan) -> Workload:
        """Add up a plan."""
        pairs = Pairs.of(plan.plants)
        loads = move_loads(plan.plants, pairs)
        rooms: dict[str, dict[Room, Load]] = {}
        for load in (load for kind in loads for load in kind):
            if load.room is not None and load.move.mix is not None:
                total = rooms.setdefault(load.move.mix, {}).setdefault(load.room, {})
                for balls, number in load.total.items():
                    total[balls] = total.get(balls, 0) + number
        # Sums of floats depend on their order, so the order must not be the plan's.
        ordered = {mix: dict(sorted(rooms[mix].items(), key=_room_key)) for mix in sorted(rooms)}
        layers = tuple(layer for bed in plan.beds for layer in bed_layers(bed, plan.mixes))
        recipes = Recipes.of(plan.mixes)
        containers = _containers(loads)
        factors = _factors(plan, containers)
        return cls(pairs, loads, ordered, layers, recipes, containers, factors)

    def direct_l(self, values: Values[Number]) -> dict[str, Number]:
        """Return the finished litres of each mix that plants and beds use themselves."""
        return self.direct_from({mix: self.places_l(mix, values) for mix in self.rooms}, values)

    def direct_from(
        self, places_l: Mapping[str, Number], values: Values[Number]
    ) -> dict[str, Number]:
        """Return the same from the places [L] in all pots of each mix."""
        direct = {
            mix: loose_l(place, values.packing, values.spill) for mix, place in places_l.items()
        }
        return self._with_layers(direct, values, mixed=True)

    def unmixed_l(self, values: Values[Number]) -> dict[str, Number]:
        """Return the loose litres of each ingredient that beds take by itself."""
        return self._with_layers({}, values, mixed=False)

    def places_l(self, mix: str, values: Values[Number]) -> Number:
        """Return the place [L] in all pots that take a mix."""
        total = 0 * values.ball
        for room, load in self.rooms[mix].items():
            total = total + room.total_l(values.fills_l, values.ball, load)
        return total

    def _with_layers(
        self, totals: dict[str, Number], values: Values[Number], *, mixed: bool
    ) -> dict[str, Number]:
        for layer in sorted(self.layers, key=lambda layer: (layer.of, layer.bed, layer.settled_l)):
            if (layer.of in self.recipes.mixes) == mixed:
                litres = layer.litres(values)
                totals[layer.of] = totals[layer.of] + litres if layer.of in totals else litres
        return totals


def likely_values(work: Workload) -> Values[float]:
    """Return the likely value of every factor."""
    return _values(work, lambda factor: factor.spread.likely)


def drawn_values(work: Workload, streams: Streams) -> Values[Draws]:
    """Return the draws of every factor."""
    return _values(work, lambda factor: streams.draw(factor.name, factor.spread))


def with_known(values: Values[Draws], factor: Factor, recipes: Recipes) -> Values[Draws]:
    """Return the draws with one factor known: at its likely value in every draw."""
    known = 0 * values.packing + factor.spread.likely
    if factor.kind == "fill":
        return evolve(values, fills_l={**values.fills_l, factor.of: known})
    if factor.kind == "shrink":
        loose = recipes.mixes[factor.of].loose_per_l(known)
        return evolve(values, loose={**values.loose, factor.of: loose})
    if factor.kind == "settles":
        return evolve(values, settles={**values.settles, factor.of: known})
    if factor.kind == "packing":
        return evolve(values, packing=known)
    return evolve(values, spill=known) if factor.kind == "spill" else evolve(values, ball=known)


def _values(work: Workload, value: Callable[[Factor], Number]) -> Values[Number]:
    found = {factor.name: value(factor) for factor in work.factors}
    by_kind: dict[str, dict[str, Number]] = {"fill": {}, "shrink": {}, "settles": {}}
    for factor in work.factors:
        by_kind.setdefault(factor.kind, {})[factor.of] = found[factor.name]
    mixes = work.recipes.mixes
    return Values(
        packing=found["packing"],
        spill=found["spill"],
        ball=found["ball"],
        fills_l=by_kind["fill"],
        loose={mix: mixes[mix].loose_per_l(shrink) for mix, shrink in by_kind["shrink"].items()},
        settles=by_kind["settles"],
    )


def _room_key(item: tuple[Room, Load]) -> tuple[object, ...]:
    room = item[0]
    return (room.new, room.old or "", room.kept, room.per_pot, room.renewed or 0.0, room.filled)


def _containers(loads: list[list[MoveLoad]]) -> dict[str, Container]:
    containers: dict[str, Container] = {}
    for load in (load for kind in loads for load in kind):
        for container in (load.move.old, load.move.new):
            if container is not None:
                containers[container.text] = container
    return containers


def _factors(plan: Plan, containers: Mapping[str, Container]) -> tuple[Factor, ...]:
    shared = plan.factors
    return (
        Factor("packing", "", shared.packing),
        Factor("spill", "", shared.spill),
        Factor("ball", "", shared.ball),
        *(Factor("fill", text, containers[text].fill_l) for text in sorted(containers)),
        *(Factor("shrink", mix, plan.mixes[mix].shrink) for mix in sorted(plan.mixes)),
        *(Factor("settles", bed.name, bed.settles) for bed in plan.beds),
    )
