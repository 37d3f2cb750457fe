"""Sessions redone by hand; the arithmetic stands beside each figure."""

from __future__ import annotations

from datetime import date

import pytest

from rootroom.catalogue.ingredients import Ingredient
from rootroom.catalogue.spread import Spread
from rootroom.plan.model import WorkDay
from rootroom.plan.reader import read_plan_text
from rootroom.season import make_season
from tests.support.plans import bed, group, mix, move, nothing, plan, pot, work
from tests.support.scheduling import days, lines_of, minutes, scheduled

pytestmark = pytest.mark.worked

ONE, THREE = pot("#1", 2.5), pot("#3", 9.0)
TREE = mix("tree", {"bark": 2, "peat": 1})
OWN = minutes(pot_1=3.0, pot_3=5.0, blend=10.0)


def test_one_session_by_hand() -> None:
    """24 plants from #1 to #3: minutes, batches, scoops, containers and what is left."""
    figs = group("Fig", 24, move(ONE, THREE))
    made = scheduled(plan([figs], [TREE], work=work(days=days(1)), minutes=OWN, stock={"#3": 10}))

    (session,) = made.sessions
    # 240 min of the clock less 15 % spare is 204. Set-up 20, the mix 20, 24 pots at 5 are 120.
    # A pot has room for 9 - 2.5 = 6.5 L, loose 6.5 x 1.15 x 1.02 = 7.6245 L: 182.988 L for 24.
    # A unit of 2:1 in half scoops of 5 L is 7.5 L, of which 9 fit the vessel of 70 L; 10 min a
    # vesselful are 1.0714 min a unit, 1.0750 in half seconds. 182.988 / 7.5 is 24.4, so 25 units:
    # 26.875 min, in all 186.875.
    assert 186.875 == pytest.approx(session.minutes, abs=1e-3)
    assert 17.125 == pytest.approx(session.free_minutes, abs=1e-3)
    # 187.5 L in batches of 9, 9 and 7 units, and 4.512 L are left.
    (batch,) = session.batches
    assert (25, 9, 7) == (batch.units, batch.units_each, batch.units_last)
    assert 187.5 == pytest.approx(batch.litres)
    assert {"bark": 25.0, "peat": 12.5} == batch.scoops
    assert {"bark": 125.0, "peat": 62.5} == pytest.approx(session.bring.ingredients_l)
    assert 4.512 == pytest.approx(session.left_l["tree"], abs=0.03)
    assert {"#3": 10} == session.bring.from_stock
    assert {"#3": 14} == session.bring.bought
    assert {"#1": 24} == session.frees
    ((_, line),) = lines_of(made.sessions, "move")
    assert 7.6245 == pytest.approx(line.pot_l)
    assert 1.5249 == pytest.approx(line.pot_scoops)


def test_order_and_clock_by_hand() -> None:
    """Set up at 9, blend, the heavy pot before the light one, clean up."""
    bay = group("Bay", 2, move(ONE, THREE))
    sage = group("Sage", 4, move(nothing("cutting"), ONE))
    made = scheduled(plan([sage, bay], [TREE], work=work(days=days(1)), minutes=OWN))

    (session,) = made.sessions
    clock = [(f"{line.start:%H:%M}", line.kind, line.name) for line in session.work]
    # 10 min of the set-up first; 20 for the mix; 2 x 7.6245 and 4 x 2.9325 L are 26.979 L, 4 units
    # of 1.0833 min; then 2 x 5; 4 x 3; the rest.
    expected = [
        ("09:00", "set up", "session"),
        ("09:10", "blend", "tree"),
        ("09:34", "move", "Bay"),
        ("09:44", "move", "Sage"),
        ("09:56", "water in", "plants"),
        ("09:56", "clean up", "session"),
    ]
    assert expected == clock
    assert "10:06" == f"{session.finish:%H:%M}"


def test_freed_pots_serve_again_by_hand() -> None:
    """Eight #1 that figs leave are washed and take cuttings a week later; two more are bought."""
    figs = group("Fig", 8, move(ONE, THREE, due=date(2027, 3, 6)))
    sage = group("Sage", 10, move(nothing("cutting"), ONE, opens=date(2027, 3, 13)))
    made = scheduled(plan([figs, sage], [TREE], work=work(days=days(2)), minutes=OWN))

    second = made.sessions[1]
    assert {"#1": 8} == second.bring.from_freed
    assert {"#1": 2} == second.bring.bought
    wash = [step for step in second.before if step.kind == "wash"]
    assert [("#1", 8)] == [(step.name, step.count) for step in wash]
    assert {"#3": 8, "#1": 2} == made.containers_to_buy


