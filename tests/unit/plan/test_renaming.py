"""Things under another name: wherever a plan names them, and nowhere else."""

from __future__ import annotations

import pytest

from rootroom.plan.renaming import rename
from rootroom.problems import TextError

PLAN = """# tree is a mix, and a plant is called tree too
plants = [
  { name = "tree", count = 1, now = "tree", to = "#3", mix = "tree" }, # tree
  { name = "Fig", count = 2, now = "#1", moves = [ { to = "tub", mix = 'tree' } ] },
]
supplies = [ { of = "tree", pack = "2 cu ft", price = 3, from = "tree" }, { of = "tub", pack = 1 } ]
[[beds]]
name = "tree"
mix = "tree"
[mixes.tree] # its recipe
parts.bark = 1
[mixes.tree.add]
lime = "1 lb/yd3"
[mixes.open]
parts = { tree = 2, bark = 1 }
hold = ["tree", "bark"]
[containers.tub]
volume = "9 gal"
[minutes]
"tub" = 3
[suppliers.tree]
trip = 1
"""
MIX = (
    PLAN.replace('mix = "tree"', 'mix = "5:1:1"')
    .replace("mix = 'tree'", 'mix = "5:1:1"')
    .replace('of = "tree"', 'of = "5:1:1"')
    .replace("[mixes.tree", '[mixes."5:1:1"')
    .replace("{ tree = 2", '{ "5:1:1" = 2')
    .replace('hold = ["tree"', 'hold = ["5:1:1"')
)
TUB = PLAN.replace('"tub"', '"half tub"')
RENAMED = {
    ("mixes", "tree", "5:1:1"): MIX,
    ("containers", "tub", "half tub"): TUB.replace("containers.tub", 'containers."half tub"'),
    ("suppliers", "tree", "Mill"): PLAN.replace('from = "tree"', 'from = "Mill"').replace(
        "[suppliers.tree]", "[suppliers.Mill]"
    ),
    ("mixes", "tree", "Tree"): MIX.replace('"5:1:1"', '"Tree"')
    .replace('mixes."Tree"', "mixes.Tree")
    .replace('{ "Tree" = 2', "{ Tree = 2"),
}


@pytest.mark.parametrize(("kind", "old", "new"), RENAMED)
def test_a_thing_gets_its_new_name_wherever_it_is_named(kind: str, old: str, new: str) -> None:
    """The table and all that names it change; what is only called alike stays."""
    assert RENAMED[kind, old, new] == rename(PLAN, kind, old, new)


@pytest.mark.parametrize("new", ["open", "OPEN ", "", "a\nb"])
def test_error_a_name_that_is_taken_or_none(new: str) -> None:
    """Another mix's name, an empty one and one with hidden signs are refused."""
    with pytest.raises(TextError):
        rename(PLAN, "mixes", "tree", new)
