"""How a plan becomes a session problem: tasks, orders, containers, mixes, beds."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from rootroom.plan.entries import Pack, StoredMix, Supply
from rootroom.plan.model import Plan
from rootroom.scheduling.problem import Container, Order, Use
from rootroom.sessions.tasks import BedItem
from tests.support.plans import (
    HERE,
    bed,
    group,
    mix,
    move,
    nothing,
    plan,
    pot,
    tray,
    work,
)
from tests.support.scheduling import SATURDAY, days, minutes, scheduled, worked_out

ONE, THREE = pot("#1", 2.5), pot("#3", 9.0)
TREE = mix("tree", {"bark": 2, "peat": 1})


def test_a_move_is_a_task_and_a_wait_is_an_order() -> None:
    """Two moves of one group are two tasks with the gap between them, plant by plant."""
    figs = group("Fig", 18, move(ONE, THREE), move(THREE, ONE, number=2, wait_days=70, count=6))
    made = worked_out(plan([figs], [TREE], work=work(days=days(20)), minutes=minutes(pot_3=5.0)))

    first, second = made.problem.tasks
    assert (18, 6) == (first.count, second.count)
    assert (Order(0, 1, 70),) == made.problem.orders
    assert 5 * made.ticks == first.minutes
    assert SATURDAY.toordinal() == first.opens


def test_shared_pots_are_moved_as_one() -> None:
    """Nine plants at three a pot are three units, each of three plants, that free three pots."""
    herbs = group("Herb", 9, move(ONE, THREE, per_pot=3))
    made = worked_out(plan([herbs, group("Sage", 2, move(nothing(), ONE))], [TREE]))

    (task, _) = made.problem.tasks
    assert (3, 3) == (task.count, task.plants)
    assert (Use(made.containers.index("#3"), 1, 1),) == task.needs
    assert (Use(made.containers.index("#1"), 3, 1),) == task.frees


def test_an_odd_shared_pot_is_counted_plant_by_plant() -> None:
    """Seven plants at three a pot: lateness counts seven, and three pots are needed."""
    made = worked_out(plan([group("Herb", 7, move(ONE, THREE, per_pot=3))], [TREE]))

    (task,) = made.problem.tasks
    assert (7, 1) == (task.count, task.plants)
    assert 3 == task.needs[0].filled(7)


def test_divided_plants_are_moved_as_one() -> None:
    """Four clumps divided by three are four units that give three plants each."""
    iris = group("Iris", 4, move(ONE, ONE, into=3), move(ONE, THREE, number=2))
    made = worked_out(plan([iris], [TREE]))

    first, second = made.problem.tasks
    assert (4, 3, 12) == (first.count, first.plants, second.count)
    assert Order(0, 1, 0, gives=3, takes=1) == made.problem.orders[0]
    assert 3 == first.needs[0].filled(1)
    assert 1 == first.frees[0].freed(1, 4)


def test_a_tray_is_free_with_its_last_plant_only() -> None:
    """Thirty of sixty plants leave two trays of fifty: neither is counted as empty."""
    cells = tray(50, 0.05)
    tomato = group("Tomato", 60, move(cells, ONE, count=30))
    seed = group("Seed", 10, move(nothing(), cells))
    made = worked_out(plan([tomato, seed], [TREE]))

    assert () == made.problem.tasks[0].frees


def test_containers_know_stock_and_limits() -> None:
    """Stock is clean; a supply's `at_most` times its pack limits buying; without one none does."""
    supplies = [
        Supply(1, "#3", "container", HERE, pack=Pack("10", pieces=10), at_most=2),
        Supply(2, "#1", "container", HERE, have_pieces=5),
    ]
    figs = group("Fig", 4, move(ONE, THREE), move(THREE, ONE, number=2))
    more = group("Bay", 4, move(ONE, pot("#7", 20.0)))
    made = worked_out(plan([figs, more], [TREE], supplies=supplies, stock={"#3": 7, "#1": 5}))

    kinds = dict(zip(made.containers, made.problem.containers, strict=True))
    assert Container(7, 20) == kinds["#3"]
    assert Container(5, 0) == kinds["#1"]
    assert Container(0, None) == kinds["#7"]


