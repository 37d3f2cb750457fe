"""Every mix of a plan in every container that it goes into; how to measure a mix at home.

One pair of mix and container is worked out once, however many plants it is for.
Refreshed pots count as filled with the new mix, since nobody knows the old.
Beds are left out: they stand on soil and do not drain like a pot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property, partial
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.spread import Spread
from rootroom.catalogue.uses import Band, Use, use_of
from rootroom.containers.container import Container
from rootroom.pot.blend import PotWater, likely_pores
from rootroom.pot.lifting import PotLift, lift_of_pot, reach_width_m
from rootroom.pot.mixture import MixFigures, figures_of_mixes, water_with_part
from rootroom.pot.verdict import Remedy, Verdict, judge, remedies
from rootroom.pot.weight import (
    FloorLoad,
    PotWeight,
    bag_weight,
    fill_shape,
    floor_load,
    pot_weight,
    turned_density,
)

if TYPE_CHECKING:
    from rootroom.plan.entries import Supply
    from rootroom.plan.model import Move, Plan, PlantKind
    from rootroom.units import System


@frozen
class Pair:
    """One mix in one container, filled and drained.

    `water` is None where the container's height or the mix is not known, `weight` where the mix's
    density or water is not; `why_not` says which in words, and how to mend it.
    """

    mix: str
    container: Container
    water: PotWater | None
    weight: PotWeight | None
    why_not: str = ""

    @property
    def name(self) -> str:
        """Container and mix in words."""
        return f"{self.container.text}, {self.mix}"


@frozen
class MovedPot:
    """What one move of a kind of plants does: pots of a pair, how they are judged and lifted.

    `names` are the plants, `plants` and `pots` their numbers together; `lift` is of one pot from
    the ground to a bench, None where its weight or size is not known.
    """

    names: tuple[str, ...]
    number: int
    plants: int
    pots: int
    pair: Pair
    verdict: Verdict | None
    lift: PotLift | None
    floor: FloorLoad | None


@frozen
class PotReport:
    """All pairs and moves of a plan, in the order of the file.

    `bags` are the weights [kg] of one package by the number of its supply, `vessels_kg` those of
    the filled vessel [kg] by mix, of mix as it is turned.
    """

    file: str
    mixes: Mapping[str, MixFigures]
    pairs: tuple[Pair, ...]
    moves: tuple[MovedPot, ...]
    bags: tuple[tuple[Supply, Spread], ...]
    vessel_l: float
    vessels_kg: Mapping[str, Spread]


class PotFigures:
    """Water and weight of the mixes of a plan in its containers, each worked out once.

    Sessions ask it for the weight of what is moved.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan

    @cached_property
    def mixes(self) -> dict[str, MixFigures]:
        """What is known of each mix."""
        return figures_of_mixes(self._plan)

    @cached_property
    def _filled(self) -> dict[str, dict[str, Container]]:
        """The containers that each mix goes into, by text."""
        wanted: dict[str, dict[str, Container]] = {}
        for kind in self._plan.plants.kinds:
            for move in kind.moves:
                if move.mix is not None and move.new is not None and move.new.holds:
                    wanted.setdefault(move.mix, {}).setdefault(move.new.text, move.new)
        return wanted

    @cached_property
    def pairs(self) -> dict[tuple[str, str], Pair]:
        """Every pair of mix and container text that a move of the plan fills."""
        found = {}
        for mix, containers in self._filled.items():
            for pair in _pairs(self.mixes[mix], tuple(containers.values())):
                found[mix, pair.container.text] = pair
        return found

    @cached_property
    def _likely_kg(self) -> dict[tuple[str, str], float | None]:
        found: dict[tuple[str, str], float | None] = {}
        for mix, containers in self._filled.items():
            boxes = tuple(containers.values())
            weights = _likely_weights(self.mixes[mix], boxes)
            found.update({(mix, box.text): kg for box, kg in zip(boxes, weights, strict=True)})
        return found

    def drained_kg(self, mix: str | None, container: Container | None) -> float | None:
        """Return the likely weight [kg] of one filled, drained container (of a tray: one cell).

        None where the mix or its figures are not known.
        """
        if mix not in self.mixes or container is None:
            return None
        key = (mix, container.text)
        if key not in self._likely_kg:
            self._likely_kg[key] = _likely_weights(self.mixes[mix], (container,))[0]
        return self._likely_kg[key]


