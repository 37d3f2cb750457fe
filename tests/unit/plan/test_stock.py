"""Empty containers that are there: under [containers], in own heaps and in opened packs."""

from __future__ import annotations

from pathlib import Path

import pytest

from rootroom.plan.reader import read_plan
from rootroom.season import make_season

PLAN = """\
plants = [ {{ name = "Fig", count = 10, now = "#1", to = "#3", mix = "tree", from = 2027-04-12, by = 2027-04-26 }} ]
supplies = [
  {{ of = "#3", pack = 4, price = 5.00, on_hand = {on_hand} }},
  {{ of = "#3", have = {have} }},
]
[garden]
last_frost = 2027-04-12
[mixes.tree]
[containers."#3"]
on_hand = {stated}
"""  # noqa: E501


@pytest.mark.parametrize(
    ("stock", "packs", "on_hand", "have", "stated"),
    [
        # 10 pots are needed, 4 to a pack; half a pack is 2 pots, 0.7 of one 2.8: two whole ones.
        (1 + 2, 2, "0.5", 1, 0),
        (1 + 2, 2, "0.7", 1, 0),
        (3 + 2 + 1, 1, "0.5", 3, 1),
        (3 + 4 + 3, 0, "1", 3, 3),
    ],
)
def test_containers_that_are_there_are_not_bought(
    tmp_path: Path, stock: int, packs: int, on_hand: str, have: int, stated: int
) -> None:
    """Stock is what all three places have, and only the rest is bought."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN.format(on_hand=on_hand, have=have, stated=stated))
    plan, problems = read_plan(path)
    assert plan is not None, problems
    season = make_season(plan)

    assert {"#3": stock} == dict(plan.stock)
    assert packs == sum(line.packs for line in season.shopping.lines if line.of == "#3")
    assert stock == sum(s.bring.from_stock.get("#3", 0) for s in season.schedule.sessions)
