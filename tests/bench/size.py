"""How far one machine goes: every command on lists of plants of growing length.

    python tests/bench/size.py [--rows 1 100000 1000000] [--commands demand buy sessions]

Prints for each command and length: processor seconds (children included), seconds by the clock, and
the greatest memory of one process; then its growth: what ten times the rows take beyond one row,
over ten times what the tenth takes. The lists are those of `demand.py`, by a generator with a seed;
each row is one plant, and the nursery has the hands and the vessel that so much work needs.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parent))
from demand import HEAD, write_list

COMMANDS = ("check", "demand", "demand --json", "buy", "sessions", "season")


def measure(command: list[str]) -> tuple[float, float, float]:
    """Return processor seconds, seconds by the clock and peak memory [MB] of a command."""
    start = perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "rootroom", *command],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 3):
        raise SystemExit(f"{command} ended with {process.returncode}")
    return usage.ru_utime + usage.ru_stime, perf_counter() - start, usage.ru_maxrss / 1024


def with_hands(plan: Path, rows: int) -> None:
    """Give the nursery of a list the hands, and a loader to blend with, that its rows need."""
    hands = HEAD.replace(
        "hours = 8", f'hours = 8\npeople = {2 + rows // 400}\nvessel = "{1 + rows // 2000} yd3"'
    )
    plan.write_text(hands + "[minutes]\nblend = 15\n", encoding="utf-8")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", type=int, nargs="+", default=[1, 10_000, 100_000, 1_000_000])
    parser.add_argument("--commands", nargs="+", default=COMMANDS)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        plans = {}
        for rows in options.rows:
            plans[rows] = write_list(Path(temporary) / str(rows), rows, counts=(1,))
            with_hands(plans[rows], rows)
        for command in options.commands:
            name, *flags = command.split()
            spent: dict[int, float] = {}
            for rows, plan in plans.items():
                spent[rows], clock, peak = measure([name, str(plan), *flags])
                line = f"{command:14} {rows:9,} rows {spent[rows]:7.2f} s {clock:7.2f} s clock"
                tenth, one = spent.get(rows // 10), min(spent.values())
                growth = ""
                if rows >= 100_000 and tenth is not None and tenth > one:
                    growth = f"  {(spent[rows] - one) / (10 * (tenth - one)):.2f} of linear"
                print(f"{line} {peak:5.0f} MB{growth}", flush=True)


if __name__ == "__main__":
    main()