def _likely_weights(figures: MixFigures, containers: tuple[Container, ...]) -> list[float | None]:
    """Return the likely drained weight [kg] of each, without the draws behind a range."""
    if figures.water is None or figures.dry_kg_per_m3 is None:
        return [None] * len(containers)
    filled = [fill_shape(one) for one in containers]
    pores = likely_pores(
        figures.water, [one for one, _, _ in filled], [fill for _, fill, _ in filled]
    )
    dry = figures.dry_kg_per_m3.likely / 1000
    weights: list[float | None] = []
    for container, (_, water) in zip(containers, pores, strict=True):
        pot = 0.0 if container.weight_kg is None else container.weight_kg.likely
        weights.append(pot / container.cells + container.fill_l.likely * (dry + water))
    return weights


def _pairs(figures: MixFigures, containers: tuple[Container, ...]) -> list[Pair]:
    """Return a mix in each of some containers."""
    if figures.water is None:
        why = f"{figures.name}: {figures.words}; measure it and write `measured` under the mix"
        return [Pair(figures.name, one, None, None, why) for one in containers]
    filled = [fill_shape(one) for one in containers]
    waters = figures.water.in_pots([one for one, _, _ in filled], [fill for _, fill, _ in filled])
    found = []
    for container, (_, _, known), water in zip(containers, filled, waters, strict=True):
        dry = figures.dry_kg_per_m3
        weight = None if dry is None else pot_weight(container, dry, water)
        why = "" if dry is not None else f"{figures.name}: nobody knows its dry density"
        if not known:
            why = (
                f"{container.text}: water and air depend on the height, which a volume does not "
                "tell; give the container's sizes under `[containers]`"
            )
        found.append(Pair(figures.name, container, water if known else None, weight, why))
    return found


def report_pots(plan: Plan) -> PotReport:
    """Return water, air, weight and lifts for every move of a plan that fills a container."""
    figures = PotFigures(plan)
    bags = [(supply, bag_weight(plan, supply)) for supply in plan.supplies]
    vessels = {name: turned_density(plan, name) for name in plan.mixes}
    return PotReport(
        file=plan.file,
        mixes=figures.mixes,
        pairs=tuple(figures.pairs.values()),
        moves=_moved_pots(plan, figures),
        bags=tuple((supply, weight) for supply, weight in bags if weight is not None),
        vessel_l=plan.work.vessel_l,
        vessels_kg={
            name: density.map(lambda dense: dense * plan.work.vessel_l / 1000)
            for name, density in vessels.items()
            if density is not None
        },
    )


def _moved_pots(plan: Plan, figures: PotFigures) -> tuple[MovedPot, ...]:
    """Return the pots of every move, but those filled further: they were told of when begun."""
    names, counts = _rows(plan)
    moved = []
    judged: dict[tuple[str, str, str], Verdict | None] = {}
    for number, kind in enumerate(plan.plants.kinds):
        plants_after = [kind.counts(count) for count in counts[number]]
        for index, move in enumerate(kind.moves):
            if move.mix is None or move.new is None or not move.new.holds or move.begun:
                continue
            pair = figures.pairs[move.mix, move.new.text]
            key = (move.mix, move.new.text, _use(kind, move).name)
            if key not in judged:
                judged[key] = _verdict(plan, figures.mixes, pair, _use(kind, move))
            plants = [after[index] for after in plants_after]
            pots = sum(move.pots(count) for count in plants)
            last = index == len(kind.moves) - 1
            moved.append(
                MovedPot(
                    names=tuple(names[number]),
                    number=move.number,
                    plants=sum(plants),
                    pots=pots,
                    pair=pair,
                    verdict=judged[key],
                    lift=_lift(plan, move, pair),
                    floor=_floor(pair, pots, kind.stands_m2 if last else None),
                )
            )
    return tuple(moved)


