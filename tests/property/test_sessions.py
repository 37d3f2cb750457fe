"""Laws of sessions that must hold whatever the plan: nothing is lost on the way to the paper."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from datetime import date, timedelta
from functools import cache

import pytest
from attrs import evolve

from rootroom.demand.find import find_demand
from rootroom.mixing.blend import blend
from rootroom.plan.model import Plan, PlantGroup
from rootroom.scheduling.checker import check_answer
from rootroom.scheduling.solve import schedule_work
from rootroom.sessions import formulation as building
from rootroom.sessions import tasks
from rootroom.sessions.schedule import Planned
from rootroom.sessions.session import PlantLine
from rootroom.sessions.timeline import Schedule
from tests.support.plans import bed, group, mix, move, nothing, plan, pot, tray, work
from tests.support.scheduling import SATURDAY, days, minutes, worked_out

pytestmark = pytest.mark.property

ONE, THREE, SEVEN, TRAY = pot("#1", 2.5), pot("#3", 9.0), pot("#7", 22.0), tray(50, 0.05)
OWN = minutes(pot_1=2.0, pot_3=4.0, pot_7=9.0, blend=8.0, refresh=20.0, plant_out=1.5)


def draw_group(chance: random.Random, number: int) -> PlantGroup:
    """Return plants with one to three moves, every kind of move among them."""
    count = chance.choice((1, 2, 3, 6, 12, 24))
    opens = SATURDAY + timedelta(chance.randint(0, 30))
    due = opens + timedelta(chance.randint(10, 30))
    then = opens + timedelta(21)
    shape = chance.randrange(6)
    first = {"opens": opens, "due": due}
    second = {"opens": then, "due": due + timedelta(40), "wait_days": 14, "number": 2}
    moves = {
        0: (move(TRAY, ONE, **first), move(ONE, THREE, **second)),
        1: (move(nothing("cutting"), TRAY, **first), move(TRAY, ONE, **second)),
        2: (move(ONE, THREE, **first), move(THREE, place="Bed", **second)),
        3: (move(SEVEN, refresh=0.3, **first),),
        4: (move(ONE, THREE, per_pot=3, mix="open", **first),),
        5: (
            move(ONE, ONE, into=2, **first),
            move(ONE, THREE, count=max(1, count), **second),
        ),
    }[shape]  # fmt: skip
    return group(f"plants {number}", count, *moves)


def draw_plan(seed: int, groups: int = 12) -> Plan:
    """Return an invented plan of this seed."""
    chance = random.Random(seed)
    return plan(
        [draw_group(chance, number) for number in range(groups)],
        [mix("tree", {"bark": 2, "peat": 1}), mix("open", {"tree": 2, "perlite": 1}, shrink=0.1)],
        [bed("Bed", 1.0, 0.30, [("logs", 0.1), ("tree", None)])],
        work=work(
            days=days(16, people=2),
            last=SATURDAY + timedelta(7 * 15),
            store_l=chance.choice((0.0, 60.0)),
        ),
        minutes=OWN,
        stock={"#1": chance.choice((0, 10)), "#3": 5},
    )


def made_of(one: Plan) -> Schedule:
    """Return a checked schedule by construction alone, which is quick."""
    demand = find_demand(one)
    blending = blend(one)
    task = building.build_work(one, demand, blending)
    answer = schedule_work(task.problem, exact=False)
    assert answer.found
    assert () == check_answer(task.problem, answer.placed, answer.blends, answer.bought).broken
    made = Planned.of(one, task, blending, answer).book()
    assert answer.lateness == sum(late.count * late.days for late in made.late)
    return made


SEEDS = range(10)


@cache
def case(seed: int) -> tuple[Plan, Schedule]:
    """Return a drawn plan and its schedule."""
    one = draw_plan(seed)
    return one, made_of(one)


def check_moves(one: Plan, made: Schedule) -> None:
    """Check that each move of each group is done wholly, in order, with its gap, in its window."""
    done: dict[tuple[str, int], Counter[date]] = defaultdict(Counter)
    for session in made.sessions:
        for line in session.work:
            if isinstance(line, PlantLine):
                done[line.name, line.move][session.date] += line.count
    for plants in one.plants:
        before: Counter[date] = Counter()
        for planned, count in zip(plants.kind.moves, plants.counts, strict=True):
            here = done[plants.name, planned.number]
            assert count == here.total()
            assert min(here) >= planned.opens
            if before:
                for day in here:
                    ready = sum(n for d, n in before.items() if d + timedelta(14) <= day)
                    assert sum(n for d, n in here.items() if d <= day) <= ready * planned.into
            before = here


@pytest.mark.parametrize("seed", SEEDS)
def test_every_plant_is_moved_once(seed: int) -> None:
    """Each move of each group is done wholly, in order, with its gap, in its window."""
    check_moves(*case(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_minutes_add_up_and_fit(seed: int) -> None:
    """The lines of a session add up to its minutes, which with the free ones are the day's."""
    one, made = case(seed)
    offered = {day.date: day.minutes * day.people for day in one.work.days}
    for session in made.sessions:
        assert session.minutes == pytest.approx(sum(line.minutes for line in session.work))
        assert session.free_minutes >= 0
        usable = offered[session.date] * (1 - one.work.spare_share)
        assert usable == pytest.approx(session.minutes + session.free_minutes, abs=1.01)
        starts = [line.start for line in session.work if line.kind not in ("blend", "lay out")]
        assert sorted(starts) == starts


