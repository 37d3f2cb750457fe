"""How long buying takes: `python tests/bench/buying.py`.

Prints, for problems of 40 package types, 12 ingredients, 5 suppliers and 6 mixes with flex and
ready-made on, the time of a whole process over the solver's own time plus its import, in one run;
and how many of 500 problems small enough to enumerate agree with enumeration.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

IMPORT = "import time; t = time.perf_counter(); import highspy; print(time.perf_counter() - t)"
SOLVE = """
import sys
sys.path.insert(0, {root!r})
from tests.support.buying_cases import nursery
from rootroom.buying.solve import cheapest
bought = cheapest(nursery({seed}), seconds=120)
print(bought.status, bought.cost_cents, bought.bound_cents, bought.solver_s)
"""


def run(code: str) -> tuple[float, str]:
    """Return the wall time of a fresh process [s], and what it printed."""
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    return time.perf_counter() - start, done.stdout


def large() -> None:
    """Print the ratio of process to solver and import for ten large problems."""
    imports = statistics.median(run(IMPORT)[0] for _ in range(5))
    print(f"a process that only imports the solver: {imports:.3f} s")
    ratios = []
    for seed in range(10):
        wall, out = run(SOLVE.format(root=str(ROOT), seed=seed))
        status, cost, bound, solver = out.split()
        ratios.append(wall / (float(solver) + imports))
        print(
            f"seed {seed}: {status}, {cost} cents, bound {bound}, process {wall:.2f} s, "
            f"solver {float(solver):.2f} s, ratio {ratios[-1]:.2f}"
        )
    print(f"ratio: median {statistics.median(ratios):.2f}, worst {max(ratios):.2f} (at most 2)")


def small() -> None:
    """Print how many small problems agree with full enumeration."""
    from rootroom.buying.solve import cheapest
    from tests.support.buying_cases import best, goods_only, one_mix

    same = 0
    for seed in range(250):
        for problem in (goods_only(seed), one_mix(seed)):
            bought = cheapest(problem, seconds=60)
            found = None
            if bought.status != "infeasible" and bought.basket is not None:
                basket = bought.basket
                found = (bought.cost_cents, basket.left_ml(problem), sum(basket.packs))
            expected = best(problem)
            same += found == (expected and expected[:3])
    print(f"small problems that agree with enumeration: {same} of 500")


if __name__ == "__main__":
    large()
    small()
