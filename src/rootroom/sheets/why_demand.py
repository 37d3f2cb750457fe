"""`demand --why`: every number behind one plant or bed, as text that can be redone by hand."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from rootroom.sheets.plain import tidy

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand
    from rootroom.demand.why import Explanation, Figure
    from rootroom.plan.model import Plan

__all__ = ["explanation_text", "why_demand_text"]

WIDTH = 80


def why_demand_text(plan: Plan, demand: Demand, name: str) -> str:
    """Return every number for a plant or a bed; TextError for a name that the plan has not."""
    from rootroom.demand.why import why

    return explanation_text(why(plan, demand, name))


def explanation_text(explanation: Explanation) -> str:
    """Return the passages of an explanation, each figure with formula, numbers and source."""
    lines = [
        "Figures are likely values. `8 in 10` gives the 10th and 90th percentile of the",
        "drawn seasons, `drawn` the least and most that a factor is drawn between.",
    ]
    for passage in explanation.passages:
        lines += ["", tidy(passage.title)]
        for figure in passage.figures:
            lines += _figure_lines(figure)
    if explanation.left_out:
        lines += ["", f"{explanation.left_out} more rows of this name follow the same formulas."]
    if explanation.ends:
        ends = (
            f"{tidy(of)}: likely {litres.likely:.3f} L, median {litres.median:.3f} L"
            for of, litres in explanation.ends
        )
        lines += ["", _wrap(f"In the end {'; '.join(ends)}. The median is what to plan on.", 0)]
    return "\n".join(lines)


def _figure_lines(figure: Figure) -> list[str]:
    lines = [f"  {tidy(figure.name)}: {_number(figure)}"]
    if figure.formula:
        lines.append(_wrap(tidy(figure.formula), 6))
    if figure.numbers:
        lines.append(_wrap(f"= {tidy(figure.numbers)}", 6))
    drawn, spread = figure.drawn, figure.spread
    if drawn is not None and drawn.low != drawn.high:
        lines.append(_wrap(f"8 in 10: {drawn.low:.3f} to {drawn.high:.3f}", 6))
    if spread is not None and spread.low != spread.high:
        lines.append(_wrap(f"drawn: {spread.low:.5g} to {spread.high:.5g}", 6))
    if figure.source:
        lines.append(_wrap(f"source: {tidy(figure.source)}", 6))
    return lines


def _number(figure: Figure) -> str:
    if figure.unit in ("L", "kg", "m2", "m"):
        return f"{figure.value:.5f} {figure.unit}"
    return f"{figure.value:.6g}"


def _wrap(text: str, indent: int = 2) -> str:
    return textwrap.fill(
        text,
        width=WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_on_hyphens=False,
    )
