"""Variables and rows of an integer programme: in exact numbers, and in the library's own form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from attrs import frozen

from rootroom.tolerances import SOLVER_TIGHT, SOLVER_WHOLE

Number = int | Fraction


@frozen
class Row:
    """A sum of coefficient times variable that is `least` at least and `most` at most."""

    terms: Mapping[int, Number]
    least: Number | None = None
    most: Number | None = None

    def value(self, answer: Sequence[Number]) -> Number:
        """Return the sum at an answer."""
        return sum((value * answer[place] for place, value in self.terms.items()), 0)

    def holds(self, value: Number) -> bool:
        """Return whether a sum lies within the limits."""
        return (self.least is None or value >= self.least) and (
            self.most is None or value <= self.most
        )


def faults(problem: IntegerProblem, answer: Sequence[Number]) -> list[str]:
    """Return in words every bound and row that `answer` breaks, in exact numbers."""
    found = []
    for place, value in enumerate(answer):
        upper = problem.upper[place]
        if value < problem.lower[place] or (upper is not None and value > upper):
            found.append(f"variable {place} is {value}, not {problem.lower[place]} to {upper}")
        if problem.whole[place] and value != int(value):
            found.append(f"variable {place} is {value}, not whole")
    for number, row in enumerate(problem.rows):
        value = row.value(answer)
        if not row.holds(value):
            found.append(f"row {number} is {value}, not {row.least} to {row.most}")
    return found


class IntegerProblem:
    """Variables and rows; a variable is known by its place, from 0."""

    def __init__(self) -> None:
        self.lower: list[Number] = []
        self.upper: list[Number | None] = []
        self.whole: list[bool] = []
        self.rows: list[Row] = []

    def variable(
        self, upper: Number | None = None, *, lower: Number = 0, whole: bool = True
    ) -> int:
        """Add a variable from `lower` to `upper` (None: no limit) and return its place."""
        if upper is not None and upper < lower:
            raise ValueError(f"upper must not be below lower {lower}, got {upper}")
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.lower) - 1

    def row(
        self,
        terms: Mapping[int, Number],
        *,
        least: Number | None = None,
        most: Number | None = None,
    ) -> None:
        """Demand that the sum of coefficient times variable is at least and at most so much."""
        if least is None and most is None:
            raise ValueError("a row needs least or most")
        kept = {place: value for place, value in terms.items() if value}
        self.rows.append(Row(kept, least, most))

    def faults(self, answer: Sequence[Number]) -> list[str]:
        """Return in words every bound and row that `answer` breaks, in exact numbers."""
        return faults(self, answer)


def quiet_solver(*, tight: bool = False) -> Any:
    """Return a solver that prints nothing, ends at no gap and gives the same answer each time.

    `tight`: rows and whole values may be off by a thousand-millionth only.

    The wrapper class `Highs` writes its banner to the C standard output before it can be told not
    to, which would spoil JSON there; its public base class does not.
    """
    import highspy

    solver = highspy._Highs()  # type: ignore[attr-defined]
    options: dict[str, object] = {
        "output_flag": False,
        "threads": 1,
        "random_seed": 0,
        "mip_rel_gap": 0.0,
        "mip_abs_gap": SOLVER_WHOLE,
    }
    if tight:
        options |= {
            "mip_feasibility_tolerance": SOLVER_TIGHT,
            "primal_feasibility_tolerance": SOLVER_TIGHT,
        }
    for name, value in options.items():
        solver.setOptionValue(name, value)
    return solver


def matrix(problem: IntegerProblem) -> Any:
    """Return the problem in the library's own form, in floating point."""
    import highspy
    import numpy as np

    infinity = highspy.kHighsInf
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(problem.lower), len(problem.rows)
    lp.col_cost_ = np.zeros(lp.num_col_)
    lp.col_lower_ = np.array([float(v) for v in problem.lower])
    lp.col_upper_ = np.array([infinity if v is None else float(v) for v in problem.upper])
    rows = problem.rows
    lp.row_lower_ = np.array([-infinity if r.least is None else float(r.least) for r in rows])
    lp.row_upper_ = np.array([infinity if r.most is None else float(r.most) for r in rows])
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in problem.whole]
    starts, places, values = [0], list[int](), list[float]()
    for row in rows:
        places.extend(row.terms)
        values.extend(map(float, row.terms.values()))
        starts.append(len(places))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.num_col_, lp.a_matrix_.num_row_ = lp.num_col_, lp.num_row_
    lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(places, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(values, dtype=np.float64)
    return lp
