"""Every number behind the demand of one plant or bed, with formula, factor and source.

Each figure's `numbers` are those of its formula, so that a doubter can redo it by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import pi
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.catalogue.factors import factor_row
from rootroom.containers.shapes import Box, Cone, Cylinder, HalfBarrel, Pyramid
from rootroom.plan.names import shown, suggest
from rootroom.problems import TextError

if TYPE_CHECKING:
    from rootroom.catalogue.spread import Spread
    from rootroom.containers.container import Container
    from rootroom.demand.estimates import Demand, Estimate, MoveDemand
    from rootroom.demand.moves import MoveColumns
    from rootroom.plan.bed import Bed
    from rootroom.plan.model import Mix, Move, Plan

# Rows of one name in a long list; the others follow the same formulas.
MOST_ROWS = 5


@frozen
class Figure:
    """One number: `value` in `unit`, its formula in words and in numbers, and where it comes from.

    `drawn` is its 10th and 90th percentile, `spread` the least and most that a factor is drawn
    between; `source` is empty for what only follows from the figures before.
    """

    name: str
    value: float
    unit: str
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
    if found.mix is None or move.new is None:
        no_mix = "it leaves its pot for a place that takes no mix"
        yield Figure("mix", 0.0, "L", "it is carried in its pot" if move.carried else no_mix)
        return
    factors = plan.factors
    yield _fill(move.new, found.fill_l)
    fill_l, balls_l = found.fill_l.likely, _balls_l(found, move)
    if move.begun:
        share = move.filled - move.begun
        place_l = fill_l * share
        yield Figure(
            "place in a pot", place_l, "L", "fill x (share filled - share in before)",
            f"{fill_l:.5f} x ({move.filled:.6g} - {move.begun:.6g})",
        )  # fmt: skip
    else:
        if move.refresh is not None:
            yield from _renewed(found, move.refresh)
        else:
            yield from _ball(plan, found, move)
        fill_l *= move.filled
        place_l = fill_l - balls_l
        part = "" if move.filled == 1 else " x share filled"
        yield Figure(
            "place in a pot", place_l, "L", f"fill{part} less the balls in it",
            f"{fill_l:.5f} - {balls_l:.5f}",
        )  # fmt: skip
    yield _factor("packing", factors.packing, "loose litres for a litre in the pot")
    yield _factor("spill", factors.spill, "share lost on the bench and the ground")
    packing, spill = factors.packing.likely, factors.spill.likely
    pot_l = place_l * packing * (1 + spill)
    yield Figure(
        "mix for a pot", pot_l, "L", "place x packing x (1 + spill)",
        f"{place_l:.5f} x {packing:g} x {1 + spill:g}",
    )  # fmt: skip
    yield Figure("pots", pots, "", _pots_formula(move), _pots_numbers(found, move))
    yield _whole(found, move, pots, fill_l, place_l, packing * (1 + spill))


def _balls_l(found: MoveDemand, move: Move) -> float:
    shared = 1 if move.refresh is not None else min(move.per_pot, found.count)
    return shared * found.ball_l.likely


def _whole(
    found: MoveDemand, move: Move, pots: int, fill_l: float, place_l: float, loose: float
) -> Figure:
    """Return the mix for all pots, which do not all take the same number of balls."""
    alike = move.refresh is not None or found.count == pots * move.per_pot
    if alike or found.ball_l.likely == 0:
        formula, numbers = "mix for a pot x pots", f"{place_l * loose:.5f} x {pots}"
    else:
        formula = "(pots x fill - plants x ball) x packing x (1 + spill)"
        ball_l = found.ball_l.likely
        numbers = f"({pots} x {fill_l:.5f} - {found.count} x {ball_l:.5f}) x {loose:.6g}"
    return Figure("mix", found.mix_l.likely, "L", formula, numbers, drawn=found.mix_l)


def _ball(plan: Plan, found: MoveDemand, move: Move) -> Iterator[Figure]:
    ball_l = found.ball_l.likely
    if ball_l == 0:
        yield Figure("ball of a plant", 0.0, "L", f"{found.old}: nothing comes along")
        return
    yield _fill(move.old, None)
    yield _factor("ball", plan.factors.ball, "a lifted ball over the fill of its pot")
    formula, numbers = "fill of the old pot x ball", f"{move.old.fill_l.likely:.5f}"
    numbers += f" x {plan.factors.ball.likely:g}"
    if move.old_filled != 1:
        formula, numbers = f"{formula} x share filled", f"{numbers} x {move.old_filled:.6g}"
    if move.keep_share != 1:
        formula, numbers = f"{formula} x share kept", f"{numbers} x {move.keep_share:g}"
    if move.into > 1:
        formula, numbers = f"{formula} / plants that it is divided into", f"{numbers} / {move.into}"
    if move.shared > 1:
        formula, numbers = f"{formula} / plants that share it", f"{numbers} / {move.shared}"
    yield Figure("ball of a plant", ball_l, "L", formula, numbers, drawn=found.ball_l)


def _renewed(found: MoveDemand, share: float) -> Iterator[Figure]:
    yield Figure("share renewed", share, "", source="the plan's own")
    yield Figure(
        "ball that stays", found.ball_l.likely, "L", "fill x (1 - share renewed)",
        f"{found.fill_l.likely:.5f} x {1 - share:.6g}", drawn=found.ball_l,
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
    return Figure(name, spread.likely, "", formula, spread=spread, source=source)


# Containers


def _fill(container: Container, drawn: Estimate | None) -> Figure:
    formula, numbers = fill_formula(container)
    graded = container.grade not in ("", "own")
    source = f"{container.source} (grade {container.grade})" if graded else container.source
    return Figure(
        f"fill of {container.text}", container.fill_l.likely, "L", formula, numbers, drawn,
        spread=container.fill_l, source="; ".join(filter(None, (source, container.note))),
    )  # fmt: skip


# Beds and mixes


def _bed(plan: Plan, demand: Demand, bed: Bed) -> Iterator[Passage]:
    others = [layer for layer in bed.layers if layer.depth_m is not None]
    rest_m = bed.depth_m - bed.already_m - sum(layer.depth_m or 0.0 for layer in others)
    rows = [row for row in demand.beds if row.bed == bed.name]
    for layer, row in zip(bed.layers, rows, strict=True):
        figures = [Figure("area", bed.area_m2, "m2", "of its inside", bed.shape_text)]
        if layer.depth_m is not None and layer.of not in plan.mixes:
            numbers = f"1000 x {bed.area_m2:.5f} x {layer.depth_m:.5g}"
            formula = "1000 x area x depth of the layer, which neither settles nor is spilled"
            litres = row.litres.likely
            figures.append(Figure("litres", litres, "L", formula, numbers, drawn=row.litres))
        else:
            if layer.depth_m is not None:
                depth = Figure(
                    "depth to fill", layer.depth_m, "m", "of the layer", source="the plan's own"
                )
                figures.append(depth)
            else:
                figures.append(_rest(bed, rest_m, len(others)))
            figures += _settled(plan, bed, row.litres, layer.depth_m or rest_m)
        yield Passage(f"{bed.name}: {layer.of}", tuple(figures))
        if layer.of in plan.mixes:
            yield from _parts(plan, plan.mixes[layer.of], row.litres.likely)


def _rest(bed: Bed, rest_m: float, others: int) -> Figure:
    what = "depth - already" + (" - other layers" if others else "")
    depths = f"{bed.depth_m:.5g} - {bed.already_m:.5g}"
    if others:
        depths += f" - {bed.depth_m - bed.already_m - rest_m:.5g}"
    return Figure("depth to fill", rest_m, "m", what, depths, source="the plan's own")


def _settled(plan: Plan, bed: Bed, litres: Estimate, depth_m: float) -> Iterator[Figure]:
    row = factor_row("settles")
    shipped = bed.settles == row.spread
    yield Figure(
        "settles", bed.settles.likely, "", "share of the height lost", spread=bed.settles,
        source=f"{row.source} (grade {row.grade})" if shipped else "the plan's own",
    )  # fmt: skip
    yield _factor("spill", plan.factors.spill, "share lost on the ground")
    settles, spill = bed.settles.likely, plan.factors.spill.likely
    yield Figure(
        "litres", litres.likely, "L", "1000 x area x depth / (1 - settles) x (1 + spill)",
        f"1000 x {bed.area_m2:.5f} x {depth_m:.5g} / {1 - settles:g} x {1 + spill:g}",
        drawn=litres,
    )  # fmt: skip


def _parts(plan: Plan, mix: Mix, litres: float) -> Iterator[Passage]:
    """Yield what so much of a mix is made of, and of the mixes in it."""
    if not mix.is_blended:
        return
    figures = [Figure(f"finished {mix.name}", litres, "L", "as above")]
    loose = mix.loose_per_l(mix.shrink.likely)
    if mix.loses_volume:
        lost = "share of the volume lost in blending"
        source = _shrink_source(plan, mix)
        figures.append(
            Figure("shrink", mix.shrink.likely, "", lost, spread=mix.shrink, source=source)
        )
        formula, numbers = "finished / (1 - shrink)", f"{litres:.5f} / {1 - mix.shrink.likely:g}"
    else:
        formula, numbers = "one part alone loses nothing", f"{litres:.5f}"
    figures.append(Figure("loose parts", litres * loose, "L", formula, numbers))
    whole = sum(mix.parts.values())
    shares = mix.shares
    for part, share in shares.items():
        numbers = f"{litres * loose:.5f} x {float(mix.parts[part]):g} / {float(whole):g}"
        figures.append(
            Figure(part, litres * loose * share, "L", "loose x part / sum of parts", numbers)
        )
    for name, rate in mix.add.items():
        a_litre = rate.kg_per_l if rate.kg_per_l is not None else rate.l_per_l or 0.0
        unit = "kg" if rate.kg_per_l is not None else "L"
        numbers = f"{a_litre:.6g} x {litres:.5f}"
        figures.append(Figure(name, a_litre * litres, unit, "rate x finished mix", numbers))
    yield Passage(f"mix `{mix.name}`", tuple(figures))
    for part, share in shares.items():
        if part in plan.mixes:
            yield from _parts(plan, plan.mixes[part], litres * loose * share)


def _shrink_source(plan: Plan, mix: Mix) -> str:
    inside = "; a mix inside it counts as fine" if any(p in plan.mixes for p in mix.parts) else ""
    for name in ("shrink_like", "shrink_unlike"):
        row = factor_row(name)
        if mix.shrink == row.spread:
            return f"{row.source} (grade {row.grade}){inside}"
    return "the plan's own"


def fill_formula(container: Container) -> tuple[str, str]:
    """Return the formula of the fill and its numbers [cm], or that it is a stated volume."""
    shape, height_m = container.shape, container.fill_height_m
    if shape is None or not height_m:
        return "a stated volume", ""
    if abs(shape.volume_l(height_m) / max(container.fill_l.likely, 1e-12) - 1) > 1e-6:
        return "a stated volume", ""
    high = f"{100 * height_m:.5g}"
    up = height_m / shape.height_m
    match shape:
        case Cone():
            bottom, top = shape.bottom_m, shape.bottom_m + (shape.top_m - shape.bottom_m) * up
            a, b = f"{100 * bottom:.5g}", f"{100 * top:.5g}"
            return (
                "round, tapered: pi / 12 x h x (d^2 + d D + D^2) / 1000, D at the fill line [cm]",
                f"{pi / 12:.6f} x {high} x ({a}^2 + {a} x {b} + {b}^2) / 1000",
            )
        case Cylinder():
            return (
                "round, straight: pi / 4 x D^2 x h / 1000 [cm]",
                f"{pi / 4:.6f} x {100 * shape.diameter_m:.5g}^2 x {high} / 1000",
            )
        case Box():
            sides = f"{100 * shape.length_m:.5g} x {100 * shape.width_m:.5g}"
            return "length x width x fill height / 1000 [cm]", f"{sides} x {high} / 1000"
        case Pyramid():
            return _pyramid(shape, up, high)
        case HalfBarrel():
            rim, base, whole = (
                f"{100 * size:.5g}" for size in (shape.rim_m, shape.bottom_m, shape.height_m)
            )
            return (
                "half barrel, the section pi/4 (D^2 - (D^2 - d^2)(1 - z/H)^2) summed up to z [cm]",
                f"{pi / 4:.6f} x ({rim}^2 x {high} - ({rim}^2 - {base}^2) x {whole} / 3 x "
                f"(1 - (1 - {high} / {whole})^3)) / 1000",
            )
    return "its section summed up to the fill line", f"up to {high} cm"


def _pyramid(shape: Pyramid, up: float, high: str) -> tuple[str, str]:
    """Return the prismoid rule: the areas at the bottom, at half height and at the fill line."""

    def sides(share: float) -> str:
        pairs = zip(shape.bottom_m, shape.top_m, strict=True)
        return " x ".join(f"{100 * (low + (top - low) * share):.5g}" for low, top in pairs)

    return (
        "h / 6 x (bottom + 4 x middle + area at the fill line) / 1000 [cm]",
        f"{high} / 6 x ({sides(0)} + 4 x {sides(up / 2)} + {sides(up)}) / 1000",
    )
