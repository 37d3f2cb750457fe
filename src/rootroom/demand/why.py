"""Every number behind the demand of one plant or bed, with formula, factor and source.

Each figure's `numbers` are those of its formula in the grower's own units, so that a doubter can
redo it by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.ingredients import factor_row
from rootroom.demand.fill_formula import fill_formula
from rootroom.plan.names import shown, suggest
from rootroom.problems import TextError
from rootroom.units.showing import (
    AREA,
    DEPTH,
    PLAIN,
    VOLUMES,
    OwnUnit,
    bridge,
    given_unit,
    in_units,
    pot_unit,
    whole_unit,
)

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.containers.container import Container
    from rootroom.demand.estimates import Estimate, MoveDemand
    from rootroom.demand.find import Demand
    from rootroom.demand.moves import MoveColumns
    from rootroom.plan.entries import Bed
    from rootroom.plan.model import Mix, Move, Plan
    from rootroom.units import Rate, System

# Rows of one name in a long list; the others follow the same formulas.
MOST_ROWS = 5


@frozen
class Figure:
    """One number, its formula in words and in numbers, and where it comes from.

    `value` is in the base unit [L, kg, m2, m or one], the numbers in the grower's own `unit`.
    `drawn` is its 10th and 90th percentile, `spread` the least and most that a factor is drawn
    between; `source` is empty for what only follows from the figures before.
    """

    name: str
    value: float
    unit: OwnUnit = PLAIN
    formula: str = ""
    numbers: str = ""
    drawn: Estimate | None = None
    spread: Spread | None = None
    source: str = ""


@frozen
class Passage:
    """The figures of one move, bed layer or mix, in the order in which they are worked out."""

    title: str
    figures: tuple[Figure, ...]


@frozen
class Explanation:
    """All passages for one name; `left_out` counts rows of the same name beyond the first few.

    `ends` names what each move or layer takes in the end [L].
    """

    name: str
    passages: tuple[Passage, ...]
    left_out: int = 0
    ends: tuple[tuple[str, Estimate], ...] = ()


def why(plan: Plan, demand: Demand, name: str) -> Explanation:
    """Explain the demand of the plants, or else of the bed, of this name.

    Raises TextError for a name that the plan does not have.
    """
    rows = [row for row, plant in enumerate(plan.plants.names) if plant == name]
    passages: list[Passage] = []
    ends: list[tuple[str, Estimate]] = []
    for row in rows[:MOST_ROWS]:
        for number, found in enumerate(demand.moves.of_row(row)):
            kind = demand.moves.kinds[int(demand.moves.kind_of[row])]
            columns = kind.moves[number]
            pots = columns.pots[int(demand.moves.place_of[row])]
            passages.append(_move(plan, found, columns, pots))
            if found.mix is not None and found.mix_l.likely > 0:
                ends.append((f"{found.mix} for move {found.move}", found.mix_l))
                passages += _parts(plan, plan.mixes[found.mix], found.mix_l.likely)
    if not rows:
        for bed in plan.beds:
            if bed.name == name:
                passages += _bed(plan, demand, bed)
                ends += [(row.of, row.litres) for row in demand.beds if row.bed == name]
    if not rows and not passages:
        raise _unknown(plan, name)
    return Explanation(name, tuple(passages), max(len(rows) - MOST_ROWS, 0), tuple(ends))


def _unknown(plan: Plan, name: str) -> TextError:
    names = [*dict.fromkeys(plan.plants.names), *(bed.name for bed in plan.beds)]
    hint = suggest(name, names, "names are those of the plan's plants and beds")
    message = f"no plant or bed has this name: `{shown(name)}`"
    return TextError(message, code="unknown-name", hint=hint)


# Moves


def _move(plan: Plan, found: MoveDemand, columns: MoveColumns, pots: int) -> Passage:
    move = columns.move
    stays = "filled further in" if move.begun else "refreshed in"
    where = stays if move.refresh is not None else f"{found.old} to"
    plants = "1 plant" if found.count == 1 else f"{found.count} plants"
    title = f"{found.plant}, move {found.move}: {plants}, {where} {found.new}"
    return Passage(title, tuple(_move_figures(plan, found, move, pots)))


def _move_figures(plan: Plan, found: MoveDemand, move: Move, pots: int) -> Iterator[Figure]:
    system = plan.garden.system
    if found.mix is None or move.new is None:
        no_mix = "it leaves its pot for a place that takes no mix"
        unit = whole_unit(0.0, system)
        yield Figure("mix", 0.0, unit, "it is carried in its pot" if move.carried else no_mix)
        return
    factors, unit = plan.factors, pot_unit(found.fill_l.likely, system)
    yield _fill(move.new, unit, system, found.fill_l)
    if not move.begun and move.refresh is not None:
        yield from _renewed(found, move.refresh, unit)
    elif not move.begun:
        yield from _ball(plan, found, move, unit)
    place = _place(found, move, unit)
    yield place
    yield _factor("packing", factors.packing, "loose volume over the volume in the pot")
    yield _factor("spill", factors.spill, "share lost on the bench and the ground")
    packing, spill = factors.packing.likely, factors.spill.likely
    yield Figure(
        "mix for a pot", place.value * packing * (1 + spill), unit,
        "place x packing x (1 + spill)",
        f"{in_units(place.value, unit)} x {packing:g} x {1 + spill:g}",
    )  # fmt: skip
    yield Figure("pots", pots, formula=_pots_formula(move), numbers=_pots_numbers(found, move))
    yield _whole(found, move, pots, place.value, packing * (1 + spill), system)


def _place(found: MoveDemand, move: Move, unit: OwnUnit) -> Figure:
    """Return the room for mix in a pot."""
    fill_l = found.fill_l.likely
    if move.begun:
        return Figure(
            "place in a pot", fill_l * (move.filled - move.begun), unit,
            "fill x (share filled - share in before)",
            f"{in_units(fill_l, unit)} x ({move.filled:.6g} - {move.begun:.6g})",
        )  # fmt: skip
    fill_l *= move.filled
    balls_l = _balls_l(found, move)
    part = "" if move.filled == 1 else " x share filled"
    return Figure(
        "place in a pot", fill_l - balls_l, unit, f"fill{part} less the balls in it",
        f"{in_units(fill_l, unit)} - {in_units(balls_l, unit)}",
    )  # fmt: skip


def _balls_l(found: MoveDemand, move: Move) -> float:
    shared = 1 if move.refresh is not None else min(move.per_pot, found.count)
    return shared * found.ball_l.likely


def _whole(
    found: MoveDemand, move: Move, pots: int, place_l: float, loose: float, system: System
) -> Figure:
    """Return the mix for all pots, which do not all take the same number of balls."""
    fill_l = found.fill_l.likely
    one, whole = pot_unit(fill_l, system), whole_unit(found.mix_l.likely, system)
    words, number = bridge(one, whole)
    alike = move.refresh is not None or found.count == pots * move.per_pot
    if alike or found.ball_l.likely == 0:
        formula, numbers = "mix for a pot x pots", f"{in_units(place_l * loose, one)} x {pots}"
    else:
        formula = "(pots x fill - plants x ball) x packing x (1 + spill)"
        ball, fill = in_units(found.ball_l.likely, one), in_units(fill_l * move.filled, one)
        numbers = f"({pots} x {fill} - {found.count} x {ball}) x {loose:.6g}"
    return Figure(
        "mix", found.mix_l.likely, whole, formula + words, numbers + number, drawn=found.mix_l
    )


def _ball(plan: Plan, found: MoveDemand, move: Move, unit: OwnUnit) -> Iterator[Figure]:
    ball_l = found.ball_l.likely
    if ball_l == 0:
        yield Figure("ball of a plant", 0.0, unit, f"{found.old}: nothing comes along")
        return
    yield _fill(move.old, unit, plan.garden.system, None)
    yield _factor("ball", plan.factors.ball, "a lifted ball over the fill of its pot")
    formula, numbers = "fill of the old pot x ball", in_units(move.old.fill_l.likely, unit)
    numbers += f" x {plan.factors.ball.likely:g}"
    if move.old_filled != 1:
        formula, numbers = f"{formula} x share filled", f"{numbers} x {move.old_filled:.6g}"
    if move.keep_share != 1:
        formula, numbers = f"{formula} x share kept", f"{numbers} x {move.keep_share:g}"
    if move.into > 1:
        formula, numbers = f"{formula} / plants that it is divided into", f"{numbers} / {move.into}"
    if move.shared > 1:
        formula, numbers = f"{formula} / plants that share it", f"{numbers} / {move.shared}"
    yield Figure("ball of a plant", ball_l, unit, formula, numbers, drawn=found.ball_l)


def _renewed(found: MoveDemand, share: float, unit: OwnUnit) -> Iterator[Figure]:
    yield Figure("share renewed", share, source="the plan's own")
    yield Figure(
        "ball that stays", found.ball_l.likely, unit, "fill x (1 - share renewed)",
        f"{in_units(found.fill_l.likely, unit)} x {1 - share:.6g}", drawn=found.ball_l,
    )  # fmt: skip


def _pots_formula(move: Move) -> str:
    cells = move.cells
    shared = f"plants / {move.per_pot}, rounded up" if move.per_pot > 1 else "one for each plant"
    whole = "packs" if move.to is not None and move.to.kind == "pack" else "trays"
    return f"{shared}, then whole {whole} of {cells} cells" if cells > 1 else shared


def _pots_numbers(found: MoveDemand, move: Move) -> str:
    return f"{found.count} / {move.per_pot}" if move.per_pot > 1 else ""


def _factor(name: str, spread: Spread, formula: str) -> Figure:
    row = factor_row(name)
    shipped = spread == row.spread
    source = f"{row.source} (grade {row.grade})" if shipped else "the plan's own"
    return Figure(name, spread.likely, formula=formula, spread=spread, source=source)


# Containers


def _fill(container: Container, unit: OwnUnit, system: System, drawn: Estimate | None) -> Figure:
    formula, numbers = fill_formula(container, unit, system)
    graded = container.grade not in ("", "own")
    source = f"{container.source} (grade {container.grade})" if graded else container.source
    return Figure(
        f"fill of {container.text}", container.fill_l.likely, unit, formula, numbers, drawn,
        spread=container.fill_l, source="; ".join(filter(None, (source, container.note))),
    )  # fmt: skip


# Beds and mixes


def _bed(plan: Plan, demand: Demand, bed: Bed) -> Iterator[Passage]:
    others = [layer for layer in bed.layers if layer.depth_m is not None]
    rest_m = bed.depth_m - bed.already_m - sum(layer.depth_m or 0.0 for layer in others)
    rows = [row for row in demand.beds if row.bed == bed.name]
    system = plan.garden.system
    area, inch = AREA[system], DEPTH[system]
    for layer, row in zip(bed.layers, rows, strict=True):
        figures = [Figure("area", bed.area_m2, area, "of its inside", bed.shape_text)]
        if layer.depth_m is not None and layer.of not in plan.mixes:
            formula, numbers = _area_by_depth(bed, layer.depth_m, system)
            formula += " of the layer, which neither settles nor is spilled"
            litres, unit = row.litres, bed_unit(system)
            figures.append(Figure("volume", litres.likely, unit, formula, numbers, drawn=litres))
        else:
            if layer.depth_m is not None:
                depth = Figure(
                    "depth to fill", layer.depth_m, inch, "of the layer", source="the plan's own"
                )
                figures.append(depth)
            else:
                figures.append(_rest(bed, rest_m, len(others), inch))
            figures += _settled(plan, bed, row.litres, layer.depth_m or rest_m)
        yield Passage(f"{bed.name}: {layer.of}", tuple(figures))
        if layer.of in plan.mixes:
            yield from _parts(plan, plan.mixes[layer.of], row.litres.likely)


def bed_unit(system: System) -> OwnUnit:
    """Return what a bed is measured in, however small it is: its area is in feet or metres."""
    return VOLUMES["cu ft" if system == "us" else "L"]


def _area_by_depth(bed: Bed, depth_m: float, system: System) -> tuple[str, str]:
    """Return area x depth as a volume: in sq ft and in over 12, or in m2 and cm times 10."""
    numbers = f"{in_units(bed.area_m2, AREA[system])} x {in_units(depth_m, DEPTH[system])}"
    scale = " / 12" if system == "us" else " x 10"
    return f"area x depth{scale}", f"{numbers}{scale}"


def _rest(bed: Bed, rest_m: float, others: int, inch: OwnUnit) -> Figure:
    what = "depth - already" + (" - other layers" if others else "")
    depths = f"{in_units(bed.depth_m, inch)} - {in_units(bed.already_m, inch)}"
    if others:
        depths += f" - {in_units(bed.depth_m - bed.already_m - rest_m, inch)}"
    return Figure("depth to fill", rest_m, inch, what, depths, source="the plan's own")


def _settled(plan: Plan, bed: Bed, litres: Estimate, depth_m: float) -> Iterator[Figure]:
    row = factor_row("settles")
    shipped = bed.settles == row.spread
    yield Figure(
        "settles", bed.settles.likely, formula="share of the height lost", spread=bed.settles,
        source=f"{row.source} (grade {row.grade})" if shipped else "the plan's own",
    )  # fmt: skip
    yield _factor("spill", plan.factors.spill, "share lost on the ground")
    settles, spill, system = bed.settles.likely, plan.factors.spill.likely, plan.garden.system
    formula, numbers = _area_by_depth(bed, depth_m, system)
    yield Figure(
        "volume", litres.likely, bed_unit(system), f"{formula} / (1 - settles) x (1 + spill)",
        f"{numbers} / {1 - settles:g} x {1 + spill:g}", drawn=litres,
    )  # fmt: skip


def _parts(plan: Plan, mix: Mix, litres: float) -> Iterator[Passage]:
    """Yield what so much of a mix [L] is made of, and of the mixes in it."""
    if not mix.is_blended:
        return
    unit = whole_unit(litres, plan.garden.system)
    figures = [Figure(f"finished {mix.name}", litres, unit, "as above")]
    loose = mix.loose_per_l(mix.shrink.likely)
    finished = in_units(litres, unit)
    if mix.loses_volume:
        lost = "share of the volume lost in blending"
        source = _shrink_source(plan, mix)
        figures.append(
            Figure("shrink", mix.shrink.likely, formula=lost, spread=mix.shrink, source=source)
        )
        formula, numbers = "finished / (1 - shrink)", f"{finished} / {1 - mix.shrink.likely:g}"
    else:
        formula, numbers = "one part alone loses nothing", finished
    figures.append(Figure("loose parts", litres * loose, unit, formula, numbers))
    whole = float(sum(mix.parts.values()))
    for part, share in mix.shares.items():
        numbers = f"{in_units(litres * loose, unit)} x {float(mix.parts[part]):g} / {whole:g}"
        amount = litres * loose * share
        figures.append(Figure(part, amount, unit, "loose x part / sum of parts", numbers))
    system = plan.garden.system
    figures += [_added(name, rate, litres, unit, system) for name, rate in mix.add.items()]
    yield Passage(f"mix `{mix.name}`", tuple(figures))
    for part, share in mix.shares.items():
        if part in plan.mixes:
            yield from _parts(plan, plan.mixes[part], litres * loose * share)


def _added(name: str, rate: Rate, litres: float, mix: OwnUnit, system: System) -> Figure:
    """Return how much of an addition goes into so much of a mix [L], told in the unit `mix`."""
    kind = "L" if rate.kg_per_l is None else "kg"
    a_litre = (rate.l_per_l or 0.0) if rate.kg_per_l is None else rate.kg_per_l
    unit, of = given_unit(a_litre * litres, kind, system)
    words, number = bridge(mix, of)
    return Figure(
        name, a_litre * litres, unit, f"rate [{unit.name}/{of.name}] x finished mix{words}",
        f"{a_litre * of.size / unit.size:.6g} x {in_units(litres, mix)}{number}",
    )  # fmt: skip


def _shrink_source(plan: Plan, mix: Mix) -> str:
    inside = "; a mix inside it counts as fine" if any(p in plan.mixes for p in mix.parts) else ""
    for name in ("shrink_like", "shrink_unlike"):
        row = factor_row(name)
        if mix.shrink == row.spread:
            return f"{row.source} (grade {row.grade}){inside}"
    return "the plan's own"