@pytest.mark.parametrize("seed", SEEDS)
def test_mix_is_there_when_it_is_used(seed: int) -> None:
    """Batches, and what was left before, cover every session's use; what is over is told."""
    _, made_schedule = case(seed)
    left: dict[str, float] = {}
    for session in made_schedule.sessions:
        made = {batch.mix: batch.litres for batch in session.batches}
        used: Counter[str] = Counter()
        for line in session.work:
            if line.mix is not None:
                used[line.mix] += line.mix_l  # type: ignore[assignment]
        for batch in session.batches:
            inner = batch.scoops.get("tree", 0.0) * batch.scoop_l
            used["tree"] += inner if batch.mix == "open" else 0.0  # type: ignore[assignment]
        for name in set(made) | set(used):
            had = left.get(name, 0.0) + made.get(name, 0.0)
            assert had >= used[name] - 0.1
            assert session.left_l.get(name, 0.0) <= had - used[name] + 0.3
        left = dict(session.left_l)


@pytest.mark.parametrize("seed", SEEDS)
def test_containers_balance(seed: int) -> None:
    """What is filled comes from stock, from what was freed on an earlier day, or from the shop."""
    one, made = case(seed)
    stock, freed = Counter(one.stock), Counter[str]()
    for session in made.sessions:
        bring = session.bring
        for name, count in bring.from_stock.items():
            stock[name] -= count
            assert stock[name] >= 0
        for name, count in bring.from_freed.items():
            freed[name] -= count
            assert freed[name] >= 0
        filled = Counter[str]()
        for line in session.plant_lines:
            if line.kind == "move" and line.new is not None and "tray" not in line.new:
                filled[line.new] += line.pots
        brought = {name: n for name, n in bring.containers.items() if "tray" not in name}
        assert dict(filled) == brought
        freed.update(session.frees)
    bought = Counter[str]()
    for session in made.sessions:
        bought.update(session.bring.bought)
    assert dict(bought) == dict(made.containers_to_buy)


@pytest.mark.parametrize("seed", SEEDS)
def test_goods_are_told_on_their_first_day(seed: int) -> None:
    """Every good that a session needs is due on the day of the first such session."""
    _, made = case(seed)
    first: dict[str, date] = {}
    for session in reversed(made.sessions):
        bring = session.bring
        for amounts in (bring.ingredients_l, bring.bought, bring.additions_kg, bring.ready_l):
            first.update(dict.fromkeys(amounts, session.date))
    assert first == {good.name: good.first for good in made.goods_due}


@pytest.mark.parametrize("seed", range(3))
def test_groups_moved_alike_may_be_one_task(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A long list that is planned by kinds keeps every rule of every single group."""
    chance = random.Random(seed)
    samples = [draw_group(chance, n) for n in range(5)]
    groups = []
    for number in range(40):
        sample = samples[number % 5]
        fixed = any(step.count is not None for step in sample.kind.moves)
        count = sample.count if fixed else chance.choice((3, 6))
        groups.append(evolve(sample, name=f"plants {number}", count=count))
    one = evolve(draw_plan(seed), plants=plan(groups).plants)
    apart = worked_out(one)
    monkeypatch.setattr(tasks, "MERGE_FROM", 10)
    together = worked_out(one)

    assert len(together.items) < len(apart.items)
    total = sum(task.count * task.minutes / apart.ticks for task in apart.problem.tasks)
    merged = sum(task.count * task.minutes / together.ticks for task in together.problem.tasks)
    assert total == pytest.approx(merged, rel=0.02)
    check_moves(one, made_of(one))


def test_the_same_plan_gives_the_same_bytes() -> None:
    """Two runs of one plan agree to the last byte."""
    from rootroom.sheets.answers.as_json import sessions_json
    from rootroom.sheets.answers.sessions import sessions_text

    one = draw_plan(3)
    first, second = made_of(one), made_of(one)

    assert sessions_json(first) == sessions_json(second)
    assert sessions_text(one, first, why=True) == sessions_text(one, second, why=True)
