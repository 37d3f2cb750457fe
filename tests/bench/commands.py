"""Where the time of each command goes, on the plans in plans/.

    python tests/bench/commands.py [--rounds 3] [--commands check demand buy sessions season]

Prints a table: seconds by the clock of the whole process (the least of the rounds), and what of
them each stage took in the same round. Modules are imported before the first stage and counted as
`start`, with Python's own start; compiled libraries that a stage loads count to the stage.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter, time

from startup import as_installed  # beside this script
from tabulate import tabulate  # noqa: TID251 - a bench prints by itself

PLANS = sorted((Path(__file__).resolve().parents[2] / "plans").glob("*.toml"))
COMMANDS = ("check", "demand", "drained", "buy", "sessions", "season")
STAGES = {
    "reading": ("rootroom.plan.reader", "read_plan"),
    "demand": ("rootroom.demand.find", "find_demand"),
    "buying": ("rootroom.buying.shop", "shop"),
    "sessions": ("rootroom.sessions.schedule", "plan_days"),
    "sheets": ("rootroom.sheets.kinds", "write_sheets"),
}

# The stages import one another when they run, so a wrapped name is found by all of them.
TIMED = """
import importlib, json, sys, time
stages, into, started = json.loads(sys.argv.pop(1)), sys.argv.pop(1), float(sys.argv.pop(1))
spent = dict.fromkeys(stages, 0.0)
def timed(stage, run):
    def call(*given, **named):
        start = time.perf_counter()
        try:
            return run(*given, **named)
        finally:
            spent[stage] += time.perf_counter() - start
    return call
needed = json.loads(sys.argv.pop(1))
for stage, (module, name) in stages.items():
    if stage in needed:
        there = importlib.import_module(module)
        setattr(there, name, timed(stage, getattr(there, name)))
import rootroom.cli.app
spent["start"] = time.time() - started
try:
    rootroom.cli.app.app()
finally:
    open(into, "w").write(json.dumps(spent))
"""
NEEDED = {
    "check": ["reading"],
    "drained": ["reading"],
    "demand": ["reading", "demand"],
    "season": list(STAGES),
}
MOST = ["reading", "demand", "buying", "sessions"]


def measure(command: str, plan: Path, folder: Path) -> tuple[float, dict[str, float]]:
    """Return the seconds of a command and those of its stages."""
    spent = folder / "spent.json"
    flags = ["--out", str(folder / "sheets")] if command == "season" else []
    start = perf_counter()
    told = (json.dumps(STAGES), str(spent), str(time()), json.dumps(NEEDED.get(command, MOST)))
    done = subprocess.run(
        [sys.executable, "-c", TIMED, *told, command, str(plan), *flags],
        capture_output=True,
        env=as_installed(str(folder / "compiled")),
    )
    seconds = perf_counter() - start
    if done.returncode:
        raise SystemExit(f"{command} {plan} ended with {done.returncode}: {done.stderr.decode()}")
    return seconds, json.loads(spent.read_text())


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--commands", nargs="+", default=COMMANDS, choices=COMMANDS)
    options = parser.parse_args()
    columns = ["start", *STAGES]
    rows = []
    with tempfile.TemporaryDirectory() as temporary:
        for command in options.commands:
            for plan in PLANS:
                seconds, spent = min(
                    (measure(command, plan, Path(temporary)) for _ in range(options.rounds + 1)),
                    key=lambda one: one[0],
                )
                rest = seconds - sum(spent.values())
                shares = [f"{spent[name]:.2f}" if spent[name] else "" for name in columns]
                rows.append([command, plan.stem, f"{seconds:.2f}", *shares, f"{rest:.2f}"])
    heads = ["command", "plan", "in all", *columns, "rest"]
    print(tabulate(rows, heads, tablefmt="github", disable_numparse=True))


if __name__ == "__main__":
    main()
