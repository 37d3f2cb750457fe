"""Room in a place: what pots take there day by day, and what is told where they do not fit."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from attrs import evolve

from rootroom.containers.text import read_container
from rootroom.plan.entries import Place
from rootroom.plan.reader import read_plan_text
from rootroom.season import make_season
from rootroom.sessions.room import pot_area_m2, room_by_day
from rootroom.sheets.answers.check import check_text
from rootroom.sheets.answers.sessions import sessions_text
from rootroom.sheets.charts.season import room_charts, weeks

INCH = 0.0254

# An invented bench. A tray takes 0.54 x 0.27 m, a #1 is 6.5 in wide and a #3 10.25 in; each has an
# inch beside it.
PLAN = """\
plants = [
  { name = "Tomato", count = 50, now = "50-cell tray", place = "bench 3", to = "4 in square pot", mix = "all", from = 2027-03-20, by = 2027-03-21 },
  { name = "Fig", count = 6, now = "#1", place = "bench 3", to = "#3", mix = "all", spacing = "14 in", from = 2027-03-06, by = 2027-03-07 },
  { name = "Sage", count = 4, now = "#1", place = "bench 3", to = "ground", from = 2027-03-27, by = 2027-03-28 },
  { name = "Bay", count = 3, now = "15 L", place = "Bench 4" },
]
[garden]
last_frost = 2027-04-12
[work]
first = 2027-03-06
last = 2027-03-28
[mixes.all]
[places."bench 3"]
area = "24 sq ft"
gap = "1 in"
[places."bench 4"]
area = "2 ft x 3 ft"
"""  # noqa: E501


@cache
def season_of(text=PLAN):
    """Return the season of a plan."""
    plan, problems = read_plan_text(text, "plan.toml")
    assert plan is not None, [str(one) for one in problems]
    return make_season(plan)


def taken(season, place="bench 3"):
    """Return what a place holds after each day [m2]; the last use of a day counts."""
    return {
        use.date: use.taken_m2
        for use in room_by_day(season.plan, season.schedule.sessions)
        if use.place == place
    }


def test_room_by_hand():
    """Six figs 14 in apart, four #1 of 7.5 in, a tray with its inch; then pots of 5 in; then less.

    Figs 6 x (14 in)2 = 1176 sq in before and after, sage 4 x 7.5 x 7.5 = 225 sq in, the tray
    0.5654 x 0.2954 m = 258.88 sq in; fifty pots of 5 in take 1250 sq in.
    """
    tray = (0.54 + INCH) * (0.27 + INCH) / INCH**2
    found = {day: m2 / INCH**2 for day, m2 in taken(season_of()).items()}

    assert {
        date(2027, 3, 6): pytest.approx(1176 + 225 + tray),
        date(2027, 3, 20): pytest.approx(1176 + 225 + 1250),
        date(2027, 3, 27): pytest.approx(1176 + 1250),
    } == found
    assert 258.88 == pytest.approx(tray, abs=0.01)


def test_what_does_not_fit_is_told_beside_the_session():
    """On 12 sq ft, 1728 sq in, there are 923 too many: 37 of the pots of 25 sq in."""
    season = season_of(PLAN.replace("24 sq ft", "12 sq ft"))
    told = [one.afterwards[-1] for one in season.schedule.sessions]

    assert [
        False, True, True,
    ] == ["find room" in one for one in told]  # fmt: skip
    assert (
        "find room for about 37 of 4 in square pot: bench 3 has 12 sq ft, 18½ sq ft needed"
        == told[1]
    )
    text = sessions_text(season.plan, season.schedule)
    assert "find room for about 37 of 4 in square pot" in " ".join(text.split())


def test_more_area_never_leaves_more_pots_over():
    """Wherever the area lies, a larger one has at most as many pots too many."""
    over, season = [], season_of()
    for feet in (1, 6, 12, 16, 18, 19, 24):
        place = Place(feet * 144 * INCH**2, INCH)
        plan = evolve(season.plan, places={"bench 3": place})
        uses = room_by_day(plan, season.schedule.sessions)
        over.append(sum(use.over for use in uses if use.place == "bench 3"))

    assert sorted(over, reverse=True) == over
    assert over[0] > 0 == over[-1]


def test_two_places_hold_what_one_holds():
    """Plants parted between two places take together what they took in one."""
    parted = PLAN.replace('now = "#1", place = "bench 3", to = "#3"',
                          'now = "#1", place = "bench 5", to = "#3"')  # fmt: skip
    season = season_of(parted + '[places."bench 5"]\narea = "9 sq ft"\ngap = "1 in"\n')
    one, five = taken(season), taken(season, "bench 5")

    assert taken(season_of()) == {day: pytest.approx(one[day] + five[day]) for day in one}


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("#3", 10.25 * 10.25),
        ("4 in square pot", 16.0),
        ("6-pack", 0.54 * 0.27 / 6 / INCH**2),
        ("24 in window box", 24 * 7.0),
        ("72-cell tray", 0.54 * 0.27 / INCH**2),
    ],
)
def test_pot_to_pot(text, inches):
    """Without a gap a pot takes the square on its width, and what is long its own length."""
    area = pot_area_m2(read_container(text), Place(1.0), None)

    assert inches == pytest.approx(area / INCH**2, rel=1e-6)


def test_what_nobody_knows_the_size_of_is_told():
    """15 L may be wide or narrow: its place counts it as nothing and says so."""
    season = season_of()
    use = room_by_day(season.plan, season.schedule.sessions)[1]

    assert ("Bench 4", 0.0, ("15 L",)) == (use.place, use.taken_m2, use.unknown)
    assert "how wide `15 L` is nobody knows" in check_text(season.plan)
    assert "without 15 L: size not known" in room_charts(season)["room-2"]


def test_weeks_of_the_picture():
    """What stood there at the end of a week is there in the next; the fullest day counts."""
    season = season_of()
    uses = [u for u in room_by_day(season.plan, season.schedule.sessions) if u.place == "bench 3"]
    found = weeks(uses, date(2027, 4, 5))

    assert [date(2027, 3, 6), date(2027, 3, 13), date(2027, 3, 20), date(2027, 3, 27),
            date(2027, 4, 3)] == [day for day, _ in found]  # fmt: skip
    assert found[0][1] == found[1][1] < found[2][1] == found[3][1] > found[4][1]
    assert "<b>" not in room_charts(season_of(PLAN.replace("bench 3", "<b>")))["room-1"]
