"""The least of a linear aim in whole and real numbers: a library behind one door.

A problem is stated in integers and fractions, solved in floating point by HiGHS
(https://highs.dev, MIT licence) with both gaps at nothing and one thread, and the answer is then
made exact: whole variables are rounded, real ones solved again in fractions, and every row is
checked in exact numbers.
An answer that fails that check is never returned.
Aims stand on whole variables with whole coefficients, so that a gap below one is a proof.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from attrs import evolve, frozen

from rootroom.optimize.exact_arithmetic import complete
from rootroom.optimize.linear_form import IntegerProblem, matrix, quiet_solver
from rootroom.tolerances import ROUNDING, SOLVER_WHOLE

if TYPE_CHECKING:
    from rootroom.optimize.linear_form import Number

Status = Literal["optimal", "feasible", "infeasible", "limit"]
Aim = Mapping[int, int]


@frozen
class Result:
    """What is known of the least value of an aim.

    `optimal`: `answer` keeps every row exactly and no answer has an aim below `cost`;
    `feasible`: it keeps every row and none is below `bound`; `infeasible`: proved that none exists;
    `limit`: none was found in the time, or none that stands in exact numbers.
    `solver_s` is the time spent inside the library [s].
    """

    status: Status
    cost: int | None
    bound: int | None
    answer: tuple[Number, ...] | None
    method: str
    solver_s: float = 0.0


def solve(problem: IntegerProblem, aim: Aim, *, seconds: float) -> Result:
    """Return the least value of one aim; `seconds` is a safety net."""
    return solve_in_order(problem, [aim], seconds=seconds)[0]


def solve_in_order(
    problem: IntegerProblem,
    aims: Sequence[Aim],
    *,
    seconds: float,
    finish: Mapping[int, int] | None = None,
) -> list[Result]:
    """Return the least value of each aim among the answers that are best for all aims before it.

    One result an aim, each with the one final answer, which is best for all of them as far as they
    are proved.
    Aims after one that was not proved are not tried, so the list may be shorter than `aims`.
    `finish` is what real variables are to make least once every aim is settled.
    Raises ValueError for an aim on a real variable or with a broken coefficient.
    """
    for aim in aims:
        for place, value in aim.items():
            if not problem.whole[place] or int(value) != value:
                raise ValueError(f"an aim takes whole variables and coefficients, got {value}")
    if any(not row.terms and not row.holds(0) for row in problem.rows):
        # The library calls such a model empty, not impossible.
        return [Result("infeasible", None, None, None, "empty row")]
    if not problem.lower:
        return [Result("optimal", 0, 0, (), "nothing to choose") for _ in aims]
    deadline = time.monotonic() + seconds
    tried = _in_order(problem, aims, deadline, finish or {}, tight=False)
    if tried[0].answer is None and tried[0].status != "infeasible":
        # Whole values that fit only within the usual tolerance; narrow ones take several times as
        # long, so they are kept for this case.
        return _in_order(problem, aims, deadline, finish or {}, tight=True)
    return tried


def _in_order(
    problem: IntegerProblem,
    aims: Sequence[Aim],
    deadline: float,
    finish: Mapping[int, int],
    *,
    tight: bool,
) -> list[Result]:
    library = _Library(problem, tight=tight)
    results: list[Result] = []
    best: list[int] | None = None
    for aim in aims:
        result, values = library.run(aim, max(deadline - time.monotonic(), 0.01), best)
        if values is None:
            if not results:
                return [result]
            break
        results.append(result)
        best = values
        if result.status != "optimal":
            break
        assert result.cost is not None
        library.keep(aim, result.cost)
    assert best is not None
    answer, solver_s = complete(problem, best, finish)
    if answer is None:
        return [evolve(r, status="limit", cost=None, answer=None) for r in results]
    results[-1] = evolve(results[-1], solver_s=results[-1].solver_s + solver_s)
    return [evolve(result, answer=answer) for result in results]


class _Library:
    """One HiGHS model that is solved for several aims, each kept as a row for those after it."""

    def __init__(self, problem: IntegerProblem, *, tight: bool) -> None:
        self.problem = problem
        self.solver = quiet_solver(tight=tight)
        self.solver.passModel(matrix(problem))
        self.method = f"HiGHS {self.solver.version()}"
        self.kept: list[tuple[Aim, int]] = []

    def run(
        self, aim: Aim, seconds: float, start: list[int] | None
    ) -> tuple[Result, list[int] | None]:
        """Solve for one aim; also return the whole values by place (0 for real variables)."""
        import highspy
        import numpy as np

        count = len(self.problem.lower)
        costs = np.zeros(count)
        for place, value in aim.items():
            costs[place] = value
        solver = self.solver
        solver.changeColsCost(count, np.arange(count, dtype=np.int32), costs)
        if start is not None:
            warm = highspy.HighsSolution()
            warm.col_value = list(map(float, solver.getSolution().col_value))
            solver.setSolution(warm)
        spent = self._run(seconds)
        if start is not None and self._misread(aim):
            solver.clearSolver()
            spent += self._run(max(seconds - spent, 0.01))
        model = solver.getModelStatus()
        info = solver.getInfo()
        if model == highspy.HighsModelStatus.kInfeasible:
            return Result("infeasible", None, None, None, self.method, spent), None
        bound = _whole_bound(info.mip_dual_bound)
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return Result("limit", None, bound, None, self.method, spent), None
        values = self._values()
        cost = sum(value * values[place] for place, value in aim.items())
        proved = model == highspy.HighsModelStatus.kOptimal and (bound is None or bound >= cost)
        if bound is None or bound > cost:
            bound = cost
        status: Status = "optimal" if proved else "feasible"
        return Result(status, cost, bound, None, self.method, spent), values

    def _run(self, seconds: float) -> float:
        """Run for so long at most, and return the time spent [s]."""
        before = self.solver.getRunTime()
        self.solver.setOptionValue("time_limit", before + seconds)
        self.solver.run()
        return float(self.solver.getRunTime() - before)

    def _values(self) -> list[int]:
        found = self.solver.getSolution().col_value
        return [round(found[i]) if whole else 0 for i, whole in enumerate(self.problem.whole)]

    def _misread(self, aim: Aim) -> bool:
        """Whether the library gives its own answer another value than the answer has.

        It may carry a start over into its reduced problem at too low a value, cut off all that is
        no lower, better answers too, and call the start optimal.
        """
        import highspy

        info = self.solver.getInfo()
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return False
        values = self._values()
        cost = sum(value * values[place] for place, value in aim.items())
        return bool(abs(info.objective_function_value - cost) >= 0.5)

    def keep(self, aim: Aim, most: int) -> None:
        """Hold an aim at what was reached."""
        import highspy
        import numpy as np

        places = np.array(list(aim), dtype=np.int32)
        values = np.array(list(aim.values()), dtype=np.float64)
        self.solver.addRow(-highspy.kHighsInf, float(most), len(places), places, values)
        self.kept.append((aim, most))


def _whole_bound(bound: float) -> int | None:
    """Return the least whole value that a bound in floating point still allows."""
    if not -1e18 < bound < 1e18:
        return None
    slack = max(SOLVER_WHOLE, abs(bound) * ROUNDING)
    whole = int(bound // 1)
    return whole if bound - whole <= slack else whole + 1