def test_pots_washed_in_a_session_are_not_washed_again_the_evening_before() -> None:
    """With minutes for washing the eight #1 are washed where they are freed: 16 minutes."""
    figs = group("Fig", 8, move(ONE, THREE, due=date(2027, 3, 6)))
    sage = group("Sage", 8, move(nothing("cutting"), ONE, opens=date(2027, 3, 13)))
    own = {**OWN, **minutes(wash=2.0)}
    made = scheduled(plan([figs, sage], [TREE], work=work(days=days(2)), minutes=own))

    first, second = made.sessions
    assert [("#1", 8, 16.0)] == [
        (line.name, line.count, pytest.approx(line.minutes))
        for _, line in lines_of([first], "wash")
    ]
    assert "stack the empty pots for washing" not in first.afterwards
    assert {"#1": 8} == second.bring.from_freed
    assert "wash" not in {step.kind for step in second.before}


def test_watering_in_counts_where_the_plan_gives_minutes() -> None:
    """Eight pots at half a minute are four minutes beside the moves, and twelve in threes two."""
    own = {**OWN, "water in": Spread.exactly(0.5)}
    groups = [
        group("Fig", 8, move(ONE, THREE)),
        group("Sage", 12, move(nothing("cutting"), ONE, per_pot=3)),
    ]
    first = scheduled(plan(groups, [TREE], work=work(days=days(2)), minutes=OWN))
    made = scheduled(plan(groups, [TREE], work=work(days=days(2)), minutes=own))

    (session,) = made.sessions
    (wet,) = [line for line in session.work if line.kind == "water in"]
    assert (20, pytest.approx(4 + 2)) == (wet.count, wet.minutes)
    moves = [line.minutes for line in session.plant_lines]
    assert moves == pytest.approx([x.minutes for x in first.sessions[0].plant_lines])
    assert session.minutes == pytest.approx(first.sessions[0].minutes + 6)


def test_mix_left_over_does_not_get_younger() -> None:
    """What is left of the 6th is 7 days old on the 13th, and too old for 10 days on the 20th."""
    dates = [date(2027, 3, day) for day in (6, 13, 20)]
    small = pot("#2", 4.0)
    groups = [group(f"Fig {day}", 1, move(ONE, small, opens=day, due=day)) for day in dates]
    made = scheduled(plan(groups, [TREE], work=work(days=days(3), store_days=10), minutes=OWN))

    # A unit is 7.5 L, a pot takes 1.5 x 1.173 = 1.7595: 5.7405 are left, then 3.981. On the 20th
    # those are 14 days old: a unit is blended anew.
    blended = {one.date: sum(b.units for b in one.batches) for one in made.sessions}
    assert {dates[0]: 1, dates[1]: 0, dates[2]: 1} == blended
    assert 3.981 == pytest.approx(made.sessions[1].left_l["tree"], abs=0.01)
    assert 5.7405 == pytest.approx(made.sessions[2].left_l["tree"], abs=0.01)


def test_two_people_share_but_one_vessel_stays_one() -> None:
    """With two people the other one begins when the first batch is there, and blending goes on."""
    figs = group("Fig", 24, move(ONE, THREE))
    days_of_two = days(1, people=2)
    made = scheduled(plan([figs], [TREE], work=work(days=days_of_two), minutes=OWN))

    (session,) = made.sessions
    clock = {line.kind: (f"{line.start:%H:%M}", line.clock_min) for line in session.work}
    # Half of the set-up, 10 min of work, takes two people 5 min. The vessel then turns 3 batches,
    # 20 + 25 x 1.0750 = 46.875 min, the first of them done after a third, 15.625 min, at 9:20:38.
    # From there one person pots for 31.250 min of the 120, and both share the other 88.750: 44.375.
    assert ("09:05", pytest.approx(46.875, abs=1e-3)) == clock["blend"]
    assert "09:21" == clock["move"][0]
    assert 31.25 + 44.375 == pytest.approx(clock["move"][1], abs=0.01)


