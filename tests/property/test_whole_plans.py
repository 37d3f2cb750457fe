"""Laws of buying and of sessions over whole random plans that are read from files.

The sums are done again here from the plan's own figures, without the solvers' code; the days are
judged by the checker, which shares no code with what places the work.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from rootroom.buying.shop import shop
from rootroom.buying.shopping import Shopping
from rootroom.demand.estimates import Needs
from rootroom.demand.find import find_demand
from rootroom.demand.needs import common_level
from rootroom.mixing.blend import blend
from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.solve import schedule_work
from rootroom.sessions.formulation import build_work
from tests.support.random_plans import random_sketch, sketch_text

pytestmark = pytest.mark.property

SEEDS = range(8)
SLACK = 1e-6


def read_with_supplies(seed: int, folder: Path) -> Plan:
    """Return a random plan with two sizes of every ingredient, from two invented places."""
    random = Random(seed)
    rows = []
    for name in ("peat", "compost", "perlite", "bark", "logs"):
        for size, price in ((2, random.uniform(6, 14)), (4, random.uniform(9, 26))):
            place = random.choice(("Mill Road", "Bulk yard"))
            held = f", on_hand = {random.randint(0, 2)}" if random.random() < 0.3 else ""
            rows.append(
                f'{{ of = "{name}", pack = "{size} cu ft", price = {price:.2f}, '
                f'from = "{place}"{held} }},'
            )
    rows.append('{ of = "dolomitic lime", pack = "5 lb", price = 4.00, from = "Mill Road" },')
    sketch = random_sketch(seed)
    for row in sketch["plants"]:
        row["count"] = min(row["count"], 12)
    text = "supplies = [\n" + "\n".join(rows) + "\n]\n" + sketch_text(sketch)
    text = text.replace("hours = 8", 'hours = 8\npeople = 4\nvessel = "10 cu ft"')
    path = folder / "plan.toml"
    path.write_text(text + '[suppliers."Mill Road"]\ntrip = 6.00\n', encoding="utf-8")
    plan, problems = read_plan(path)
    assert plan is not None, problems
    return plan


def shopping_of(plan: Plan) -> Shopping:
    """Return the proved shopping list of a plan."""
    demand = find_demand(plan, draws=400)
    found = shop(plan, common_level(demand, plan.sure_share), containers={})
    assert "optimal" == found.status
    return found


def taken(plan: Plan, needs: Needs) -> dict[str, float]:
    """Return the loose litres of every ingredient that blending and laying take."""
    found = dict(needs.ingredients_l)
    waiting = list(needs.mixes_l.items())
    while waiting:
        name, litres = waiting.pop()
        parts = plan.mixes[name].parts
        loose_l = litres * needs.loose_per_l[name]
        for of, part in parts.items():
            share = loose_l * float(part) / float(sum(parts.values()))
            if of in plan.mixes:
                waiting.append((of, share))
            else:
                found[of] = found.get(of, 0.0) + share
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_buying_covers_and_no_package_could_be_left_out(seed: int, tmp_path: Path) -> None:
    """What is there and bought is at least what is blended and laid; a package less is not."""
    plan = read_with_supplies(seed, tmp_path)
    demand = find_demand(plan, draws=400)
    needs = common_level(demand, plan.sure_share)
    found = shopping_of(plan)
    for name, litres in taken(plan, needs).items():
        lines = [line for line in found.lines if line.of == name]
        there = sum(stock.used for stock in found.stock if stock.of == name)
        over = sum(line.contents for line in lines) + there - litres
        assert over >= -SLACK * litres, name
        for line in lines:
            assert over < line.contents / line.packs + SLACK, line


@pytest.mark.parametrize("seed", SEEDS)
def test_sessions_keep_every_rule(seed: int, tmp_path: Path) -> None:
    """The checker finds no rule broken, whichever way the days were found."""
    plan = read_with_supplies(seed, tmp_path)
    demand = find_demand(plan, draws=400)
    work = build_work(plan, demand, blend(plan))
    answer = schedule_work(work.problem, exact=False)

    assert answer.found
    checked = check_answer(work.problem, answer.placed, answer.blends, answer.bought)
    assert () == checked.broken


def test_error_the_laws_see_a_pack_too_many(tmp_path: Path) -> None:
    """Of each good at least one package size is bought in most plans, so the law can fail."""
    bought = [shopping_of(read_with_supplies(seed, tmp_path)).lines for seed in range(3)]

    assert all(
        len({line.of for line in lines if line.kind == "ingredient"}) >= 3 for lines in bought
    )
