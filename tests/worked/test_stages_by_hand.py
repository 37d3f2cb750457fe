"""Pots filled in stages, by hand: the stages come to the whole fill, in mix and in minutes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rootroom.demand.find import find_demand
from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.record.events import new_event
from rootroom.record.next_year.new_plan import next_year
from rootroom.season import make_season
from rootroom.sessions.lifts import session_lifts
from rootroom.sheets.answers.sessions import sessions_text
from tests.support.written_plans import written_plan

REST = """
[garden]
last_frost = 2027-04-12

[work]
days = ["sat"]
first = 2027-03-20
last = 2027-05-15
hours = 4
spare = "0 %"

[minutes]
"sack" = 6
"blend" = 0

[factors]
packing = 1.2
spill = "5 %"
ball = 1.0

[containers.sack]
volume = "30 L"

[mixes.tree]
parts = { bark = 1 }
"""
STAGES = """{ name = "Potato", count = 4, now = "seed", moves = [
 { to = "sack", fill = "1/3" }, { fill = "2/3", wait = "3 weeks" },
 { fill = "full", wait = "2 weeks" } ] }"""


def likely_l(plan: Plan) -> list[float]:
    """Return the likely mix of each move [L]."""
    return [move.mix_l.likely for move in find_demand(plan).moves]


def test_thirds_of_a_sack(tmp_path: Path) -> None:
    """A third of 30 L is 10 L; packed 1.2 times and 5 % spilled 12.6 L, for 4 sacks 50.4 L."""
    plan = written_plan(tmp_path, STAGES, rest=REST)

    assert [50.4, 50.4, 50.4] == pytest.approx(likely_l(plan), rel=1e-9)


def test_ball_takes_its_room_in_the_first_stage(tmp_path: Path) -> None:
    """A ball of 4 L leaves 11 of the first 15 L: 13.86 L loose; the other half takes 18.9 L."""
    plant = """{ name = "Tomato", count = 1, now = "4 L", moves = [
 { to = "sack", big_step = true, fill = "1/2" }, { fill = "full", wait = "2 weeks" } ] }"""
    plan = written_plan(tmp_path, plant, rest=REST)

    assert [13.86, 18.9] == pytest.approx(likely_l(plan), rel=1e-9)


def test_ball_of_a_pot_filled_in_part_is_so_much_smaller(tmp_path: Path) -> None:
    """Out of a half full 10 L pot comes a ball of 5 L, which leaves 25 of 30 L: 31.5 L loose."""
    plant = """{ name = "Tomato", count = 1, now = "seed", moves = [
 { to = "10 L", fill = "1/2" }, { to = "sack", big_step = true, wait = "2 weeks" } ] }"""
    plan = written_plan(tmp_path, plant, rest=REST)

    assert [6.3, 31.5] == pytest.approx(likely_l(plan), rel=1e-9)


def test_stages_have_their_days_and_minutes(tmp_path: Path) -> None:
    """3 and 2 weeks after 20 March are 10 and 24 April; 6 minutes a sack are 2 a third."""
    season = make_season(written_plan(tmp_path, STAGES, rest=REST))
    lines = [(s.date, one) for s in season.schedule.sessions for one in s.plant_lines]

    assert [date(2027, 3, 20), date(2027, 4, 10), date(2027, 4, 24)] == [day for day, _ in lines]
    assert ["move", "fill up", "fill up"] == [line.kind for _, line in lines]
    assert [8, 8, 8] == pytest.approx([line.minutes for _, line in lines], abs=0.1)
    for session, way in zip(
        season.schedule.sessions,
        ("seed to sack, 1/3 full", "sack, 2/3 full", "sack, full"),
        strict=True,
    ):
        assert way in sessions_text(season.plan, season.schedule, on=session.date)
    assert 4 == sum(season.schedule.containers_to_buy.values())
    first, *later = season.schedule.sessions
    assert first.heaviest_kg > 0
    assert [(0, 0, []), (0, 0, [])] == [
        (one.heaviest_kg, one.moved_kg, session_lifts(season.plan, one)) for one in later
    ]  # what is filled up stays where it stands


@pytest.mark.parametrize(
    "container",
    [
        "#15",
        "12 in pot",
        "12 in basket",
        "4 in square pot",
        "72-cell tray",
        "15 gal bag",
        "5 gal bucket",
        "C10",
        "half barrel",
        "sack",
        "round",
        "square",
        "box",
    ],
)
@pytest.mark.parametrize("levels", [("1/3", "2/3", "full"), ("10 %", "11 %", "99 %", "full")])
def test_stages_add_up_to_the_whole_fill(
    container: str, levels: tuple[str, ...], tmp_path: Path
) -> None:
    """The law of stages, for every shape: to 1e-9 of the pot that is filled at once."""
    shapes = """
[containers.round]
round = { top = "14 in", bottom = "11 in", height = "13 in" }
headspace = "1.5 in"
[containers.square]
square = { top = ["24 in", "12 in"], bottom = "9 in", height = "10 in" }
[containers.box]
box = { length = "1 m", width = "30 cm", height = "25 cm" }
"""
    first, *others = (f'fill = "{level}"' for level in levels)
    more = ", ".join(f'{{ {level}, wait = "1 week" }}' for level in others)
    staged = f'{{ name = "P", count = 7, now = "seed", moves = [ {{ to = "{container}", '
    staged += f"{first} }}, {more} ] }}"
    whole = f'{{ name = "P", count = 7, now = "seed", to = "{container}" }}'
    plans = [written_plan(tmp_path, one, rest=REST + shapes) for one in (staged, whole)]

    demands = [find_demand(plan, draws=200) for plan in plans]
    for figure in ("likely", "median", "high"):
        parts, at_once = (getattr(demand.mixes["tree"], figure) for demand in demands)
        assert at_once == pytest.approx(parts, rel=1e-9)
    assert sum(likely_l(plans[0])) == pytest.approx(sum(likely_l(plans[1])), rel=1e-9)


def test_pot_filled_in_part_is_taken_over_as_it_is(tmp_path: Path) -> None:
    """A sack that got its first third alone is that sack next year, and the plan can be read."""
    plan = written_plan(tmp_path, STAGES, rest=REST)
    told = [new_event("moved", date(2027, 3, 20), {"plant": "Potato", "move": 1, "count": 4})]
    file = tmp_path / "plan.toml"
    draft = next_year(file.read_text(encoding="utf-8"), plan, told, file)

    (row,) = draft.data["plants"]
    assert ("sack", date(2027, 3, 20)) == (row["now"], row["since"])
    file.write_text(draft.text, encoding="utf-8")
    assert read_plan(file)[0] is not None