def test_deep_bed_is_filled_in_lifts_before_planting() -> None:
    """A bed of 50 cm of mix takes three lifts of at most 20 cm, then its plants, on one day."""
    kale = group("Kale", 6, move(ONE, place="Long bed"))
    long_bed = bed("Long bed", 0.4, 0.50, [("tree", None)])
    own = minutes(fill_bed=30.0, blend=10.0, plant_out=2.0)
    made = scheduled(plan([kale], [TREE], [long_bed], work=work(days=days(1)), minutes=own))

    (session,) = made.sessions
    kinds = [line.kind for line in session.work if line.kind in ("fill bed", "plant out")]
    assert "plant out" == kinds[-1]
    filled = [line for _, line in lines_of(made.sessions, "fill bed")]
    # 0.4 m2 x 0.5 m = 200 L settled, / 0.9 x 1.02 = 226.667 L loose; 30 min in all.
    assert 226.667 == pytest.approx(sum(line.mix_l for line in filled), abs=0.01)
    assert 3 == sum(line.lifts for line in filled)
    assert 30 == pytest.approx(sum(line.minutes for line in filled))


def test_plants_are_sold_in_their_pots() -> None:
    """Twelve plants go into #3 and are sold in them a week later: only the twelve #1 are empty."""
    figs = group(
        "Fig", 12, move(ONE, THREE), move(THREE, place="sold", number=2, wait_days=7, mix=None)
    )
    made = scheduled(plan([figs], [TREE], work=work(days=days(2)), minutes=OWN))

    assert [{"#1": 12}, {}] == [session.frees for session in made.sessions]
    assert "stack the empty pots for washing" not in made.sessions[1].afterwards
    assert "water" not in {step.kind for step in made.sessions[1].before}


def test_balls_are_watered_before_they_are_divided() -> None:
    """Four balls divided in three are twelve plants to move, and four to water before that."""
    mint = group("Mint", 4, move(THREE, ONE, into=3))
    made = scheduled(plan([mint], [TREE], work=work(days=days(1)), minutes=OWN))

    (session,) = made.sessions
    assert [12] == [line.count for line in session.plant_lines]
    assert [4] == [step.count for step in session.before if step.kind == "water"]


