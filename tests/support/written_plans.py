"""Plans written for one test: a few plants, and the rest of a small plan below them."""

from __future__ import annotations

from pathlib import Path

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan

REST = """
[garden]
last_frost = 2027-04-12

[work]
days = [2027-03-20, 2027-03-27]
hours = 1
spare = "0 %"

[minutes]
"#3" = 5
"blend" = 0

[mixes.tree]
parts = { bark = 1 }
"""


def written_plan(folder: Path, *plants: str, rest: str = REST, **lists: str) -> Plan:
    """Return the plan of some plants, a table each, with the lists (CSV texts) beside it."""
    for name, text in lists.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    listed = ",\n".join(plant.replace("\n", "") for plant in plants)
    (folder / "plan.toml").write_text(f"plants = [\n{listed}\n]\n{rest}", encoding="utf-8")
    plan, problems = read_plan(folder / "plan.toml")
    assert plan is not None, problems
    return plan
