"""A buying problem to its proved basket; where something cannot be had, to what is missing.

Every basket is checked against the rules in exact numbers before it leaves this module.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from rootroom.buying.checker import faults
from rootroom.buying.integer_model import build
from rootroom.buying.problem import Basket, Problem
from rootroom.buying.shopping import Status
from rootroom.optimize.integer_program import Result, solve_in_order


@frozen
class Bought:
    """The best basket for a problem, with the bound on its cost.

    `problem` is the one that was answered: where something cannot be had, goods say in `missing`
    what the basket does without, and the status is `infeasible`.
    `basket` is None when the time ended before any was found.
    """

    status: Status
    problem: Problem
    basket: Basket | None
    cost_cents: int
    bound_cents: int
    solver_s: float


def cheapest(problem: Problem, *, seconds: float) -> Bought:
    """Return the basket that is best by all aims in their order.

    Where there is none, least missing comes before all of them.
    """
    found = _solve(problem, seconds=seconds)
    if found.status != "infeasible":
        return found
    rest = _with_least_missing(problem, seconds=seconds)
    return found if rest is None else evolve(rest, solver_s=found.solver_s + rest.solver_s)


def cheapest_basket(problem: Problem, *, seconds: float) -> Basket | None:
    """Return a basket of least cost, whatever it leaves over; None if there is none in time."""
    model = build(problem)
    result = solve_in_order(model.rows, model.aims[:1], seconds=seconds, finish=model.finish)[0]
    if result.status != "optimal" or result.answer is None:
        return None
    return model.basket(result.answer)


def least_cost(problem: Problem, *, seconds: float) -> int | None:
    """Return the least cost alone [cents], or None if there is none or it was not proved."""
    model = build(problem)
    result = solve_in_order(model.rows, model.aims[:1], seconds=seconds)[0]
    return result.cost if result.status == "optimal" else None


def lacks(problem: Problem, good: int, *, seconds: float) -> bool:
    """Return whether some of a good is missing where as little as possible is."""
    model = build(problem, elastic=True)
    result = solve_in_order(model.rows, model.aims[:1], seconds=seconds)[0]
    return result.answer is None or bool(result.answer[model.missing[good]])


def _solve(problem: Problem, *, seconds: float) -> Bought:
    model = build(problem)
    results = solve_in_order(model.rows, model.aims, seconds=seconds, finish=model.finish)
    first = results[0]
    if first.status == "infeasible":
        return Bought("infeasible", problem, None, 0, 0, _spent(results))
    if first.answer is None:
        return _with_a_little_more(problem, first, seconds)
    basket = model.basket(first.answer)
    settled = len(results) == len(model.aims) and all(r.status == "optimal" for r in results)
    return _checked(problem, basket, first.bound, settled=settled, solver_s=_spent(results))


def _with_least_missing(problem: Problem, *, seconds: float) -> Bought | None:
    """Return the best basket of those that do without as little as can be; None if none in time.

    What is missing is sought in whole millilitres, milligrams and pieces, and then told exactly as
    the basket has it, or the rest of the last whole one would seem to be left over.
    """
    model = build(problem, elastic=True)
    results = solve_in_order(model.rows, model.aims, seconds=seconds, finish=model.finish)
    if results[0].answer is None:
        return None
    basket = model.basket(results[0].answer)
    missing = basket.missing(problem)
    goods = (evolve(good, missing=missing.get(i, 0)) for i, good in enumerate(problem.goods))
    bound = results[1].bound if len(results) > 1 else None
    settled = len(results) == len(model.aims) and all(r.status == "optimal" for r in results)
    done = _checked(
        evolve(problem, goods=tuple(goods)), basket, bound, settled=settled,
        solver_s=_spent(results),
    )  # fmt: skip
    # Nothing is missing where it was impossible to within the solver's tolerance only.
    return evolve(done, status="infeasible") if any(missing.values()) else done


def _checked(
    problem: Problem, basket: Basket, bound: int | None, *, settled: bool, solver_s: float
) -> Bought:
    """Return a basket as an answer once it keeps every rule in exact numbers."""
    broken = faults(problem, basket)
    if broken:
        raise RuntimeError("the basket breaks its rules: " + "; ".join(broken))
    cost = basket.cost_cents(problem)
    bound = min(bound if bound is not None else 0, cost)
    status: Status = "optimal" if settled and bound == cost else "feasible"
    return Bought(status, problem, basket, cost, bound, solver_s)


def _spent(results: Sequence[Result]) -> float:
    return sum(result.solver_s for result in results)


def _with_a_little_more(problem: Problem, first: Result, seconds: float) -> Bought:
    """Solve again with a millilitre more of each need, when no answer stood in exact numbers.

    That happens when packs fit a need to within the solver's tolerance and not exactly; the time
    having run out is the other reason for no answer, and then this one finds none either.
    """
    goods = tuple(evolve(g, need=g.need + (1 if g.unit == "ml" else 0)) for g in problem.goods)
    more = evolve(problem, goods=goods)
    model = build(more)
    results = solve_in_order(model.rows, model.aims, seconds=seconds, finish=model.finish)
    answer = results[0].answer
    if answer is None:
        return Bought("limit", problem, None, 0, first.bound or 0, results[0].solver_s)
    settled = len(results) == len(model.aims) and all(r.status == "optimal" for r in results)
    return _checked(
        more, model.basket(answer), first.bound, settled=settled, solver_s=_spent(results)
    )
