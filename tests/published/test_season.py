"""A whole season beside what was printed of one: bags, days and hours of 1,200 bedding flats.

Three texts are joined, each about flats of 36 plants; one budget by itself is in
`test_printed_budget.py`. Their entries stand in `tests/reference/sources.toml`:

- `uga-2017`: a bag of 3 cu ft fills 15 flats, so 1,200 flats take 80 bags;
- `bartok-2017`: transplanting a flat by hand takes 2 minutes, 0.33 USD at 10 USD an hour;
- `bartok-2014`: a line of four workers does 1,200 flats in a day of 8 hours.
"""

from __future__ import annotations

from functools import cache

import pytest

from rootroom.containers.text import read_container
from rootroom.season import Season
from rootroom.sessions.session import PlantLine
from tests.support.seasons import season_of

pytestmark = pytest.mark.published

FLATS = 1200
BAGS = FLATS / 15
BY_HAND_HOURS = FLATS * 2 / 60
LINE_HOURS = 4 * 8
CUBIC_FOOT_L = 28.316846592


@cache
def season() -> Season:
    """Return the season of the printed figures; price and names are invented."""
    return season_of(
        f"""
format = 1
[[plants]]
name = "Bedding"
count = {FLATS * 36}
now = "cutting"
to = "36-cell tray"
mix = "media"
from = 2027-04-01
by = 2027-04-30
[[supplies]]
of = "media"
pack = "3 cu ft"
price = 30.00
from = "Invented"
[mixes.media]
[garden]
last_frost = 2027-04-12
[work]
days = ["thu", "fri"]
first = 2027-04-01
last = 2027-04-30
hours = 8
people = 4
pace = "nursery"
"""
    )


def test_the_printed_bags_are_what_the_flats_hold() -> None:
    """80 bags are what 1,200 flats hold, to a tenth; ours to plan on is a sixth more.

    The printed rule takes a bag's volume as it stands on the bag; we count that loose mix packs in
    the cell (15 to 20 %) and that some is spilled, so 80 bags would not be enough in most seasons.
    """
    need = season().demand.mixes["media"]
    bags = {name: getattr(need, name) / (3 * CUBIC_FOOT_L) for name in ("low", "median", "high")}
    hold = read_container("36-cell tray").fill_l.likely * 36 * FLATS / (3 * CUBIC_FOOT_L)

    assert hold == pytest.approx(BAGS, rel=0.10)
    assert 1.10 < bags["median"] / BAGS < 1.25
    assert hold < BAGS < bags["median"] < bags["high"]


def test_the_hours_at_the_bench_are_the_printed_ones() -> None:
    """2 minutes a flat are 40 hours; a line with a belt is a fifth quicker, which we do not say."""
    lines = [line for day in season().schedule.sessions for line in day.plant_lines]
    hours = sum(line.minutes for line in lines if isinstance(line, PlantLine)) / 60

    assert hours == pytest.approx(BY_HAND_HOURS, rel=0.10)
    assert hours / FLATS * 10 == pytest.approx(0.33, abs=0.04)
    assert hours > LINE_HOURS


def test_it_takes_a_day_more_than_the_line() -> None:
    """40 hours by hand do not go into one day of four people, with setting up and watering in."""
    made = season().schedule

    assert made.status == "optimal"
    assert len(made.sessions) == 2
    total = sum(line.minutes for day in made.sessions for line in day.work) / 60
    assert LINE_HOURS < BY_HAND_HOURS < total < 2 * LINE_HOURS
