"""Suppliers that supplies name."""

from __future__ import annotations

from pathlib import Path

from rootroom.plan.reader import read_plan

PLAN = """\
format = 1
supplies = [
  { of = "peat", pack = "2 cu ft", price = 5, from = "Mill Raod" },
  { of = "bark", pack = "2 cu ft", price = 6, from = "Mill Raod" },
]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 5, peat = 1 }
[suppliers."Mill Road"]
trip = 6.00
"""


def test_error_misspelt_supplier_is_told_once(tmp_path: Path) -> None:
    """A supplier misspelt on every line is one warning, which says what is not counted."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN)
    plan, problems = read_plan(path)

    assert plan is not None
    assert ["unknown-supplier"] == [problem.code for problem in problems]
    assert (3, "did you mean `Mill Road`?") == (problems[0].where.line, problems[0].hint)
