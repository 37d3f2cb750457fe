"""The demand as plain text: a spread, where it comes from, every number behind it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rootroom.demand.recipes import given_by_spoon
from rootroom.sheets.layout import clip, fill, item, listed, table, tidy
from rootroom.sheets.views.demand import additions_view, check_line, figures_view
from rootroom.sheets.writing import ScreenWriter
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.demand.estimates import Estimate, MoveDemand
    from rootroom.demand.find import Demand
    from rootroom.demand.why import Explanation, Figure
    from rootroom.plan.model import Plan
    from rootroom.sheets.views.demand import Amounts
    from rootroom.units import System
    from rootroom.units.showing import OwnUnit

MOST_ROWS = 40
"""Moves shown one by one; of a longer list alike moves are added together."""


def demand_text(plan: Plan, demand: Demand) -> str:
    """Return the whole demand: by move and bed, by mix and ingredient, and its doubts."""
    system, writer = plan.garden.system, ScreenWriter.of(plan.garden, given_by_spoon(plan))
    parts = [_moves(demand, system), _beds(demand, system), mixes_text(plan, demand)]
    goods, additions = demand.ingredients, demand.additions
    parts += [
        _amounts("Ingredients, loose", "ingredient", figures_view(goods, writer)),
        _amounts("Additions", "addition", additions_view(additions, writer)),
        _doubts(plan, demand),
    ]
    return "\n\n".join(part for part in parts if part)


def mixes_text(plan: Plan, demand: Demand) -> str:
    """Return the demand by mix, and the line that can be checked against memory."""
    if not demand.mixes and not demand.ingredients:
        return "No mix is needed: no plant goes into a container and no bed is filled."
    mixes = figures_view(demand.mixes, ScreenWriter.of(plan.garden, given_by_spoon(plan)))
    parts = [_amounts("By mix", "mix", mixes)]
    if demand.mixes:
        said = '"Could be" is passed in about one season of ten; these figures do not add up.'
        parts.append(fill(said))
    line = check_line(plan, demand)
    if line:
        parts.append(fill(f"To check against memory: {line}."))
    return "\n".join(part for part in parts if part)


def _moves(demand: Demand, system: System) -> str:
    if not len(demand.moves):
        return ""
    header = ("what", "from and to", "count", "mix", "plan on", "could be")
    if len(demand.moves) <= MOST_ROWS:
        rows = [_move_row(move, system) for move in demand.moves]
        return f"By move\n{table(header, rows, 'llrlrr')}"
    rows = _kind_rows(demand, system)
    note = "Rows from and to the same containers are added together; --json has every row."
    if len(rows) > MOST_ROWS:
        note += f" And {len(rows) - MOST_ROWS:d} more row{'s' * (len(rows) - MOST_ROWS > 1)}."
    body = table(header[1:], rows[:MOST_ROWS], "lrlrr")
    return "\n".join(["By move", body, fill(note)])


def _move_row(move: MoveDemand, system: System) -> list[str]:
    return [
        clip(move.plant, 14), _way(move.old, move.new, 20, move.fills_up), str(move.count),
        clip(move.mix or "", 8),
        *_two(move.mix_l, system, nothing=move.mix is None),
    ]  # fmt: skip


def _kind_rows(demand: Demand, system: System) -> list[list[str]]:
    """Return a row for each way from one container to another, the most mix first.

    The pots of one way share their draws, so their percentiles may be added up.
    """
    sums: dict[tuple[str, str, str | None, bool], list[float]] = {}
    for kind in demand.moves.kinds:
        for move in kind.moves:
            total = sums.setdefault(
                (move.old, move.new, move.move.mix, move.move.begun > 0), [0.0, 0.0, 0.0]
            )
            pairs = zip(kind.rows, move.plants, move.median_l, move.high_l, strict=True)
            for rows, plants, median, high in pairs:
                for place, figure in enumerate((plants, median, high)):
                    total[place] += rows * figure
    ordered = sorted(sums.items(), key=lambda one: -one[1][1])
    return [
        [
            _way(old, new, 34, fills_up), str(round(plants)), clip(mix or "", 12),
            *(show_volume(x, system, like=high) if mix else "" for x in (median, high)),
        ]
        for (old, new, mix, fills_up), (plants, median, high) in ordered
    ]  # fmt: skip


def _way(old: str, new: str, width: int, fills_up: bool) -> str:
    if old == new:
        word = "filled up" if fills_up else "refreshed"
        return clip(f"{clip(old, width - 11)} {word}", width)
    room = max(width - 4 - len(tidy(new)), 8)
    return clip(f"{clip(old, room)} to {new}", width)


def _two(figure: Estimate, system: System, *, nothing: bool = False) -> list[str]:
    if nothing:
        return ["", ""]
    return [show_volume(x, system, like=figure.high) for x in (figure.median, figure.high)]


def _beds(demand: Demand, system: System) -> str:
    rows = [
        [clip(bed.bed, 26), clip(bed.of, 20), *_two(bed.litres, system)]
        for bed in demand.beds[:MOST_ROWS]
    ]
    if not rows:
        return ""
    shown = table(("bed", "layer of", "plan on", "could be as much as"), rows, "llrr")
    more = len(demand.beds) - MOST_ROWS
    note = [f"And {more} more row{'s' * (more > 1)}."] if more > 0 else []
    return "\n".join(["Beds", shown, *note])


def _amounts(title: str, kind: str, rows: Sequence[Amounts]) -> str:
    if not rows:
        return ""
    cells = [[row.what, row.plan_on, row.could_be] for row in rows]
    return f"{title}\n{table((kind, 'plan on', 'could be as much as'), cells, 'lrr')}"


def _doubts(plan: Plan, demand: Demand) -> str:
    from rootroom.demand.doubts import doubts

    lines = []
    for doubt in doubts(plan, demand):
        text = f"{tidy(doubt.factor)}, {doubt.share:.0%} of the spread: {tidy(doubt.measure)}"
        text += ", then write"
        lines += [item(text), f"      {clip(doubt.line, 74)}"]
    return listed("Where the doubt comes from", lines)


def doubt_lines(plan: Plan, demand: Demand, width: int) -> list[str]:
    """Return the greatest doubts in one line each, under a line that says what they are."""
    from rootroom.demand.doubts import doubts

    lines = []
    for doubt in doubts(plan, demand):
        how = tidy(doubt.measure).split(",")[0]
        lines.append(clip(f"  {doubt.share:.0%} {tidy(doubt.factor)}: {how}", width))
    return ["Where the doubt comes from (`demand` has what to measure)", *lines] if lines else []


def why_demand_text(plan: Plan, demand: Demand, name: str) -> str:
    """Return every number for a plant or a bed; TextError for a name that the plan has not."""
    from rootroom.demand.why import why

    return explanation_text(why(plan, demand, name), plan.garden.system)


def explanation_text(explanation: Explanation, system: System) -> str:
    """Return the passages of an explanation, each figure with formula, numbers and source."""
    from rootroom.units.showing import whole_unit

    lines = [
        "Figures are likely values, of which three digits are told, in formulas four.",
        "`8 in 10` gives the 10th and 90th percentile of the drawn seasons, `drawn` the",
        "least and most that a factor is drawn between.",
    ]
    for passage in explanation.passages:
        lines += ["", tidy(passage.title)]
        for figure in passage.figures:
            lines += _figure_lines(figure)
    if explanation.left_out:
        lines += ["", f"{explanation.left_out} more rows of this name follow the same formulas."]
    if explanation.ends:
        ends = (
            f"{tidy(of)}: likely {_amount(litres.likely, whole_unit(litres.likely, system))}, "
            f"median {_amount(litres.median, whole_unit(litres.likely, system))}"
            for of, litres in explanation.ends
        )
        lines += ["", _under(f"In the end {'; '.join(ends)}. The median is what to plan on.", 0)]
    return "\n".join(lines)


def _figure_lines(figure: Figure) -> list[str]:
    unit = figure.unit
    lines = [f"  {tidy(figure.name)}: {_amount(figure.value, unit)}"]
    if figure.formula:
        lines.append(_under(tidy(figure.formula)))
    if figure.numbers:
        digits = re.sub(r"\d+\.\d{3,}", lambda found: _digits(float(found[0]), 4), figure.numbers)
        lines.append(_under(f"= {tidy(digits)}"))
    for head, spread in (("8 in 10", figure.drawn), ("drawn", figure.spread)):
        if spread is not None and spread.low != spread.high:
            low, high = (_amount(value, unit) for value in (spread.low, spread.high))
            lines.append(_under(f"{head}: {low} to {high}"))
    if figure.source:
        lines.append(_under(f"source: {tidy(figure.source)}"))
    return lines


def _amount(value: float, unit: OwnUnit) -> str:
    """Return a figure to three digits, one more than can be measured, in its unit."""
    return f"{_digits(unit.of(value), 3)} {unit.name}".rstrip()


def _digits(value: float, digits: int) -> str:
    """Return a number with so many digits that count, and four decimals at most."""
    if abs(value) >= 10**digits:
        return f"{value:.0f}"
    near = f"{float(f'{value:.{digits}g}'):.4f}"
    return near.rstrip("0").rstrip(".")


def _under(text: str, indent: int = 6) -> str:
    return fill(text, indent=" " * indent, hanging=" " * (indent + 2))