def test_mix_keeps_no_longer_than_store_days_and_its_own() -> None:
    """The shorter of `store_days` and the mix's `keeps` counts; a bought mix takes no minutes."""
    short = mix("short", {"bark": 1, "peat": 1}, keeps_days=3)
    bought = mix("bought", {})
    figs = group("Fig", 4, move(ONE, THREE, mix="short"))
    bays = group("Bay", 4, move(ONE, THREE, mix="bought"))
    made = worked_out(plan([figs, bays], [TREE, short, bought]))

    kept = dict(zip(made.mixes, made.problem.mixes, strict=True))
    assert (14, 3) == (kept["tree"].keep_days, kept["short"].keep_days)
    assert 0 == kept["bought"].unit_minutes
    assert frozenset({"bought"}) == made.ready


def test_a_mix_inside_another_is_held_by_it() -> None:
    """Open mix is two thirds tree, and loses a tenth: 0.7407 L of tree for each finished litre."""
    open_mix = mix("open", {"tree": 2, "perlite": 1}, shrink=0.1)
    made = worked_out(plan([group("Fig", 4, move(ONE, THREE, mix="open"))], [TREE, open_mix]))

    (hold,) = made.problem.mixes[made.mixes.index("open")].holds
    assert made.mixes.index("tree") == hold.mix
    assert Fraction(hold.parts, hold.whole) - Fraction(20, 27) < Fraction(1, 10**6)


def test_layers_of_a_bed_follow_each_other_and_its_plants() -> None:
    """Logs, then mix, then plants; only the bed's last portion can be late."""
    made = worked_out(
        plan(
            [group("Kale", 6, move(ONE, place="Bed"))],
            [TREE],
            [bed("Bed", 1.0, 0.5, [("logs", 0.1), ("tree", None)], due=date(2027, 3, 20))],
            work=work(days=days(6)),
        )
    )

    beds = [n for n, item in enumerate(made.items) if isinstance(item, BedItem)]
    kale = len(made.items) - 1
    orders = {(order.before, order.after) for order in made.problem.orders if order.whole}
    assert set(zip(beds, [*beds[1:], kale], strict=True)) == orders
    assert [0] * (len(beds) - 1) + [1] == [made.problem.tasks[n].plants for n in beds]
    assert date(2027, 3, 20).toordinal() == made.problem.tasks[beds[-1]].due


def test_washing_counts_where_the_plan_gives_minutes() -> None:
    """Minutes for washing put the washing of pots that serve again into the session."""
    figs = group("Fig", 4, move(ONE, THREE))
    sage = group("Sage", 4, move(nothing(), ONE))
    own = {**minutes(pot_3=5.0, pot_1=1.0), **minutes(wash=2.0)}
    made = worked_out(plan([figs, sage], [TREE], minutes=own))

    assert (5 + 2) * made.ticks == made.problem.tasks[0].minutes
    assert 1 * made.ticks == made.problem.tasks[1].minutes


def test_days_before_the_start_are_left_out() -> None:
    """`start_from` drops the days before it; spare time is taken off the others."""
    one = plan([group("Fig", 4, move(ONE, THREE))], [TREE], work=work(days=days(3, people=2)))
    made = worked_out(one, start_from=date(2027, 3, 13))

    assert [date(2027, 3, 13), date(2027, 3, 20)] == [
        date.fromordinal(day.date) for day in made.problem.days
    ]
    # 240 min less 15 % is 204; two people have 408, the vessel 204.
    day = made.problem.days[0]
    assert (408, 204) == (day.minutes / made.ticks, day.vessel_minutes / made.ticks)


