"""What starting a command costs beside what it cannot do without; ratios in one run.

    python tests/bench/startup.py [--rounds 7]

- `rootroom --help`, `check` and `demand` on the fig plan over a process that only imports typer (at
  most 1.1, 3 and 5);
- `rootroom demand` on the fig plan over a process that imports the same libraries and modules and
  does nothing (at most 2);
- `rootroom season` on the fig plan over a process that imports the same libraries and solves the
  same problems, handed over ready-made (at most 1.5);
- the same over a process that only imports these libraries, both solvers among them (at most 2).

Time is that of the processor, children included, the least of the rounds, one command after the
other in each: the machine's other work counts less so. Modules are compiled once, into a folder of
the bench's own, as they are for whoever installed the program. The solver's part is kept by a first
run: what goes into `cheapest` and `schedule_work` is written to a file, and the bare process reads
it and calls them.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

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
import attrs, babel.dates, highspy, jinja2, networkx, numpy, tabulate, tomllib, typer
for module, name, given, named in pickle.load(open(sys.argv[1], "rb")):
    getattr(import_module(module), name)(*given, **named)
"""

LIBRARIES = """
import attrs, babel.dates, highspy, jinja2, networkx, numpy, tabulate, tomllib, typer
from ortools.sat.python import cp_model
"""

DEMAND = (
    "import rootroom.cli.app, rootroom.plan.reader, rootroom.demand.find, "
    "rootroom.sheets.answers.demand"
)


def as_installed(folder: str) -> dict[str, str]:
    """Return the environment of a process that keeps compiled modules in `folder`, as after pip."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": folder}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    return environment


def seconds(commands: Sequence[Sequence[str]], rounds: int, compiled: str) -> list[float]:
    """Return the least processor time of each process and its children [s]."""
    environment = as_installed(compiled)
    least = [float("inf")] * len(commands)
    for _ in range(rounds + 1):  # the first one compiles
        for place, command in enumerate(commands):
            before = getrusage(RUSAGE_CHILDREN)
            done = subprocess.run([sys.executable, *command], capture_output=True, env=environment)
            after = getrusage(RUSAGE_CHILDREN)
            if done.returncode:
                raise SystemExit(f"{command} ended with {done.returncode}: {done.stderr.decode()}")
            spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            least[place] = min(least[place], spent)
    return least


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=7)
    rounds = parser.parse_args().rounds
    program = ["-m", "rootroom"]
    quick = {
        "--help": [*program, "--help"],
        "check": [*program, "check", str(FIGS)],
        "demand": [*program, "demand", str(FIGS)],
    }
    with tempfile.TemporaryDirectory() as folder:
        typer, modules, *spent = seconds(
            [["-c", "import typer"], ["-c", DEMAND], *quick.values()], rounds, folder
        )
        for name, took in zip(quick, spent, strict=True):
            print(f"{name} {took:.3f} s, over typer ({typer:.3f} s): {took / typer:.2f}")
        print(f"demand over its modules ({modules:.3f} s): {spent[-1] / modules:.2f}")
        kept = str(Path(folder) / "calls")
        names = subprocess.run(
            [sys.executable, "-c", KEEP, str(FIGS), kept], capture_output=True, check=True
        )
        libraries, solver, season = seconds(
            [["-c", LIBRARIES], ["-c", SOLVE, kept], [*program, "season", str(FIGS)]],
            max(rounds // 2, 1),
            folder,
        )
    print(f"season {season:.2f} s, over its solver ({solver:.2f} s): {season / solver:.2f}")
    print(f"season over its libraries ({libraries:.2f} s): {season / libraries:.2f}")
    print(f"  solved: {names.stdout.decode().strip()}")


if __name__ == "__main__":
    main()
