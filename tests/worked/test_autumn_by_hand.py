"""Autumn by hand: windows from the first frost, plants carried under cover, a season over new year.

Weeks are seven days, so every date follows from a calendar.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rootroom.plan.dates import read_window, resolve
from rootroom.plan.model import Plan
from rootroom.record import record_path
from rootroom.record.apply import apply_record, replay
from rootroom.record.events import new_event
from rootroom.record.file import append, read_record
from rootroom.record.next_year.new_plan import next_year
from rootroom.season import make_season
from rootroom.sessions.room import room_by_day
from rootroom.sheets.kinds import write_sheets
from tests.support.written_plans import written_plan

REST = """
[garden]
first_frost = 2026-10-20
last_frost = 2027-04-12

[work]
days = ["sat"]
hours = 4

[mixes.tree]
parts = { bark = 1 }
"""
LEMON = """{ name = "Lemon", crop = "lemon", count = 6, now = "#7", moves = [
 { to = "shelter" },
 { to = "#10", from = "6 weeks before last frost", by = "2 weeks before last frost" },
 { to = "outdoors", by = "3 weeks after last frost" } ] }"""


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    """Return a plan of lemons that are carried in, potted up under cover and carried out."""
    return written_plan(tmp_path, LEMON, rest=REST)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("first frost", date(2026, 10, 20)),
        ("2 weeks before first frost", date(2026, 10, 6)),
        ("11 weeks after the first frost", date(2027, 1, 5)),
        ("1 week before last frost", date(2027, 4, 5)),
    ],
)
def test_windows_count_from_either_frost(text: str, expected: date) -> None:
    """20 October and 72 days are 31 December; 5 days on it is 5 January."""
    frosts = date(2027, 4, 12), date(2026, 10, 20)
    assert expected == resolve(read_window(text), *frosts)


def test_season_goes_from_before_the_one_frost_to_after_the_other(plan: Plan) -> None:
    """8 weeks before 20 October 2026 is 25 August, 8 weeks after 12 April 2027 is 7 June."""
    assert (date(2026, 8, 25), date(2027, 6, 7)) == (plan.work.first, plan.work.last)


def test_spring_and_autumn_of_one_year(tmp_path: Path) -> None:
    """With both frosts in a year the season is from spring to eight weeks after the first frost."""
    rest = REST.replace("2026-10-20", "2027-10-20")
    spring = written_plan(tmp_path, '{ name = "Bay", count = 1, now = "#1", to = "#2" }', rest=rest)
    assert (date(2027, 2, 15), date(2027, 12, 15)) == (spring.work.first, spring.work.last)


def test_moves_of_the_lemons(plan: Plan) -> None:
    """In by the first frost without being told so; out, as they are tender, after the last one."""
    into, potted, out = plan.plants[0].kind.moves

    assert date(2026, 10, 20) == into.due
    assert (date(2027, 3, 1), date(2027, 3, 29)) == (potted.opens, potted.due)
    assert (date(2027, 4, 12), date(2027, 5, 3)) == (out.opens, out.due)
    assert ["#7", "#7", "#10"] == [move.old.text for move in (into, potted, out)]


def test_carried_plants_take_no_mix_and_free_no_pot(plan: Plan) -> None:
    """Work of three days in their order; the six #7 are free once the plants are potted on."""
    season = make_season(plan)
    lines = [(s, line) for s in season.schedule.sessions for line in s.plant_lines]

    assert ["bring in", "move", "set out"] == [line.kind for _, line in lines]
    assert [0.0, 0.0] == [line.mix_l for _, line in lines[::2]]
    assert [{}, {"#7": 6}, {}] == [dict(session.frees) for session, _ in lines]
    assert [6, 6, 6] == [line.pots for _, line in lines]
    # What is lifted is weighed, with the mix that the pot is known or thought to hold.
    assert all(line.weight_kg and line.moved_kg for _, line in lines)
    assert [2026, 2027, 2027] == [session.date.year for session, _ in lines]
    assert "water in" not in [line.kind for line in season.schedule.sessions[0].work]


