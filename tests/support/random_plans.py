"""Random plans as data that can be changed and written as TOML, for laws over whole plans."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from pathlib import Path
from random import Random
from typing import Any

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan

Sketch = dict[str, Any]
"""Lists of tables by name: containers and mixes by their names, plants, beds; lengths in inches."""

SIZES = ("tiny", "small", "middle", "large", "huge")


def random_sketch(seed: int) -> Sketch:
    """Return a plan whose containers are the plan's own, so that any unit may write them."""
    random = Random(seed)
    containers = {}
    for number, name in enumerate(SIZES):
        # Each is clearly bigger than the one before, so that every ball has room.
        width = round(3.0 * 1.6**number * random.uniform(1.0, 1.05), 3)
        bottom = round(width * random.uniform(0.8, 0.95), 3)
        height = round(width * random.uniform(1.0, 1.05), 3)
        containers[name] = {"top": width, "bottom": bottom, "height": height, "headspace": 0.25}
    mixes: Sketch = {
        "base": {"parts": {"peat": random.randint(1, 5), "compost": random.randint(1, 5)}},
        "open": {"parts": {"base": random.randint(1, 3), "perlite": 1}},
        "tree": {"parts": {"bark": random.randint(2, 5), "peat": 1, "base": 1}, "shrink": "14 %"},
    }
    for mix in mixes.values():
        mix["add"] = {"dolomitic lime": f"{random.randint(1, 6)} lb/yd3"}
    plants = []
    for number in range(random.randint(3, 8)):
        start = random.randrange(len(SIZES) - 2)
        moves = [
            {"to": SIZES[start + step], "mix": random.choice(sorted(mixes))}
            for step in range(1, random.randint(2, len(SIZES) - start))
        ]
        if random.random() < 0.3:
            moves.append({"refresh": "1/3", "mix": "tree"})
        count = random.choice([1, 2, 5, 12, 30, 250])
        plants.append(
            {"name": f"Plant {number}", "count": count, "now": SIZES[start], "moves": moves}
        )
    beds = [
        {
            "name": f"Bed {number}",
            "sides": (random.randint(36, 96), random.randint(24, 48)),
            "depth": random.randint(9, 14),
            "already": random.randint(0, 3),
            "layers": [{"of": "logs", "depth": 2}, {"of": random.choice(sorted(mixes))}],
        }
        for number in range(random.randint(0, 2))
    ]
    return {"containers": containers, "mixes": mixes, "plants": plants, "beds": beds}


def read_sketch(sketch: Sketch, folder: Path, *, centimetres: bool = False) -> Plan:
    """Return the plan of a sketch, read from a file in `folder`."""
    path = folder / "plan.toml"
    path.write_text(sketch_text(sketch, centimetres=centimetres), encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return plan


def sketch_text(sketch: Sketch, *, centimetres: bool = False) -> str:
    """Return a sketch as a plan file, its lengths in inches or the same in centimetres."""

    def length(inches: float) -> str:
        # Exact in both units: an inch is 2.54 cm.
        return f"{inches * 2.54:.6f} cm" if centimetres else f"{inches} in"

    lines = [
        "format = 1",
        *_list("plants", sketch["plants"]),
        *_list("beds", [_bed(row, length) for row in sketch["beds"]]),
        '[garden]\nname = "Law Yard"\nunits = "us"\ncurrency = "USD"\nlast_frost = 2027-04-12',
        '[work]\ndays = ["sat"]\nfirst = 2027-03-06\nlast = 2027-06-05\nhours = 8',
    ]
    for name, row in sketch["mixes"].items():
        lines += [f"[mixes.{name}]", f"parts = {_inline(row['parts'])}"]
        lines += [f"add = {_inline(row['add'])}"]
        lines += [f'shrink = "{row["shrink"]}"'] if "shrink" in row else []
    for name, row in sketch["containers"].items():
        sides = {side: length(row[side]) for side in ("top", "bottom", "height")}
        lines += [f"[containers.{name}]", f"round = {_inline(sides)}"]
        lines += [f'headspace = "{length(row["headspace"])}"']
    return "\n".join(lines) + "\n"


def changed(sketch: Sketch) -> Sketch:
    """Return a copy to change."""
    return deepcopy(sketch)


def _list(name: str, rows: Sequence[dict[str, Any]]) -> list[str]:
    return [f"{name} = [", *(f"  {_inline(row)}," for row in rows), "]"]


def _bed(row: dict[str, Any], length: Any) -> dict[str, Any]:
    layers = [
        {**layer, "depth": length(layer["depth"])} if "depth" in layer else layer
        for layer in row["layers"]
    ]
    return {
        "name": row["name"],
        "shape": " x ".join(length(side) for side in row["sides"]),
        "depth": length(row["depth"]),
        **({"already": length(row["already"])} if row["already"] else {}),
        "layers": layers,
        "settles": "10 %",
    }


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {_inline(one)}' for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[ " + ", ".join(_inline(one) for one in value) + " ]"
    return f'"{value}"' if isinstance(value, str) else str(value)
