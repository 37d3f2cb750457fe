"""Numbers about packages, computed by reading supplies from a plan and shopping with them."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rootroom import units
from rootroom.buying.shop import shop
from rootroom.buying.shopping import Shopping
from rootroom.demand.estimates import Needs
from rootroom.plan.reader import read_plan
from tests.support.seasons import season_of

FRAME = """format = 1
supplies = [ {{ of = "{of}", {supply} }} ]
[garden]
name = "Published packages"
units = "us"
currency = "USD"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-06-06
hours = 4
"""


def _of(given: Mapping[str, Any]) -> str:
    return str(given.get("of", "peat"))


def _shopping(given: Mapping[str, Any]) -> Shopping:
    """Return the list for `need`, as text times `times`, with the plan's one supply."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "published.toml")
        path.write_text(FRAME.format(of=_of(given), supply=given["supply"]), encoding="utf-8")
        plan, problems = read_plan(path)
    assert plan is not None, problems
    litres = units.read_volume_l(given["need"]) * given.get("times", 1)
    level = given.get("level", 0.5)
    return shop(plan, Needs(level, level, {}, {}, {_of(given): litres}, {}, {}))


def packs(given: Mapping[str, Any]) -> float:
    """Return how many packs are bought."""
    return float(sum(line.packs for line in _shopping(given).lines))


def contents(given: Mapping[str, Any]) -> float:
    """Return what one pack is counted as, in `in`; level 1 counts the least, level 0 the most."""
    line = _shopping({"need": "1 L", **given}).lines[0]
    return line.contents / units.read_volume_l(f"1 {given['in']}")


def left(given: Mapping[str, Any]) -> float:
    """Return what is left over, in `in`."""
    return _shopping(given).left_l[_of(given)] / units.read_volume_l(f"1 {given['in']}")


def bags_of_bed(given: Mapping[str, Any]) -> float:
    """Return how many packs of `of` fill a bed with a mix of `parts`, by all that a plan takes.

    Settling, shrink and spill are the shipped ones, and the list is enough in nine seasons of ten.
    """
    parts = ", ".join(f'"{name}" = {share}' for name, share in given["parts"].items())
    own = "".join(f'[ingredients."{name}"]\n' for name in given["own"])
    supplies = "".join(
        f'[[supplies]]\nof = "{name}"\npack = "{given["pack"]}"\nprice = 1\n'
        for name in given["parts"]
    )
    season = season_of(
        f"""format = 1
[[beds]]
name = "Bed"
shape = "{given["shape"]}"
depth = "{given["depth"]}"
mix = "mix"
{supplies}{own}
[mixes.mix]
parts = {{ {parts} }}
[garden]
units = "us"
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-03-27
hours = 8
"""
    )
    return float(sum(line.packs for line in season.shopping.lines if line.of == given["of"]))
