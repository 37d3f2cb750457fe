"""How long reading a plan takes, beside what its parts take for themselves.

`python tests/bench/plan_reading.py [ROWS]`; all figures are process times of one run.

- a list of ROWS plants: `read_plan` over `csv.reader` alone, and its growth from a tenth of ROWS;
- a plan of 500 plants in TOML: `read_plan` over `tomllib` alone;
- the fig plan: the first reading (catalogue and converter included) and the second.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

from rootroom.plan.reader import read_plan

PLANS = Path(__file__).parents[2] / "plans"
HEAD = """
[garden]
last_frost = 2027-04-12

[mixes.tree]
parts = { bark = 5, peat = 1 }

[mixes.allround]
parts = { peat = 5, perlite = 1 }

"""
KINDS = (
    ("fig", "#1", "#3", "tree"),
    ("fig", "#3", "#7", "tree"),
    ("bay", "#2", "#5", "tree"),
    ("tomato", "50-cell tray", "4 in square pot", "allround"),
    ("basil", "72-cell tray", "4 in square pot", "allround"),
)


def seconds(work: Callable[[], object]) -> float:
    """Return the process time of some work [s]."""
    started = time.process_time()
    work()
    return time.process_time() - started


def write_rows(folder: Path, rows: int) -> Path:
    """Write a list of so many plants and its plan; return the plan's path."""
    draw = random.Random(1)
    with (folder / f"{rows}.csv").open("w", encoding="utf-8") as file:
        file.write("name,crop,count,now,to,mix,from,by\n")
        for number in range(rows):
            crop, now, to, mix = draw.choice(KINDS)
            window = "4 weeks before last frost,last frost"
            count = draw.randint(1, 40)
            file.write(f"Plant {number},{crop},{count},{now},{to},{mix},{window}\n")
    plan = folder / f"{rows}.toml"
    plan.write_text(HEAD + f'[[plants]]\nrows = "{rows}.csv"\n', encoding="utf-8")
    return plan


def only_csv(path: Path) -> None:
    """Read a list with the library alone."""
    with path.open(encoding="utf-8", newline="") as file:
        for _ in csv.reader(file):
            pass


def main() -> None:
    """Print all ratios."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    fig = PLANS / "spring-figs-and-tomatoes.toml"
    print(f"fig plan: first {seconds(lambda: read_plan(fig)):.3f} s, ", end="")
    print(f"second {seconds(lambda: read_plan(fig)):.3f} s")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        small, large = write_rows(folder, rows // 10), write_rows(folder, rows)
        few = min(seconds(lambda: read_plan(small)) for _ in range(3))
        bare = min(seconds(lambda: only_csv(large.with_suffix(".csv"))) for _ in range(3))
        many = min(seconds(lambda: read_plan(large)) for _ in range(3))
        print(f"{rows:,} rows: {many:.3f} s, {many / bare:.2f} times csv alone; ", end="")
        print(f"growth from a tenth {many / few / 10:.2f} of linear")
        draw = random.Random(2)
        lines = [
            f'  {{ name = "Plant {i}", crop = "{crop}", count = {i % 40 + 1}, now = "{now}", '
            f'to = "{to}", mix = "{mix}", from = "2 weeks before last frost" }},\n'
            for i in range(500)
            for crop, now, to, mix in [draw.choice(KINDS)]
        ]
        text = "plants = [\n" + "".join(lines) + "]\n" + HEAD
        path = folder / "plan.toml"
        path.write_text(text, encoding="utf-8")
        bare = min(seconds(lambda: tomllib.loads(text)) for _ in range(5))
        read = min(seconds(lambda: read_plan(path)) for _ in range(5))
        print(f"500 plants in TOML: {read:.3f} s, {read / bare:.2f} times tomllib alone")


if __name__ == "__main__":
    main()
