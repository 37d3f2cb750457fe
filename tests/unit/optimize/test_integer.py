"""The integer solver: exact answers, proofs, order of aims, silence."""

from __future__ import annotations

import itertools
import random
import subprocess
import sys
from fractions import Fraction

import pytest

from rootroom.buying.integer_model import build
from rootroom.optimize.exact_arithmetic import solve_equations
from rootroom.optimize.integer_program import solve, solve_in_order
from rootroom.optimize.linear_form import IntegerProblem
from tests.support.buying_cases import goods_only, least_missing


def packs(content: Fraction | int, need: Fraction | int) -> IntegerProblem:
    """Return the problem of covering a need with packs of one content."""
    problem = IntegerProblem()
    problem.variable(100)
    problem.row({0: content}, least=need)
    return problem


def test_least_cost_is_proved() -> None:
    """Three packs of four cover ten, and the bound says that no answer costs less."""
    result = solve(packs(4, 10), {0: 5}, seconds=10)

    assert ("optimal", 15, 15, (3,)) == (result.status, result.cost, result.bound, result.answer)


def test_exact_fit_takes_no_pack_more() -> None:
    """Twenty-seven cubic feet in millilitres are exactly a cubic yard."""
    foot = Fraction("28316.846592")

    assert (27,) == solve(packs(foot, 27 * foot), {0: 1}, seconds=10).answer


def test_a_hair_more_takes_one_pack_more() -> None:
    """What is too little by a millionth of a millilitre is not accepted as enough."""
    foot = Fraction("28316.846592")
    result = solve(packs(foot, 27 * foot + Fraction(1, 10**6)), {0: 1}, seconds=10)

    assert result.answer in (None, (28,))
    assert result.status in ("limit", "optimal")


def test_infeasible_is_said() -> None:
    """A need beyond every pack is infeasible, with no answer and no cost."""
    result = solve(packs(4, 401), {0: 1}, seconds=10)

    assert ("infeasible", None, None) == (result.status, result.cost, result.answer)


def test_aims_come_one_after_the_other() -> None:
    """Of two answers of least cost the one with fewer packs is taken, never a dearer one."""
    problem = IntegerProblem()
    small, large = problem.variable(9), problem.variable(9)
    problem.row({small: 1, large: 2}, least=4)
    results = solve_in_order(problem, [{small: 1, large: 2}, {small: 1, large: 1}], seconds=10)

    assert [4, 2] == [result.cost for result in results]
    assert (0, 2) == results[-1].answer


def test_real_variables_come_out_as_fractions() -> None:
    """A third is a third, not a float near it."""
    problem = IntegerProblem()
    count, share = problem.variable(5), problem.variable(whole=False)
    problem.row({share: 3, count: -1}, least=0, most=0)
    problem.row({count: 1}, least=1)
    result = solve_in_order(problem, [{count: 1}], seconds=10)[0]

    assert (1, Fraction(1, 3)) == result.answer


def test_against_every_combination() -> None:
    """Random problems of three variables and three rows: the same least as all combinations."""
    chance = random.Random(7)
    for _ in range(100):
        problem = IntegerProblem()
        for _ in range(3):
            problem.variable(chance.randint(1, 5))
        for _ in range(3):
            terms = {place: chance.randint(-3, 7) for place in range(3)}
            problem.row(terms, least=chance.randint(0, 20))
        aim = {place: chance.randint(1, 9) for place in range(3)}
        every = itertools.product(*(range(int(upper or 0) + 1) for upper in problem.upper))
        costs = [sum(aim[i] * n for i, n in enumerate(v)) for v in every if not problem.faults(v)]

        assert min(costs, default=None) == solve(problem, aim, seconds=10).cost


def test_faults_name_what_is_broken() -> None:
    """The exact check names a broken bound, a broken row and a value that is not whole."""
    problem = packs(4, 10)

    assert [] == problem.faults((3,))
    assert ["row 0 is 8, not 10 to None"] == problem.faults((2,))
    assert ["variable 0 is 101, not 0 to 100"] == problem.faults((101,))
    assert ["variable 0 is 5/2, not whole"] == problem.faults((Fraction(5, 2),))


def test_error_aim_on_a_real_variable() -> None:
    """An aim on a real variable is refused, since no gap would prove it."""
    problem = IntegerProblem()
    problem.variable(whole=False)

    with pytest.raises(ValueError, match="an aim takes whole variables"):
        solve(problem, {0: 1}, seconds=10)


def test_equations_in_fractions() -> None:
    """x + y = 1 and x - 2 y = 0 is two thirds and one third; a system without an answer is None."""
    both = [({0: 1, 1: 1}, 1), ({0: 1, 1: -2}, 0)]

    assert {0: Fraction(2, 3), 1: Fraction(1, 3)} == solve_equations(both, [0, 1])
    assert solve_equations([({0: 1}, 1), ({0: 2}, 2)], [0, 1]) is None


def test_solver_prints_nothing() -> None:
    """Not a byte goes to stdout or stderr, whatever the solver would like to say."""
    code = (
        "from rootroom.optimize.integer_program import IntegerProblem, solve\n"
        "p = IntegerProblem(); p.variable(9); p.row({0: 2}, least=3)\n"
        "assert solve(p, {0: 1}, seconds=9).cost == 2\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)

    assert (b"", b"") == (done.stdout, done.stderr)


def test_start_that_the_library_misreads_is_not_called_best() -> None:
    """An aim after another one is at its least where HiGHS 1.16 carries its start over wrongly.

    It was told the answer of the first aim, read its cost too low in its reduced problem, cut off
    all that costs as much and ended with 36.14; 21.64 is the least, which the enumeration of this
    case says too.
    """
    problem = goods_only(1280)
    model = build(problem, elastic=True)
    missing, cost = solve_in_order(model.rows, model.aims, seconds=60, finish=model.finish)[:2]

    assert least_missing(problem) == (21500, 2164)
    assert [("optimal", 21500, 21500), ("optimal", 2164, 2164)] == [
        (one.status, one.cost, one.bound) for one in (missing, cost)
    ]
