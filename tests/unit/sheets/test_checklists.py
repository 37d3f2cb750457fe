"""What a session's checklist says, as a view and as text."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from rootroom.sessions.session import Line
from rootroom.sheets.checklist_text import checklist_text
from rootroom.sheets.views.season import sheets_view
from rootroom.sheets.views.session import session_views
from rootroom.sheets.writing import Writer
from rootroom.units import Amount
from tests.support.seasons import PLANS, shipped_season

FIGS = "spring-figs-and-tomatoes"


def views(stem: str) -> list[dict[str, Any]]:
    """Return the views of a shipped plan's sessions."""
    season = shipped_season(stem)
    return session_views(season, Writer.of(season.plan.garden))


@pytest.mark.parametrize("stem", PLANS)
def test_every_session_is_a_text_of_80_columns(stem: str) -> None:
    """Each checklist fits the columns and names day, work and what was really used."""
    for view in views(stem):
        text = checklist_text(view, garden="Yard", made_by="Printed from x.toml")

        assert 80 >= max(map(len, text.splitlines()))
        assert text.startswith(f"Yard: {view.of}\n{view.day}")
        assert "\nWork\n" in text
        assert "\nReally used\n" in text


def test_a_box_for_each_pot_up_to_twenty() -> None:
    """18 figs get 18 boxes, 24 tomatoes a blank to tally on."""
    rows = [row for view in views(FIGS) for row in view.work]
    figs = next(row for row in rows if row.name == "Fig, first pots")
    tomatoes = next(row for row in rows if row.name == "Tomato")

    assert (18, "") == (figs.boxes, figs.tally)
    assert (0, "of 24 done") == (tomatoes.boxes, tomatoes.tally)


def test_scoops_of_the_card_add_up_to_all_batches() -> None:
    """What all batches take is the card times the number of batches."""
    for session in shipped_season(FIGS).schedule.sessions:
        for batch in session.batches:
            for part, scoops in batch.card.items():
                assert batch.scoops[part] == pytest.approx(scoops * batch.batches)


def test_at_most_three_cautions_stand_on_a_sheet() -> None:
    """A sheet names three cautions and points to the season page for the others."""
    for view in views(FIGS):
        assert 3 >= len(view.cautions)


def test_every_caution_stands_on_the_season_page() -> None:
    """What does not fit on a sheet is found once on the season page."""
    season = shipped_season(FIGS)
    due = {one.line for session in season.schedule.sessions for one in session.cautions}
    shown = [one.line for one in sheets_view(season, Writer.of(season.plan.garden)).season.cautions]

    assert due == set(shown)
    assert len(shown) == len(set(shown))


def test_portions_of_one_layer_that_follow_each_other_are_one_line() -> None:
    """Two halves of a bed's layer are shown as one line of twice the volume."""
    season = shipped_season("new-raised-beds")
    session = next(s for s in season.schedule.sessions if any(x.kind == "fill bed" for x in s.work))
    bed = next(line for line in session.work if line.kind == "fill bed")
    half = evolve(bed, share=0.5, mix_l=10.0, minutes=3.0, lifts=1)
    doubled = evolve(session, work=(half, half))
    doubled_season = evolve(season, schedule=evolve(season.schedule, sessions=(doubled,)))

    rows = session_views(doubled_season, Writer.of(season.plan.garden))[0].work

    assert [Writer.of(season.plan.garden).volume(20.0)] == [row.amount for row in rows]


def test_the_digest_changes_with_what_the_sheets_say() -> None:
    """A phone tells a new printing from an old one by its digest."""
    season = shipped_season(FIGS)
    writer = Writer.of(season.plan.garden)
    fewer = evolve(season, schedule=evolve(season.schedule, sessions=season.schedule.sessions[:1]))

    first = sheets_view(season, writer).digest

    assert first == sheets_view(season, writer).digest
    assert first != sheets_view(fewer, writer).digest


def test_the_evening_fetches_all_packages_of_one_trip() -> None:
    """One trip is paid to Mill Road, so all its packages are fetched at once."""
    season = shipped_season(FIGS)
    bought = [line for line in season.shopping.lines if line.source == "Mill Road"]
    groups = [g for view in views(FIGS) for g in view.before if "Mill Road" in g.head]

    assert ["Fetch, Mill Road"] == [group.head for group in groups]
    assert len(bought) == len(groups[0].items)
    assert "3 × 3.8 cu ft peat" in groups[0].items


def test_a_heap_of_ones_own_is_not_fetched_and_a_delivery_is_one() -> None:
    """Logs and straw are there; the loads of Quarry Lane come to the plot."""
    groups = views("new-raised-beds")[0].before
    fetched = {g.head: g.items for g in groups if g.head.startswith("Fetch")}

    assert {"Fetch, Quarry Lane, delivered", "Fetch, Station Store"} == set(fetched)
    assert not [one for items in fetched.values() for one in items if "logs" in one]


def test_rows_of_a_long_day_stand_together_on_paper_and_alone_on_the_phone() -> None:
    """Of 100 plants of one move paper has one row with every name, the phone a row for each."""
    season = shipped_season("balcony-in-litres")
    session = season.schedule.sessions[0]
    line = next(line for line in session.plant_lines if line.pots)
    many = tuple(
        evolve(line, name=f"Row {n}", count=1, pots=1, checkpoint=None) for n in range(100)
    )
    crowded = evolve(
        season, schedule=evolve(season.schedule, sessions=(evolve(session, work=many),))
    )
    (view,) = session_views(crowded, Writer.of(season.plan.garden))
    text = checklist_text(view, garden="Yard", made_by="Printed from x.toml")

    assert [f"Row {n}" for n in range(100)] == [row.name for row in view.work]
    assert "" == view.more_work
    (row,) = view.grouped
    assert ("100 rows", "100 plants") == (row.name, row.counted.split(",")[0])
    assert [f"Row {n}" for n in range(100)] == row.names
    assert 80 >= max(map(len, text.splitlines()))
    assert all(f"[ ] Row {n}  " in f"{text}  ".replace("\n", "  ") for n in range(100))


def test_what_is_mixed_into_bags_is_told_in_full() -> None:
    """The step names the mix, how much goes in and for how much of it, and no amount a pot."""
    season = shipped_season("balcony-in-litres")
    session = season.schedule.sessions[0]
    lime = {"dolomitic lime": Amount(kg=0.5, l=None)}
    step = Line(
        kind="mix in", name="bagged", count=1, minutes=10.0, start=session.start, add=lime,
        mix_l=100.0,
    )  # fmt: skip
    told = evolve(session, work=(step,))
    one = evolve(season, schedule=evolve(season.schedule, sessions=(told,)))
    (view,) = session_views(one, Writer.of(season.plan.garden))
    (row,) = view.work

    expected = ("Mix into the bagged", "500 g dolomitic lime for 100 L", [], "", [])
    assert expected == (row.name, row.way, row.adds, row.pot, view.used)
