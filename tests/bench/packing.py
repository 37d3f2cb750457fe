"""The published packing benchmark: how often the scheduler reaches the known fewest days.

    python tests/bench/packing.py FILE --seconds S [--every N]

FILE holds one JSON object a line: name, capacity, minutes, before (pairs counted from 1), fewest
(the published optimum).
Source: A. Otto, C. Otto, A. Scholl, "Systematic data generation and test design for solution
algorithms on the example of SALBPGen for assembly line balancing", European Journal of Operational
Research 228(1), 33-45, 2013.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from time import perf_counter

from rootroom.scheduling.solve import assign_days


def count_days(case: dict[str, object], days: tuple[int, ...]) -> int:
    """Return the days used, counted again from the case alone; raise if a rule is broken."""
    loads: dict[int, int] = {}
    for task, day in enumerate(days):
        loads[day] = loads.get(day, 0) + case["minutes"][task]
    assert len(days) == len(case["minutes"]), f"{case['name']}: tasks are missing"
    assert max(loads.values()) <= case["capacity"], f"{case['name']}: a day is too full"
    for first, second in case["before"]:
        assert days[first - 1] <= days[second - 1], f"{case['name']}: {first} after {second}"
    return len(loads)


def main() -> int:
    """Schedule every instance of a file and print what was reached."""
    parser = argparse.ArgumentParser()
    parser.add_argument("file", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--every", type=int, default=1, help="only every N-th instance")
    options = parser.parse_args()
    lines = options.file.read_text(encoding="utf-8").splitlines()
    cases = [json.loads(line) for line in lines if line.strip()][:: options.every]
    optimum = proved = worst = 0
    times = []
    for case in cases:
        before = [(first - 1, second - 1) for first, second in case["before"]]
        start = perf_counter()
        answer = assign_days(case["minutes"], before, case["capacity"], seconds=options.seconds)
        times.append(perf_counter() - start)
        excess = count_days(case, answer.days) - case["fewest"]
        if excess or times[-1] > options.seconds:
            print(f"{case['name']}: excess {excess}, {times[-1]:.2f} s", flush=True)
        assert answer.bound <= case["fewest"], f"{case['name']}: bound above the optimum"
        optimum += excess == 0
        proved += answer.status == "optimal"
        worst = max(worst, excess)
    mean = sum(times) / len(times)
    print(f"longest {max(times):.2f} s")
    print(
        f"optimum {optimum} of {len(cases)}, proved {proved}, "
        f"mean seconds {mean:.3f}, worst excess {worst}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
