"""An answer in exact numbers: real variables solved again in fractions, every row checked.

A solver in floating point keeps a row to within a tolerance.
Once the whole variables are fixed, what is left is a linear programme whose answer lies on a
*basis*: as many rows and bounds that hold with equality as there are unknowns.
The library names the basis, and the small system of equations that it makes is solved in fractions.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from rootroom.optimize.linear_form import Number, faults

if TYPE_CHECKING:
    from rootroom.optimize.linear_form import IntegerProblem


def complete(
    problem: IntegerProblem, whole: Sequence[int], finish: Mapping[int, int]
) -> tuple[tuple[Number, ...] | None, float]:
    """Return the exact answer with these whole values, and the library's time for it [s].

    `finish` is what the real variables make least.
    None if no basis keeps every row exactly: the whole values are then only nearly possible.
    """
    answer: list[Number] = list(whole)
    real = [place for place, is_whole in enumerate(problem.whole) if not is_whole]
    seconds = 0.0
    if real:
        solved, seconds = _solve_real(problem, answer, real, finish)
        if solved is None:
            return None, seconds
        for place, value in zip(real, solved, strict=True):
            answer[place] = value
    return (None if faults(problem, answer) else tuple(answer)), seconds


def _solve_real(
    problem: IntegerProblem, whole: list[Number], real: list[int], finish: Mapping[int, int]
) -> tuple[list[Number] | None, float]:
    """Return exact values of the real variables, the whole ones put in."""
    import highspy
    import numpy as np

    from rootroom.optimize.linear_form import IntegerProblem, matrix, quiet_solver

    column = {place: index for index, place in enumerate(real)}
    small = IntegerProblem()
    for place in real:
        small.variable(problem.upper[place], lower=problem.lower[place], whole=False)
    for row in problem.rows:
        terms = {column[place]: v for place, v in row.terms.items() if place in column}
        if not terms:
            continue
        fixed = sum((v * whole[p] for p, v in row.terms.items() if p not in column), 0)
        small.row(
            terms,
            least=None if row.least is None else row.least - fixed,
            most=None if row.most is None else row.most - fixed,
        )
    solver = quiet_solver()
    solver.passModel(matrix(small))
    costs = np.array([float(finish.get(place, 0)) for place in real])
    solver.changeColsCost(len(real), np.arange(len(real), dtype=np.int32), costs)
    solver.run()
    basis = solver.getBasis()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal or not basis.valid:
        return None, solver.getRunTime()
    return _on_basis(small, basis, highspy.HighsBasisStatus), solver.getRunTime()


def _on_basis(problem: IntegerProblem, basis: Any, status: Any) -> list[Number] | None:
    """Return the exact point of a basis, or None if its equations have no single answer."""
    values: dict[int, Number] = {}
    for place, where in enumerate(basis.col_status):
        if where == status.kBasic:
            continue
        upper = problem.upper[place]
        at_upper = where == status.kUpper and upper is not None
        values[place] = upper if at_upper and upper is not None else problem.lower[place]
    equations = []
    for row, where in zip(problem.rows, basis.row_status, strict=True):
        if where == status.kBasic:
            continue
        limit = row.most if where == status.kUpper else row.least
        if limit is None:
            limit = row.least if row.least is not None else row.most
        assert limit is not None
        known = sum((v * values[p] for p, v in row.terms.items() if p in values), 0)
        equations.append(({p: v for p, v in row.terms.items() if p not in values}, limit - known))
    unknown = [place for place in range(len(problem.lower)) if place not in values]
    solved = solve_equations(equations, unknown)
    if solved is None:
        return None
    return [values[p] if p in values else solved[p] for p in range(len(problem.lower))]


def solve_equations(
    equations: Sequence[tuple[Mapping[int, Number], Number]], unknown: Sequence[int]
) -> dict[int, Fraction] | None:
    """Return the one answer of a square system in fractions, or None if it has none or many.

    The shortest equation is used first, which keeps the sparse systems of a basis sparse.
    """
    if len(equations) != len(unknown):
        return None
    rest = [
        ({p: Fraction(v) for p, v in terms.items() if v}, Fraction(right))
        for terms, right in equations
    ]
    used: list[tuple[int, dict[int, Fraction], Fraction]] = []
    while rest:
        index = min(range(len(rest)), key=lambda i: len(rest[i][0]))
        terms, right = rest.pop(index)
        if not terms:
            return None
        pivot = min(terms, key=lambda p: (sum(p in other for other, _ in rest), p))
        scale = terms.pop(pivot)
        terms = {p: v / scale for p, v in terms.items()}
        right /= scale
        used.append((pivot, terms, right))
        for number, (other, other_right) in enumerate(rest):
            factor = other.pop(pivot, None)
            if factor is None:
                continue
            for p, v in terms.items():
                changed = other.get(p, Fraction(0)) - factor * v
                if changed:
                    other[p] = changed
                else:
                    other.pop(p, None)
            rest[number] = (other, other_right - factor * right)
    solved: dict[int, Fraction] = {}
    for pivot, terms, right in reversed(used):
        solved[pivot] = right - sum((v * solved[p] for p, v in terms.items()), Fraction(0))
    return solved
