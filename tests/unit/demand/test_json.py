"""The demand as JSON: keys, order, rounding, and text that needs care."""

from __future__ import annotations

import json
from typing import Any

from rootroom.demand.estimates import Estimate
from rootroom.demand.find import Demand, find_demand
from rootroom.sheets.answers.as_json import ROWS_AT_ONCE, demand_json
from rootroom.units import Amount, Rate
from tests.support.plans import DOUBTFUL, bed, group, mix, move, nothing, plan, pot, tray


def written(found: Demand) -> str:
    """Return what is written."""
    return "".join(demand_json(found))


def spread(one: Estimate) -> dict[str, float]:
    """Return an estimate as the object that stands for it."""
    return {key: round(getattr(one, key), 6) for key in ("low", "likely", "high", "median")}


def plainly(found: Demand) -> dict[str, Any]:
    """Return the object as the design states it, made row by row."""
    return {
        "plan": found.file,
        "moves": [
            {
                "plant": row.plant, "move": row.move, "count": row.count, "from": row.old,
                "to": row.new, "mix": row.mix, "fill_l": spread(row.fill_l),
                "ball_l": spread(row.ball_l), "mix_l": spread(row.mix_l),
            }
            for row in found.moves
        ],
        "beds": [{"bed": row.bed, "of": row.of, "l": spread(row.litres)} for row in found.beds],
        "mixes": {name: spread(one) for name, one in found.mixes.items()},
        "ingredients": {name: spread(one) for name, one in found.ingredients.items()},
        "additions": {n: {one.unit: spread(one.amount)} for n, one in found.additions.items()},
    }  # fmt: skip


def test_fragments_make_the_same_object_as_rows() -> None:
    """What is written from shared fragments is what each row by itself would give, in order."""
    odd = 'Ma"rie\\ \0 \N{LATIN SMALL LETTER O WITH DIAERESIS}\u202e\n'
    plugs, p9 = tray(50, 0.04), pot('P"9', 0.5)
    groups = [
        group(odd, 70, move(nothing(), plugs), move(plugs, p9, number=2)),
        group("Stays", 3, move(p9, place="ground")),
        group(odd, 70, move(nothing(), plugs), move(plugs, p9, number=2)),
        group("Fed", 2, move(p9, pot("C5", 5.0), add={"feed": Amount(None, 0.01)})),
    ]
    tree = mix("tree", {"bark": 2, "peat": 1}, add={"lime": Rate(0.002, None)})
    filled = bed("Box", 1.0, 0.2, [("logs", 0.1), ("tree", None)])
    found = find_demand(plan(groups, [tree], [filled], factors=DOUBTFUL))
    text = written(found)
    assert json.loads(text) == plainly(found)
    assert list(json.loads(text)) == list(plainly(found))
    assert text.endswith("}\n")
    assert text.isascii()


def test_plants_that_stay_leave_no_gap() -> None:
    """Rows without a move are left out, commas and all."""
    from rootroom.plan.model import PlantGroup, PlantKind
    from tests.support.plans import HERE

    p9 = pot("P9", 0.5)
    stays = PlantGroup("Stays", 4, PlantKind(None, p9, (), HERE))
    moves = group("Moves", 1, move(nothing(), p9))
    for rows in ([stays], [stays, moves], [moves, stays], [moves, stays, moves], []):
        found = find_demand(plan(rows, [mix("tree", {"peat": 1})]))
        assert json.loads(written(found)) == plainly(found)


def test_chunks_join_without_a_seam() -> None:
    """More rows than are written at once still make one list."""
    rows = [group(f"Row {n}", 1, move(nothing(), pot("P9", 0.5))) for n in range(ROWS_AT_ONCE + 2)]
    found = find_demand(plan(rows, [mix("tree", {"peat": 1})]), draws=10)
    assert len(json.loads(written(found))["moves"]) == ROWS_AT_ONCE + 2


def test_an_empty_plan_is_an_object_too() -> None:
    """Every key is there, whatever the plan holds."""
    keys = ["plan", "moves", "beds", "mixes", "ingredients", "additions"]
    assert keys == list(json.loads(written(find_demand(plan()))))
