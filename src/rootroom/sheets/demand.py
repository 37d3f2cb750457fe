"""The demand as plain text: a spread, where it comes from, every number behind it."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rootroom.sheets.layout import WIDTH, clip, fill, halves, table, tidy
from rootroom.sheets.money import addition_text
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.demand.estimates import Addition, Estimate, MoveDemand
    from rootroom.demand.season_demand import Demand
    from rootroom.demand.why import Explanation, Figure
    from rootroom.plan.model import Plan
    from rootroom.units import System
    from rootroom.units.showing import OwnUnit

MOST_ROWS = 40
"""Moves shown one by one; of a longer list alike moves are added together."""

BAGS = {"us": ("2 cu ft", 56.633693184), "metric": ("50 L", 50.0)}
"""A bag that every grower has carried, by its text and its litres [L]."""


def demand_text(plan: Plan, demand: Demand) -> str:
    """Return the whole demand: by move and bed, by mix and ingredient, and its doubts."""
    system = plan.garden.system
    parts = [_moves(demand, system), _beds(demand, system), mixes_text(plan, demand)]
    parts += [
        _estimates("ingredient", demand.ingredients, system),
        _additions(plan, demand.additions),
        _doubts(plan, demand),
    ]
    return "\n\n".join(part for part in parts if part)


def mixes_text(plan: Plan, demand: Demand) -> str:
    """Return the demand by mix, and the line that can be checked against memory."""
    if not demand.mixes and not demand.ingredients:
        return "No mix is needed: no plant goes into a container and no bed is filled."
    parts = [_estimates("mix", demand.mixes, plan.garden.system)]
    if demand.mixes:
        said = '"Could be" is passed in about one season of ten; these figures do not add up.'
        parts.append(fill(said))
    line = check_line(plan, demand)
    if line:
        parts.append(fill(f"To check against memory: {line}."))
    return "\n".join(part for part in parts if part)


def check_line(plan: Plan, demand: Demand) -> str:
    """Return how far one bag goes on the move that takes most mix; empty if none takes any."""
    found = _thirstiest(demand)
    if found is None:
        return ""
    move, pot_l = found
    bag, bag_l = BAGS[plan.garden.system]
    number = bag_l / pot_l
    refresh, word = move.old == move.new, "filled up" if move.fills_up else "refreshed"
    old, mix = clip(move.old, 24), clip(move.mix or "", 30)
    which = f"{clip(move.plant, 40)}, " + (
        f"{old} {word}" if refresh else f"{old} to {clip(move.new, 24)}"
    )
    if number < 0.75:
        return f"one of these takes about {halves(1 / number)} {bag} bags of {mix}: {which}"
    shown = halves(max(number, 0.5)) if number < 3 else f"{number:.0f}"
    does = "is enough for" if refresh else "pots on"
    return f"one {bag} bag of {mix} {does} about {shown} of these: {which}"


def _thirstiest(demand: Demand) -> tuple[MoveDemand, float] | None:
    """Return the move whose pots take most mix in all, and the mix of one pot [L]."""
    best: tuple[float, MoveDemand, float] | None = None
    moves = demand.moves
    first: dict[int, int] = {}
    for row, kind in enumerate(moves.kind_of.tolist()):
        first.setdefault(kind, row)
    for kind, row in first.items():
        for column, shown in zip(moves.kinds[kind].moves, moves.of_row(row), strict=True):
            rows = zip(moves.kinds[kind].rows, column.median_l, strict=True)
            total = sum(count * litres for count, litres in rows)
            pots = sum(c * p for c, p in zip(moves.kinds[kind].rows, column.pots, strict=True))
            if total > 0 and pots and (best is None or total > best[0]):
                best = (total, shown, total / pots)
    return None if best is None else best[1:]


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


def _estimates(kind: str, figures: Mapping[str, Estimate], system: System) -> str:
    rows = [[clip(name, 36), *_two(figure, system)] for name, figure in figures.items()]
    return _block(kind, rows)


def _additions(plan: Plan, additions: Mapping[str, Addition]) -> str:
    from rootroom.demand.recipes import given_by_spoon

    spoons, system = given_by_spoon(plan), plan.garden.system
    rows = []
    for name, one in additions.items():
        figures = (one.amount.median, one.amount.high)
        shown = (addition_text(name, figure, one.unit, spoons, system) for figure in figures)
        rows.append([clip(name, 30), *shown])
    return _block("addition", rows)


def _block(kind: str, rows: Sequence[Sequence[str]]) -> str:
    if not rows:
        return ""
    titles = {"mix": "By mix", "ingredient": "Ingredients, loose", "addition": "Additions"}
    shown = table((kind, "plan on", "could be as much as"), rows, "lrr")
    return f"{titles[kind]}\n{shown}"


def _doubts(plan: Plan, demand: Demand) -> str:
    from rootroom.demand.doubts import doubts

    lines = []
    for doubt in doubts(plan, demand):
        text = f"{tidy(doubt.factor)}, {doubt.share:.0%} of the spread: {tidy(doubt.measure)}"
        text += ", then write"
        lines += [fill(text, indent="  ", hanging="    "), f"      {clip(doubt.line, 74)}"]
    return "\n".join(["Where the doubt comes from", *lines]) if lines else ""


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
        lines += ["", _wrap(f"In the end {'; '.join(ends)}. The median is what to plan on.", 0)]
    return "\n".join(lines)


def _figure_lines(figure: Figure) -> list[str]:
    unit = figure.unit
    lines = [f"  {tidy(figure.name)}: {_amount(figure.value, unit)}"]
    if figure.formula:
        lines.append(_wrap(tidy(figure.formula), 6))
    if figure.numbers:
        digits = re.sub(r"\d+\.\d{3,}", lambda found: _digits(float(found[0]), 4), figure.numbers)
        lines.append(_wrap(f"= {tidy(digits)}", 6))
    for head, spread in (("8 in 10", figure.drawn), ("drawn", figure.spread)):
        if spread is not None and spread.low != spread.high:
            low, high = (_amount(value, unit) for value in (spread.low, spread.high))
            lines.append(_wrap(f"{head}: {low} to {high}", 6))
    if figure.source:
        lines.append(_wrap(f"source: {tidy(figure.source)}", 6))
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


def _wrap(text: str, indent: int = 2) -> str:
    return textwrap.fill(
        text,
        width=WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_on_hyphens=False,
    )
