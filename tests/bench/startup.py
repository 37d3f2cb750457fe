"""What starting a command costs beside what it cannot do without; ratios in one run.

    python tests/bench/startup.py [--rounds 7]

- `rootroom --help` over a process that only imports typer (at most 1.5);
- `rootroom demand` on the fig plan over a process that imports the same libraries and modules and
  does nothing (at most 2);
- `rootroom season` on the fig plan over a process that imports the same libraries and solves the
  same problems, handed over ready-made (at most 1.5).

Time is that of the processor, children included, the least of the rounds: the machine's other work
counts less so. The solver's part is kept by a first run: what goes into `cheapest` and
`schedule_work` is written to a file, and the bare process reads it and calls them.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

FIGS = Path(__file__).resolve().parents[2] / "plans" / "spring-figs-and-tomatoes.toml"

KEEP = """
import pickle, sys
import rootroom.buying.solve, rootroom.buying.shop, rootroom.scheduling.solve
import rootroom.sessions.schedule
from rootroom.plan.reader import read_plan
from rootroom.season import make_season
calls = []
def kept(module, name, users):
    there = getattr(module, name)
    def call(*given, **named):
        calls.append((module.__name__, name, given, named))
        return there(*given, **named)
    for user in users:
        if hasattr(user, name):
            setattr(user, name, call)
import rootroom.buying.coverage as chance
kept(rootroom.buying.solve, "cheapest",
     [rootroom.buying.solve, rootroom.buying.shop, chance])
kept(rootroom.scheduling.solve, "schedule_work",
     [rootroom.scheduling.solve, rootroom.sessions.schedule])
make_season(read_plan(sys.argv[1])[0])
assert calls
pickle.dump(calls, open(sys.argv[2], "wb"))
print(*(name for _, name, _, _ in calls))
"""

SOLVE = """
import pickle, sys
from importlib import import_module
import attrs, babel.dates, cattrs, highspy, jinja2, networkx, numpy, tabulate, tomllib, typer
for module, name, given, named in pickle.load(open(sys.argv[1], "rb")):
    getattr(import_module(module), name)(*given, **named)
"""

DEMAND = (
    "import rootroom.cli.app, rootroom.plan.reader, rootroom.demand.find, rootroom.sheets.demand"
)


def seconds(command: Sequence[str], rounds: int) -> float:
    """Return the least processor time of a process and its children [s]."""
    least = float("inf")
    for _ in range(rounds):
        before = os.times()
        done = subprocess.run([sys.executable, *command], capture_output=True)
        after = os.times()
        if done.returncode:
            raise SystemExit(f"{command} ended with {done.returncode}: {done.stderr.decode()}")
        spent = after.children_user - before.children_user
        least = min(least, spent + after.children_system - before.children_system)
    return least


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=7)
    rounds = parser.parse_args().rounds
    program = ["-m", "rootroom"]
    typer, help_screen = (
        seconds(["-c", "import typer"], rounds),
        seconds([*program, "--help"], rounds),
    )
    print(f"--help {help_screen:.2f} s, over typer ({typer:.2f} s): {help_screen / typer:.2f}")
    modules = seconds(["-c", DEMAND], rounds)
    demand = seconds([*program, "demand", str(FIGS)], rounds)
    print(f"demand {demand:.2f} s, over its modules ({modules:.2f} s): {demand / modules:.2f}")
    with tempfile.TemporaryDirectory() as folder:
        kept = str(Path(folder) / "calls")
        names = subprocess.run(
            [sys.executable, "-c", KEEP, str(FIGS), kept], capture_output=True, check=True
        )
        solver = seconds(["-c", SOLVE, kept], max(rounds // 2, 1))
    season = seconds([*program, "season", str(FIGS)], max(rounds // 2, 1))
    print(f"season {season:.2f} s, over its solver ({solver:.2f} s): {season / solver:.2f}")
    print(f"  solved: {names.stdout.decode().strip()}")


if __name__ == "__main__":
    main()