def test_carrying_takes_the_plans_own_minutes(tmp_path: Path) -> None:
    """3 minutes a pot are 18 for six; of a tray of 72 cells 2 minutes, so 4 for two trays."""
    plug = '{ name = "Plug", count = 144, now = "72-cell tray", to = "shelter" }'
    minutes = '\n[minutes]\n"carry" = 3\n"carry 72-cell tray" = 2\n'
    season = make_season(written_plan(tmp_path, LEMON, plug, rest=REST + minutes))

    took = {
        (line.name, line.kind): line.minutes
        for session in season.schedule.sessions
        for line in session.work
    }
    assert 18 == pytest.approx(took["Lemon", "bring in"], abs=0.1)
    assert 4 == pytest.approx(took["Plug", "bring in"], abs=0.2)


def test_record_of_two_years(tmp_path: Path, plan: Plan) -> None:
    """What is noted in January of a season from August is no slip of the year."""
    path = tmp_path / "plan.toml"
    events = [
        new_event("moved", date(2026, 10, 17), {"plant": "Lemon", "move": 1, "count": 6}),
        new_event("lost", date(2027, 1, 9), {"plant": "Lemon", "move": 2, "count": 1}),
    ]
    append(record_path(path), events)
    record = read_record(record_path(path), plan)

    assert [] == list(record.problems)
    left = apply_record(plan, record.events)
    assert [5] == [group.count for group in left.plants]
    assert [2, 3] == [move.number for move in left.plants[0].kind.moves]
    # The pot of the one that died is empty, those of the others that were carried are not.
    assert 1 == replay(plan, events).boxes["#7"].emptied


def test_sheets_of_two_years_name_both(plan: Plan, tmp_path: Path) -> None:
    """Calendar and checklists have the days of both years."""
    season, out = make_season(plan), tmp_path / "out"
    names = write_sheets(season, out, paper=None, only=("text", "calendar"))

    days = {session.date for session in season.schedule.sessions}
    assert {2026, 2027} == {day.year for day in days}
    assert {f"checklists/{day.isoformat()}.txt" for day in days} == set(names) - {"season.ics"}
    calendar = (out / "season.ics").read_text(encoding="utf-8")
    assert all(f"DTSTART:{day:%Y%m%d}T" in calendar for day in days)
    assert "First frost planned for" in calendar


def test_plants_under_cover_need_no_room_on_their_bench(tmp_path: Path) -> None:
    """Six pots stand on the bench until they are carried in, and from when they are out again."""
    place = '\n[places."bench 3"]\narea = "4 sq ft"\n'
    lemon = LEMON.replace("count = 6,", 'count = 6, place = "bench 3",')
    plan = written_plan(tmp_path, lemon, rest=REST + place)

    uses = room_by_day(plan, make_season(plan).schedule.sessions)
    assert [True, False, False, True] == [use.taken_m2 > 0 for use in uses]


def test_next_year_they_stand_where_they_were_potted(plan: Plan, tmp_path: Path) -> None:
    """Carrying gives roots no new room: in #10 since the last day of potting, 29 March."""
    text = (tmp_path / "plan.toml").read_text(encoding="utf-8")
    draft = next_year(text, plan, (), tmp_path / "plan.toml", as_planned=True)

    (row,) = draft.data["plants"]
    assert ("#10", date(2027, 3, 29)) == (row["now"], row["since"])
    assert "moves" not in row


def test_bed_of_that_name_wins(tmp_path: Path) -> None:
    """A plan that has a bed called shelter goes on meaning it."""
    bed = '\n[[beds]]\nname = "Shelter"\nshape = "4 ft x 2 ft"\ndepth = "4 in"\n'
    plant = '{ name = "Kale", count = 2, now = "4 in square pot", to = "shelter" }'
    plan = written_plan(tmp_path, plant, rest=REST + bed)

    move = plan.plants[0].kind.moves[0]
    assert ("Shelter", False) == (move.place, move.carried)
