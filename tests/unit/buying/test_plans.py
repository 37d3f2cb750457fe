"""The shipped plans, read from their files and shopped for."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

PLANS = Path(__file__).parents[3] / "plans"

CODE = """
import sys
from rootroom.buying.shop import shop
from rootroom.demand.find import find_demand
from rootroom.demand.needs import common_level
from rootroom.plan.reader import read_plan
from rootroom.sheets.answers.buying import buying_csv, buying_text
from rootroom.sheets.answers.as_json import buying_json
plan, problems = read_plan(sys.argv[1])
demand = find_demand(plan)
made = shop(plan, common_level(demand, plan.sure_share), demand=demand)
assert made.status == "optimal", made.status
assert made.sure >= plan.sure_share, made.sure
print(buying_text(made, why=True), buying_json(made), buying_csv(made), sep="\\n")
"""


@pytest.mark.parametrize("path", sorted(PLANS.glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_plan_is_answered_alike_in_every_process(path: Path) -> None:
    """Proved, as sure as the plan asks, and the same bytes whatever the order of sets."""
    outputs = []
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", CODE, str(path)],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        outputs.append(done.stdout)

    assert outputs[0] == outputs[1]
    assert max(len(line) for line in outputs[0].decode().split("\n{")[0].splitlines()) <= 80
