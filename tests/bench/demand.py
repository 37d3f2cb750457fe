"""How the demand of a nursery's list grows with its rows, and what the fig plan costs to start.

    python tests/bench/demand.py [--rows 100000] [--rounds 3]

Prints, for the list: the time of `demand --json` beyond the same command on one row, over the time
that reading the rows takes; seconds and peak memory with and without `--json`.
For the fig plan: the process over one that only imports what it needs and does nothing.
Ratios of the quickest of some rounds in one run; the list is invented by a generator with a seed.
"""

from __future__ import annotations

import argparse
import csv
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from random import Random
from time import perf_counter

HERE = Path(__file__).resolve()
FIGS = HERE.parents[2] / "plans" / "spring-figs-and-tomatoes.toml"

HEAD = """format = 1
plants = [ { rows = "rows.csv" } ]
[garden]
name = "Nursery"
units = "us"
currency = "USD"
last_frost = 2027-04-12
[work]
days = ["sat", "sun"]
first = 2027-03-06
last = 2027-06-06
hours = 8
[mixes.tree]
parts = { bark = 5, peat = 1, perlite = 1 }
[mixes.allround]
parts = { peat = 4, compost = 2, perlite = 2 }
add = { "dolomitic lime" = "2 lb/yd3" }
"""
STEPS = {
    "cutting": "50-cell tray", "50-cell tray": "4 in square pot", "4 in square pot": "#1",
    "#1": "#3", "#2": "#5", "#3": "#7", "#5": "#10",
}  # fmt: skip
COUNTS = (1, 2, 4, 6, 12, 18, 24, 40, 72, 100, 250, 1000)
LIBRARIES = "import attrs, numpy, numpy.random, tomllib, typer"
MODULES = (
    LIBRARIES + "; import rootroom.cli.app, rootroom.plan.reader, rootroom.demand.find, "
    "rootroom.sheets.answers.as_json"
)


def write_list(folder: Path, rows: int, counts: Sequence[int] = COUNTS) -> Path:
    """Write a plan whose plants come from a list of so many rows."""
    random = Random(rows)
    folder.mkdir()
    with (folder / "rows.csv").open("w", encoding="utf-8") as file:
        file.write("name,crop,count,now,to,mix,from,by\n")
        for number in range(rows):
            now = random.choice(list(STEPS))
            mix = random.choice(("tree", "allround"))
            weeks = random.randint(1, 5)
            file.write(
                f"Row {number},fig,{random.choice(counts)},{now},{STEPS[now]},{mix},"
                f"{weeks} weeks before last frost,last frost\n"
            )
    (folder / "plan.toml").write_text(HEAD, encoding="utf-8")
    return folder / "plan.toml"


def run(command: Sequence[str], rounds: int) -> tuple[float, float]:
    """Return the least seconds of a process and its greatest peak memory [MB]."""
    seconds, peak = float("inf"), 0.0
    for _ in range(rounds):
        start = perf_counter()
        process = subprocess.Popen([sys.executable, *command], stdout=subprocess.DEVNULL)
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            raise SystemExit(f"{command} ended with {process.returncode}")
        seconds = min(seconds, perf_counter() - start)
        peak = max(peak, usage.ru_maxrss / 1024)
    return seconds, peak


def reading(path: Path, rounds: int) -> float:
    """Return the least seconds that reading the rows takes."""
    seconds = float("inf")
    for _ in range(rounds):
        start = perf_counter()
        with path.open(encoding="utf-8", newline="") as file:
            for _row in csv.reader(file):
                pass
        seconds = min(seconds, perf_counter() - start)
    return seconds


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    demand = ["-m", "rootroom", "demand"]
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        one = write_list(folder / "one", 1)
        many = write_list(folder / "many", options.rows)
        rows_s = reading(many.with_name("rows.csv"), options.rounds)
        one_s, _ = run([*demand, str(one), "--json"], options.rounds)
        many_s, many_mb = run([*demand, str(many), "--json"], options.rounds)
        text_s, text_mb = run([*demand, str(many)], options.rounds)
    print(f"{options.rows} rows: read in {rows_s:.2f} s; one row {one_s:.2f} s")
    print(f"  demand --json {many_s:.2f} s, {many_mb:.0f} MB")
    print(f"  demand        {text_s:.2f} s, {text_mb:.0f} MB")
    print(f"  beyond one row, over reading: {(many_s - one_s) / rows_s:.2f} (at most 6)")
    libraries_s, _ = run(["-c", LIBRARIES], options.rounds + 2)
    modules_s, _ = run(["-c", MODULES], options.rounds + 2)
    figs_s, _ = run([*demand, str(FIGS), "--json"], options.rounds + 2)
    print(f"fig plan {figs_s:.2f} s")
    print(f"  over importing the libraries alone ({libraries_s:.2f} s): {figs_s / libraries_s:.2f}")
    print(f"  over importing all modules ({modules_s:.2f} s): {figs_s / modules_s:.2f} (at most 2)")


if __name__ == "__main__":
    main()
