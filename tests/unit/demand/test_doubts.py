"""Where the doubt comes from."""

from __future__ import annotations

import pytest
from attrs import evolve

from rootroom.catalogue.spread import Spread
from rootroom.demand.doubts import doubts
from rootroom.demand.find import find_demand
from rootroom.plan.model import Garden
from tests.support.plans import DOUBTFUL, WORKED, bed, group, mix, move, nothing, plan, pot, tray

SURE = pot("#1", 2.5)
UNSURE = pot("tall fig pot", Spread(8, 10, 14), headspace_m=0.02)
LOOSE = mix("tree", {"bark": 1, "peat": 1}, shrink=0.15)


def test_the_widest_input_comes_first() -> None:
    """The pot's volume is far wider than the other two, so it is named first, with its line."""
    factors = evolve(WORKED, packing=Spread(1.14, 1.15, 1.17), spill=Spread(0.01, 0.02, 0.03))
    fig = plan([group("Fig", 9, move(SURE, UNSURE))], [LOOSE], factors=factors)
    found = doubts(fig, find_demand(fig))
    assert ["fill of tall fig pot", "packing", "spill"] == [doubt.factor for doubt in found]
    assert found[0].line == '[containers."tall fig pot"] volume = "... L"'
    assert found[0].measure == "fill one tall fig pot level with its brim from a known bucket"
    assert found[1].line == "[factors] packing = ..."
    assert found[2].line == '[factors] spill = "... %"'
    assert found[0].share > 0.9
    assert sum(doubt.share for doubt in found) == pytest.approx(1.0)


def test_a_container_is_measured_as_it_is_used() -> None:
    """A tray by its cells and in small measures, a bag as full as it is used."""
    cells = tray(50, Spread(0.03, 0.04, 0.06))
    sack = pot("20 L bag", Spread(18, 20, 24))
    groups = [group("Kale", 9, move(nothing(), cells)), group("Fig", 1, move(SURE, sack))]
    sown = plan(groups, [LOOSE])
    found = {doubt.line: doubt.measure for doubt in doubts(sown, find_demand(sown))}
    assert found == {
        '[containers."20 L bag"] volume = "... L"':
            "fill one 20 L bag as full as you use it from a known bucket",
        '[containers."50-cell tray"] volume = "... mL"':
            "fill one 50-cell tray from a measured jug and divide by its 50 cells",
    }  # fmt: skip


def test_one_input_alone_is_the_whole_doubt() -> None:
    """With one input in doubt, knowing it leaves no spread."""
    fig = plan([group("Fig", 9, move(SURE, UNSURE))], [LOOSE])
    (doubt,) = doubts(fig, find_demand(fig))
    assert doubt.share == pytest.approx(1.0)


def test_shrink_ball_and_beds_are_named_with_their_lines() -> None:
    """A mix and a bed are named by their own names, quoted where TOML needs it."""
    soft = mix('bed "mix"', {"topsoil": 1, "coir": 1}, shrink=Spread(0.02, 0.1, 0.3))
    south = bed("South", 3.0, 0.2, [('bed "mix"', None)], settles=Spread(0.05, 0.1, 0.3))
    factors = evolve(WORKED, ball=Spread(0.5, 0.9, 1.0))
    us = Garden("Test Yard", "us", "USD", None, None)
    garden = plan(
        [group("Fig", 30, move(SURE, pot("#3", 9.0), mix='bed "mix"'))],
        [soft], [south], factors=factors, garden=us,
    )  # fmt: skip
    found = {doubt.factor: doubt.line for doubt in doubts(garden, find_demand(garden))}
    assert found == {
        'shrink of bed "mix"': '[mixes."bed \\"mix\\""] shrink = "... %"',
        "settles of South": 'settles = "... %" in the bed `South`',
        "ball": "[factors] ball = ...",
    }


def test_nothing_in_doubt_names_nothing() -> None:
    """Figures that are all known leave no doubt to name."""
    known = plan([group("Fig", 9, move(nothing(), SURE))], [LOOSE], factors=WORKED)
    assert doubts(known, find_demand(known)) == ()
    assert doubts(plan(), find_demand(plan())) == ()
    # The factors are in doubt, and nothing is needed that they could widen.
    empty = plan(factors=DOUBTFUL)
    assert doubts(empty, find_demand(empty)) == ()


def test_at_most_three_are_named() -> None:
    """Three are enough to measure in one spring."""
    fig = plan(
        [group("Fig", 9, move(pot("#1", Spread(2, 2.5, 3)), UNSURE))],
        [mix("tree", {"bark": 1, "peat": 1}, shrink=Spread(0.1, 0.15, 0.2))], factors=DOUBTFUL,
    )  # fmt: skip
    found = doubts(fig, find_demand(fig))
    assert len(found) == 3
    assert [d.share for d in found] == sorted((d.share for d in found), reverse=True)


@pytest.mark.parametrize(("litres", "unit"), [(0.4, "mL"), (0.5, "L"), (0.9, "L")])
def test_small_pots_are_measured_in_small_units(litres: float, unit: str) -> None:
    """Below half a litre the line speaks of millilitres."""
    unsure = pot("cup", Spread(litres * 0.9, litres, litres * 1.2))
    one = plan([group("Fig", 9, move(nothing(), unsure))], [LOOSE])
    found = [doubt.line for doubt in doubts(one, find_demand(one)) if "cup" in doubt.line]
    assert found == [f'[containers.cup] volume = "... {unit}"']
