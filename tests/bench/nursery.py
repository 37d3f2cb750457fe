"""A nursery's season: 1,000 groups, about 2,000 moves, 90 days; sessions, bound, time and memory.

    python tests/bench/nursery.py [--seconds 30] [--groups 1000]

All data is invented by the generator of `home_plans`, with 4,800 person-minutes a day.
"""

from __future__ import annotations

import argparse
import resource
import sys
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parent))
from home_plans import home_plan

from rootroom.scheduling.solve import schedule_work


def main() -> int:
    """Schedule one season and print what was reached, with the peak memory of all processes."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("--groups", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    problem = home_plan(
        options.seed, groups=options.groups, days=90, minutes=4800, moves=None, spread=68
    )
    start = perf_counter()
    answer = schedule_work(problem, seconds=options.seconds)
    taken = perf_counter() - start
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    peak = sum(resource.getrusage(each).ru_maxrss for each in who) / 1024
    above = answer.sessions / max(answer.bound_sessions, 1) - 1
    print(
        f"{len(problem.tasks)} moves: {answer.status}, late {answer.lateness} "
        f"(bound {answer.bound_lateness}), sessions {answer.sessions} "
        f"(bound {answer.bound_sessions}, {above:.1%} above), setups {answer.setups}, "
        f"{answer.method}{', clock' if answer.clock else ''}"
    )
    print(f"{taken:.1f} s, peak memory {peak:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
