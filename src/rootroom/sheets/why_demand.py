"""`demand --why`: every number behind one plant or bed, as text that can be redone by hand."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from rootroom.sheets.plain import tidy
from rootroom.units import read_area_m2, read_length_m, read_mass_kg, read_volume_l

if TYPE_CHECKING:
    from rootroom.demand.estimates import Demand
    from rootroom.demand.why import Explanation, Figure
    from rootroom.plan.model import Plan
    from rootroom.units import System

WIDTH = 80


def why_demand_text(plan: Plan, demand: Demand, name: str) -> str:
    """Return every number for a plant or a bed; TextError for a name that the plan has not."""
    from rootroom.demand.why import why

    return explanation_text(why(plan, demand, name), plan.garden.system)


def explanation_text(explanation: Explanation, system: System) -> str:
    """Return the passages of an explanation, each figure with formula, numbers and source."""
    lines = [
        "Figures are likely values, of which four digits are told. `8 in 10` gives the",
        "10th and 90th percentile of the drawn seasons, `drawn` the least and most that",
        "a factor is drawn between.",
        *(["Worked in litres, metres and kilograms; yours stand first."] * (system == "us")),
    ]
    for passage in explanation.passages:
        lines += ["", tidy(passage.title)]
        for figure in passage.figures:
            lines += _figure_lines(figure, system)
    if explanation.left_out:
        lines += ["", f"{explanation.left_out} more rows of this name follow the same formulas."]
    if explanation.ends:
        ends = (
            f"{tidy(of)}: likely {_amount(litres.likely, 'L', system)}, "
            f"median {_amount(litres.median, 'L', system)}"
            for of, litres in explanation.ends
        )
        lines += ["", _wrap(f"In the end {'; '.join(ends)}. The median is what to plan on.", 0)]
    return "\n".join(lines)


def _figure_lines(figure: Figure, system: System) -> list[str]:
    unit = figure.unit
    lines = [f"  {tidy(figure.name)}: {_amount(figure.value, unit, system)}"]
    if figure.formula:
        lines.append(_wrap(tidy(figure.formula), 6))
    if figure.numbers:
        digits = re.sub(r"\d+\.\d{3,}", lambda found: _digits(float(found[0])), figure.numbers)
        lines.append(_wrap(f"= {tidy(digits)}", 6))
    for head, spread in (("8 in 10", figure.drawn), ("drawn", figure.spread)):
        if spread is not None and spread.low != spread.high:
            low, high = (_amount(value, unit, system) for value in (spread.low, spread.high))
            lines.append(_wrap(f"{head}: {low} to {high}", 6))
    if figure.source:
        lines.append(_wrap(f"source: {tidy(figure.source)}", 6))
    return lines


OWN = {"L": "gal", "kg": "lb", "m2": "sq ft", "m": "in"}
"""What stands before a base unit for those who measure in US units."""


def _amount(value: float, unit: str, system: System) -> str:
    """Return a figure to four digits, in US units with the base unit behind."""
    text = f"{_digits(value)} {unit}".rstrip()
    if system != "us" or unit not in OWN:
        return text
    reader = {"L": read_volume_l, "kg": read_mass_kg, "m2": read_area_m2, "m": read_length_m}[unit]
    own = "cu ft" if unit == "L" and value >= read_volume_l("1 cu ft") else OWN[unit]
    return f"{_digits(value / reader(f'1 {own}'))} {own} ({text})"


def _digits(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def _wrap(text: str, indent: int = 2) -> str:
    return textwrap.fill(
        text,
        width=WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_on_hyphens=False,
    )
