"""What the text says of work that is rained off, and of a plan that no days will do for."""

from __future__ import annotations

from datetime import date

from rootroom.sessions.session import RainNote, Waiting
from rootroom.sheets.answers.sessions import sessions_text
from rootroom.sheets.views.session import waiting_name
from rootroom.sheets.writing import Writer
from tests.support.plans import group, mix, move, plan, pot, work
from tests.support.scheduling import days, scheduled

DAY = date(2027, 5, 9)


def waiting(name: str, number: int | None = 1, of: str | None = None) -> Waiting:
    """Return work of a plant's move, or of a bed's layer."""
    return Waiting(name, number, DAY, of)


def test_two_moves_of_one_plant_are_told_apart() -> None:
    """A plant that is named twice is named with its move, others by their name alone."""
    first, second, fig = waiting("Tomato"), waiting("Tomato", 2), waiting("Fig")
    bed = waiting("Long bed", None, "tree")
    writer = Writer("metric", "en_GB", "EUR")
    rain = RainNote(can_wait=(first, fig), cannot=(second, bed))

    assert "Tomato, move 1" == waiting_name(first, rain, writer)
    assert "Tomato, move 2" == waiting_name(second, rain, writer)
    assert "Fig" == waiting_name(fig, rain, writer)
    assert "Long bed, tree" == waiting_name(bed, rain, writer)


def test_what_is_proved_of_work_that_does_not_fit() -> None:
    """Where no days will do for all of it, the fewest plants left out is what is proved."""
    figs = group("Fig", 600, move(pot("#1", 2.5), pot("#3", 9.0)))
    one = plan([figs], [mix("tree", {"bark": 2, "peat": 1})], work=work(days=days(1)))
    schedule = scheduled(one)

    assert "infeasible" == schedule.status
    assert "Proved: fewest plants left out." in sessions_text(one, schedule, why=True)