def test_plants_are_sold_in_their_pots() -> None:
    """A sale leaves no empty pots behind, planting out does."""
    basil = group("Basil", 6, move(ONE, place="sold"))
    squash = group("Squash", 6, move(ONE, place="ground"))
    bay = group("Bay", 6, move(nothing("cutting"), ONE))
    sold, planted, _ = worked_out(plan([basil, squash, bay], [TREE])).problem.tasks

    assert () == sold.frees
    assert 6 == planted.frees[0].freed(6, 6)


def test_rows_of_one_name_have_windows_of_their_own() -> None:
    """A list may name two rows alike: 30 and 30 plants at 5 minutes fill a day of 184 with 36."""
    rows = [group("Fig", 30, move(ONE, THREE)), group("Fig", 30, move(ONE, THREE))]
    own = minutes(pot_3=5.0, blend=0.0)
    garden = work(days=days(2), mix_setup_min=0.0)
    made = scheduled(plan(rows, [TREE], work=garden, minutes=own))

    first, second = made.windows
    # Of 240 minutes 15 % stay unplanned and 20 are set-up: 184, so 36 plants at 5 minutes.
    assert {SATURDAY: 30} == first.done
    assert 30 == sum(second.done.values())


def test_moves_of_one_day_go_on_group_by_group() -> None:
    """Two moves on one day: each group is moved on only after its first move."""
    figs = [
        group(name, 2, move(ONE, THREE), move(THREE, ONE, number=2)) for name in ("Early", "Late")
    ]
    made = scheduled(plan(figs, [TREE], work=work(days=days(1))))

    lines = [(line.name, line.move) for line in made.sessions[0].plant_lines]
    assert 4 == len(lines)
    for name in ("Early", "Late"):
        assert lines.index((name, 1)) < lines.index((name, 2))


def two_groups(**more: Any) -> Plan:
    """Return ten figs in early March and ten bays in late March, each of the same litres."""
    figs = group("Fig", 10, move(ONE, THREE, mix="tree", due=SATURDAY))
    bays = group("Bay", 10, move(ONE, THREE, mix="tree", opens=date(2027, 3, 20)))
    return plan([bays, figs], [TREE], work=work(days=days(4)), **more)


def test_mix_that_is_there_goes_to_the_first_plants_and_is_not_blended() -> None:
    """What a record left is laid out: the figs take all of it, and 20 L less are blended."""
    heap = {"tree": StoredMix(20.0, SATURDAY)}
    bare, made = worked_out(two_groups()), worked_out(two_groups(stored=heap))

    assert {1: 2000} == made.there_ml
    assert bare.problem.tasks[0] == made.problem.tasks[0]
    assert bare.problem.tasks[1].mix_ml - 2000 == made.problem.tasks[1].mix_ml
    old = {"tree": StoredMix(20.0, date(2027, 1, 1))}
    assert {} == worked_out(two_groups(stored=old)).there_ml


def test_mix_that_is_there_is_used_in_the_first_session() -> None:
    """20 L are taken from the heap and the rest is blended; the second session blends its own."""
    first, second = scheduled(two_groups(stored={"tree": StoredMix(20.0, SATURDAY)})).sessions
    whole = scheduled(two_groups()).sessions[0]

    assert 20.0 == first.bring.stored_l["tree"]
    assert first.batches[0].litres == pytest.approx(whole.batches[0].litres - 20, abs=5.0)
    assert second.batches


def test_bags_go_to_the_last_plants() -> None:
    """Of a mix that comes half out of bags the bays take them, as unopened bags keep."""
    half = worked_out(two_groups(), ready_share={"tree": 0.5})
    bays, figs = worked_out(two_groups()).problem.tasks

    assert {0: bays.mix_ml} == half.bags_ml
    assert [0, figs.mix_ml] == [task.mix_ml for task in half.problem.tasks]
    first, second = scheduled(two_groups(), ready_share={"tree": 0.5}).sessions
    assert first.batches
    assert not first.bring.ready_l
    assert not second.batches
    assert ["lay out"] == [line.kind for line in second.work if line.name == "tree"]
