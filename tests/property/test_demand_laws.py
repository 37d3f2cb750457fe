"""Laws that hold for the demand of any plan, tried on random ones read from files."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from attrs import asdict

from rootroom.demand.find import Demand, find_demand
from tests.support.random_plans import Sketch, changed, random_sketch, read_sketch

pytestmark = pytest.mark.property

SEEDS = range(25)
DRAWS = 400


def season(sketch: Sketch, folder: Path, *, centimetres: bool = False) -> Demand:
    """Return the demand of a sketch."""
    return find_demand(read_sketch(sketch, folder, centimetres=centimetres), draws=DRAWS)


def totals(found: Demand) -> dict[str, tuple[float, float, float]]:
    """Return the figures of the season by name."""
    amounts = {name: one.amount for name, one in found.additions.items()}
    named = {**found.mixes, **found.ingredients, **amounts}
    return {name: (one.low, one.likely, one.high) for name, one in named.items()}


def close(first: Demand, second: Demand) -> bool:
    """Whether two demands agree to the last digits, lows and highs included."""
    one, other = totals(first), totals(second)
    return one.keys() == other.keys() and all(
        one[name] == pytest.approx(other[name], rel=1e-9, abs=1e-9) for name in one
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_inches_and_centimetres_agree(seed: int, tmp_path: Path) -> None:
    """A plan in inches needs what its twin in centimetres needs, in every figure."""
    sketch = random_sketch(seed)
    inches, centimetres = season(sketch, tmp_path), season(sketch, tmp_path, centimetres=True)
    assert close(inches, centimetres)
    for one, other in zip(inches.moves, centimetres.moves, strict=True):
        assert asdict(one.mix_l) == pytest.approx(asdict(other.mix_l), rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_splitting_a_group_changes_nothing(seed: int, tmp_path: Path) -> None:
    """Twelve plants in two rows of seven and five need what they need in one row."""
    sketch, random = random_sketch(seed), Random(seed)
    parted = changed(sketch)
    parted["plants"] = []
    for row in sketch["plants"]:
        first = random.randint(1, row["count"])
        for name, count in ((row["name"], first), (row["name"] + " too", row["count"] - first)):
            if count:
                parted["plants"].append({**row, "name": name, "count": count})
    assert totals(season(sketch, tmp_path)) == totals(season(parted, tmp_path))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_tables_changes_nothing(seed: int, tmp_path: Path) -> None:
    """Plants, beds, mixes and containers in another order: the same figures to the last bit."""
    sketch, random = random_sketch(seed), Random(seed)
    shuffled = changed(sketch)
    for key in ("plants", "beds"):
        random.shuffle(shuffled[key])
    for key in ("mixes", "containers"):
        rows = list(shuffled[key].items())
        random.shuffle(rows)
        shuffled[key] = dict(rows)
    first, second = season(sketch, tmp_path), season(shuffled, tmp_path)
    assert totals(first) == totals(second)
    by_name = {(row.plant, row.move): row for row in second.moves}
    assert all(by_name[row.plant, row.move] == row for row in first.moves)


@pytest.mark.parametrize("seed", SEEDS)
def test_doubling_counts_doubles_the_likely_demand(seed: int, tmp_path: Path) -> None:
    """Twice the plants need twice the mix; the beds stay."""
    sketch = random_sketch(seed)
    sketch["beds"] = []
    doubled = changed(sketch)
    for row in doubled["plants"]:
        row["count"] *= 2
    once, twice = totals(season(sketch, tmp_path)), totals(season(doubled, tmp_path))
    for name, figures in once.items():
        assert twice[name] == pytest.approx([2 * figure for figure in figures])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_bigger_target_never_needs_less(seed: int, tmp_path: Path) -> None:
    """With a bigger last container nothing is needed less, in likely, low or high."""
    sketch = random_sketch(seed)
    random = Random(seed)
    bigger = changed(sketch)
    # The last container is nobody's old one, except of a refresh, which grows with it.
    side = random.choice(["top", "bottom", "height"])
    bigger["containers"]["huge"][side] = round(bigger["containers"]["huge"][side] * 1.1, 3)
    before, after = totals(season(sketch, tmp_path)), totals(season(bigger, tmp_path))
    for name, figures in before.items():
        assert all(a >= b - 1e-9 for a, b in zip(after[name], figures, strict=True)), name
    filled = any(move.get("to") == "huge" for row in sketch["plants"] for move in row["moves"])
    assert filled == (before != after)


@pytest.mark.parametrize("seed", SEEDS)
def test_mass_and_volume_balance(seed: int, tmp_path: Path) -> None:
    """Ingredients, less what blending loses, are the mix that plants and beds take."""
    plan = read_sketch(random_sketch(seed), tmp_path)
    found = find_demand(plan, draws=DRAWS)
    logs = sum(row.litres.likely for row in found.beds if row.of == "logs")
    loose = sum(one.likely for one in found.ingredients.values()) - logs
    used = sum(row.mix_l.likely for row in found.moves)
    used += sum(row.litres.likely for row in found.beds if row.of != "logs")
    lost = sum(
        one.likely / (1 - plan.mixes[name].shrink.likely) - one.likely
        for name, one in found.mixes.items()
    )
    assert loose == pytest.approx(used + lost)