def test_a_day_takes_the_lifts_of_the_depth_that_it_fills() -> None:
    """Three lifts of a layer over several days: 40 % of it are 1.2 lifts, so two, and 20 % one."""
    long_bed = bed("Long bed", 1.6, 0.50, [("tree", None)])
    own = minutes(fill_bed=280.0, blend=1.0)
    garden = work(days=days(4, clock_min=160.0), spare_share=0.0)
    made = scheduled(plan([], [TREE], [long_bed], work=garden, minutes=own))

    assert len(made.sessions) > 1
    for session in made.sessions:
        filled = [line for line in session.work if line.kind == "fill bed"]
        share = sum(line.share for line in filled)
        # A whole lift for each begun third of the layer.
        assert -(-round(share * 300) // 100) == sum(line.lifts for line in filled)


def test_rain_note_by_hand() -> None:
    """What is due today cannot wait; what is due in a fortnight can wait until that work day."""
    figs = group("Fig", 4, move(ONE, THREE, due=date(2027, 3, 6)))
    bays = group("Bay", 4, move(ONE, THREE, due=date(2027, 3, 24)))
    made = scheduled(plan([figs, bays], [TREE], work=work(days=days(4)), minutes=OWN))

    (session,) = made.sessions
    # Work days are 6, 13, 20 and 27 March; the last one up to 24 March is the 20th.
    assert [("Bay", date(2027, 3, 20))] == [(w.name, w.until) for w in session.rain.can_wait]
    assert ["Fig"] == [w.name for w in session.rain.cannot]


def test_work_of_two_days_waits_no_longer_than_the_first_of_them() -> None:
    """30 pots need two of the short days: they must be taken up on the 20th to end on the 27th."""
    short = [WorkDay(date(2027, 3, day), 120.0, 1) for day in (13, 20, 27)]
    garden = work(days=(WorkDay(date(2027, 3, 6), 300.0, 1), *short), mix_setup_min=0.0)
    figs = group("Fig", 30, move(ONE, THREE, due=date(2027, 3, 27)))
    own = minutes(pot_3=5.0, blend=0.0)
    made = scheduled(plan([figs], [TREE], work=garden, minutes=own))

    (session,) = made.sessions
    # 120 min less 15 % is 102, less 20 of set-up 82: 150 min take two such days.
    assert [date(2027, 3, 20)] == [one.until for one in session.rain.can_wait]


def test_what_cannot_wait_takes_no_room_from_what_can() -> None:
    """Figs have no room for 150 minutes in the week to come; the bays' 50 minutes have."""
    garden = work(
        days=(WorkDay(date(2027, 3, 6), 300.0, 1), WorkDay(date(2027, 3, 13), 120.0, 1)),
        mix_setup_min=0.0,
    )
    groups = [group("Fig", 30, move(ONE, THREE)), group("Bay", 10, move(ONE, THREE))]
    own = minutes(pot_3=5.0, blend=0.0)
    made = scheduled(plan(groups, [TREE], work=garden, minutes=own))

    (session,) = made.sessions
    assert [("Bay", date(2027, 3, 13))] == [(w.name, w.until) for w in session.rain.can_wait]
    assert ["Fig"] == [w.name for w in session.rain.cannot]


def test_lateness_by_hand() -> None:
    """Work that does not fit by its date is late: plants times days."""
    # 204 min a day less 20 and 20 leave 164: 24 pots at 6 min take 144 and 25 units of 1.0833 min
    # 27.1, too much; 23 take 138 and 24 units 26: just 164.
    figs = group("Fig", 25, move(ONE, THREE, due=date(2027, 3, 6)))
    own = minutes(pot_3=6.0, blend=10.0)
    made = scheduled(plan([figs], [TREE], work=work(days=days(2)), minutes=own))

    # So 23 are done on time and 2 a week later: 2 x 7 = 14 plant-days.
    assert 14 == made.late_plant_days
    assert [("Fig", 1, 2, 7)] == [(x.plant, x.move, x.count, x.days) for x in made.late]


def test_soil_for_a_bed_is_weighed_and_cautioned() -> None:
    """A session that only fills a bed says what is shovelled in all, and warns of it."""
    densities = {"bark": 300.0, "peat": 150.0}
    known = {n: Ingredient(n, density_kg_per_m3=Spread.exactly(x)) for n, x in densities.items()}
    long_bed = bed("Long bed", 0.4, 0.50, [("tree", None)])
    own = minutes(fill_bed=30.0, blend=10.0)
    one = plan([], [TREE], [long_bed], work=work(days=days(1)), minutes=own, ingredients=known)

    (session,) = scheduled(one).sessions
    # 226.667 L as above, two thirds bark at 0.3 kg/L and one third peat at 0.15: 0.25 kg/L.
    assert 56.667 == pytest.approx(session.moved_kg, abs=0.01)
    assert "shovelling" in [one.key for one in session.cautions]


def test_the_layers_of_a_bed_wait_for_the_rain_together() -> None:
    """Both layers stand on one day: the lower one need not be done before the upper one waits."""
    long_bed = bed("Long bed", 0.4, 0.30, [("logs", 0.1), ("tree", None)], due=date(2027, 3, 20))
    own = minutes(fill_bed=30.0, blend=10.0)
    made = scheduled(plan([], [TREE], [long_bed], work=work(days=days(4)), minutes=own))

    (session,) = made.sessions
    waits = {(one.name, one.of, one.until) for one in session.rain.can_wait}
    assert () == session.rain.cannot
    assert {("Long bed", of, date(2027, 3, 20)) for of in ("logs", "tree")} == waits


RUNS = """\
plants = [
  { name = "Fig", count = 12, now = "bare root", to = "#3", mix = "tree", by = 2027-03-28 },
  { name = "Bay", count = 13, now = "bare root", to = "#3", mix = "tree", by = 2027-03-28 },
  { name = "Sage", count = 10, now = "#1", to = "ground", by = 2027-03-28 },
]
[garden]
units = "metric"
last_frost = 2027-04-12
[work]
first = 2027-03-06
last = 2027-03-28
hours = 8
spare = "0 %"
[minutes]
"#3" = { 1 = 8, 20 = 5, 100 = 3 }
"plant out #1" = { 1 = 3, 11 = 2 }
[mixes.tree]
"""


def test_minutes_by_the_number_in_the_run():
    """25 pots of #3 are filled, so each takes 5 min, 60 and 65; ten #1 planted out take 3 each."""
    found, problems = read_plan_text(RUNS, "plan.toml")
    assert found is not None, problems
    made = make_season(found).schedule
    took = {}
    for session in made.sessions:
        for line in session.plant_lines:
            took[line.name] = took.get(line.name, 0.0) + line.minutes

    assert {"Fig": 60.0, "Bay": 65.0, "Sage": 30.0} == {
        name: pytest.approx(minutes) for name, minutes in took.items()
    }