def _rows(plan: Plan) -> tuple[list[list[str]], list[list[int]]]:
    """Return the names and the counts of the groups of each kind."""
    names: list[list[str]] = [[] for _ in plan.plants.kinds]
    counts: list[list[int]] = [[] for _ in plan.plants.kinds]
    rows = zip(plan.plants.names, plan.plants.counts, plan.plants.kind_of, strict=True)
    for name, count, kind in rows:
        names[kind].append(name)
        counts[kind].append(count)
    return names, counts


def _use(kind: PlantKind, move: Move) -> Use:
    """Return what a move's plants are grown for; what stands in a cell is a seedling yet."""
    assert move.new is not None
    return use_of("seedling" if move.new.cells > 1 else kind.crop)


def _verdict(plan: Plan, mixes: Mapping[str, MixFigures], pair: Pair, use: Use) -> Verdict | None:
    figures = mixes[pair.mix]
    if figures.water is None:
        return None
    shape, fill, known = fill_shape(pair.container)
    parts = plan.mixes[pair.mix].parts
    with_part = partial(water_with_part, plan, mixes, pair.mix)

    def changes(band: Band) -> tuple[Remedy, ...]:
        return remedies(
            figures, band, shape, fill, with_part, parts=parts, system=plan.garden.system
        )

    return judge(figures, use, pair.water if known else None, changes=changes)


def _lift(plan: Plan, move: Move, pair: Pair) -> PotLift | None:
    """Return the lift of one drained pot from the ground to a bench; a cell is not lifted."""
    container = pair.container
    if pair.weight is None or container.cells > 1:
        return None
    width, height = reach_width_m(container), container.height_m
    if width is None or height is None:
        return None
    return lift_of_pot(
        weight_kg=pair.weight.drained.likely,
        width_m=width,
        height_m=height,
        system=plan.garden.system,
        people=move.people,
        refreshed=move.refresh is not None,
    )


def _floor(pair: Pair, pots: int, stands_m2: float | None) -> FloorLoad | None:
    """Return the load of saturated pots, the heaviest that they get; None without a weight."""
    container = pair.container
    if pair.weight is None or container.cells > 1:
        return None
    weight: Spread = pair.weight.saturated
    return floor_load(weight, footprint_m2=container.footprint_m2, count=pots, stands_m2=stands_m2)


# Air is what drains out, over the volume filled; the pores are what went in, over the same
# (definitions of the laboratory porometer, Int. J. Agronomy 2012, table 1).
@frozen
class TestStep:
    """One step: what to do, and which key of `measured` it gives (none for most)."""

    text: str
    key: str = ""


STEPS = (
    TestStep(
        "Take a pot with holes, straight-walled if you have one, about as deep as those you will "
        "fill. Tape the holes shut."
    ),
    TestStep(
        "Mark the fill line. Measure how much water the empty pot takes up to it.",
        "volume",
    ),
    TestStep("Measure from the bottom up to the line.", "height"),
    TestStep(
        "Empty it, fill it to the line with mix as you fill pots, and knock it down twice. "
        "Top up to the line; do not press."
    ),
    TestStep(
        "Pour in measured water slowly, at the side, until it stands at the line; wait ten "
        "minutes and top up. If the mix went in dry (left open for days, light in the hand), all "
        "the water together fills its pores; if it went in moist, leave this figure out.",
        "poured",
    ),
    TestStep(
        "Set the pot over a bowl, pull the tape, and let it drain until no drop falls, half an "
        "hour or so. Measure the water in the bowl.",
        "drained",
    ),
    TestStep("Do it three times and take the middle figures. Then wash your hands."),
)


EXAMPLES = {
    "us": 'volume = "12 cups", height = "7 in", poured = "9 cups", drained = "2 cups"',
    "metric": 'volume = "3 L", height = "18 cm", poured = "2.3 L", drained = "0.5 L"',
}


def plan_line(system: System, mix: str = "allround") -> str:
    """Return an example of the lines to write into a plan; its figures are invented."""
    return f"[mixes.{mix}]\nmeasured = {{ {EXAMPLES[system]} }}"
