"""Sorts, places and tags by hand: they tell what goes where, and change no amount and no day."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from rootroom.plan.model import Plan
from rootroom.record.apply import apply_record, replay
from rootroom.record.events import new_event
from rootroom.record.noting.written_notes import Noter
from rootroom.record.posted import as_planned, by_sort
from rootroom.replanning.posting import posted_data
from rootroom.season import Season, make_season
from rootroom.sessions.session import PlantLine
from rootroom.sheets.views.labels import labels_of
from rootroom.sheets.writing import Writer
from tests.support.written_plans import REST, written_plan

FIG = """{ name = "Fig", count = 18, now = "#1", to = "#3", mix = "tree" }"""
MARKED = """{ name = "Fig", now = "#1", to = "#3", mix = "tree",
 sorts = { "Early black" = 6, "Old gold" = 12 }, place = "bench 3", tag = "F27" }"""


def moved(season: Season) -> list[tuple[date, str, int, dict[str, int], str]]:
    """Return day, name, count, sorts and place of every line that moves plants."""
    return [
        (session.date, line.name, line.count, dict(line.sorts), line.place)
        for session in season.schedule.sessions
        for line in session.work
        if isinstance(line, PlantLine)
    ]


@pytest.fixture
def torn(tmp_path: Path) -> Season:
    """Return a season of 18 figs in two sorts that do not fit into one day.

    A day has 60 minutes, 20 of them for setting up and clearing away, 5 for the mix: at 5 minutes a
    pot 7 figs fit, so two days would take 14; so three days are needed.
    """
    rest = REST.replace("2027-03-27]", "2027-03-27, 2027-04-03]")
    return make_season(written_plan(tmp_path, MARKED, rest=rest))


def test_torn_group_says_which_sorts_go_on_which_day(torn: Season) -> None:
    """The sorts go in the order of the plan: the 6 of the first, then those of the second."""
    found = moved(torn)
    first, second, third = (count for _, _, count, _, _ in found)

    assert 18 == first + second + third
    assert 7 == first
    assert {"Early black": 6, "Old gold": first - 6} == found[0][3]
    assert [{"Old gold": second}, {"Old gold": third}] == [sorts for *_, sorts, _ in found[1:]]
    assert {"bench 3"} == {place for *_, place in found}


def test_sorts_change_no_amount_and_no_day(tmp_path: Path) -> None:
    """A plant of 18 is planned alike whether its sorts are told or not."""
    rest = REST.replace("hours = 1", "hours = 2")
    plain = make_season(written_plan(tmp_path, FIG, rest=rest))
    marked = make_season(written_plan(tmp_path, MARKED, rest=rest))

    assert [(d, c) for d, _, c, _, _ in moved(plain)] == [(d, c) for d, _, c, _, _ in moved(marked)]
    assert plain.demand.mixes == marked.demand.mixes
    assert plain.shopping.cost_cents == marked.shopping.cost_cents


def test_rows_with_sorts_are_the_plant_with_its_sorts(tmp_path: Path) -> None:
    """Rows that follow each other under one name are one plant, as if written in the plan file."""
    rows = (
        "name,count,now,to,mix,sort,place,tag\n"
        "Fig,6,#1,#3,tree,Early black,bench 3,F27\n"
        "Fig,12,#1,#3,tree,Old gold,bench 3,F27\n"
    )
    listed = written_plan(tmp_path, '{ rows = "plants.csv" }', plants=rows)
    written = written_plan(tmp_path, MARKED)

    assert [("Fig", 18)] == [(group.name, group.count) for group in listed.plants]
    assert [group.marks for group in written.plants] == [group.marks for group in listed.plants]


def test_rows_of_other_places_are_plants_of_their_own(tmp_path: Path) -> None:
    """The same sort on two benches is fetched from both; rows without any mark have none."""
    rows = (
        "name,count,now,to,mix,sort,place\n"
        "Fig,6,#1,#3,tree,Early black,bench 3\n"
        "Fig,2,#1,#3,tree,Early black,bench 4\n"
        "Bay,3,#1,#3,tree,,\n"
    )
    plan = written_plan(tmp_path, '{ rows = "plants.csv" }', plants=rows)

    found = [(g.name, g.count, g.marks.sorts, g.marks.place) for g in plan.plants]
    fig = (("Early black", 6),), "bench 3"
    assert ("Fig", 6, *fig) == found[0]
    assert ("Fig", 2, (("Early black", 2),), "bench 4") == found[1]
    assert ("Bay", 3, (), "") == found[2]


def test_session_goes_from_place_to_place(tmp_path: Path) -> None:
    """Heavy pots come first at each place, the places in the order of the plan, others last."""
    plants = [
        f'{{ name = "{name}", count = 1, now = "{now}", to = "{to}", mix = "tree"{place} }}'
        for name, now, to, place in (
            ("Small", "#1", "#2", ', place = "shed"'),
            ("Heavy anywhere", "#10", "#15", ""),
            ("Middle", "#2", "#3", ', place = "bench 3"'),
            ("Large", "#3", "#5", ', place = "shed"'),
        )
    ]
    season = make_season(
        written_plan(tmp_path, *plants, rest=REST.replace("hours = 1", "hours = 4"))
    )

    names = [name for _, name, *_ in moved(season)]
    assert ["Large", "Small", "Middle", "Heavy anywhere"] == names


def test_every_sort_has_its_labels(torn: Season) -> None:
    """6 labels of the one and 12 of the other, each with place and tag."""
    labels = labels_of(torn.schedule, Writer.of(torn.plan.garden))
    counts: dict[str, int] = {}
    for label in labels:
        counts[label.sort] = counts.get(label.sort, 0) + label.count

    assert {"Early black": 6, "Old gold": 12} == counts
    assert {("bench 3", "F27")} == {(label.place, label.tag) for label in labels}
    assert ["Fig", "Early black", "#3, tree"] == labels[0].lines[:3]


def test_balls_divided_in_two_double_each_sort(tmp_path: Path) -> None:
    """Of 2 and 1 plants, each divided in 2, there are 4 and 2 afterwards."""
    plant = (
        '{ name = "Lily", now = "#3", to = "#2", mix = "tree", into = 2, '
        'sorts = { White = 2, Blue = 1 } }'
    )  # fmt: skip
    season = make_season(written_plan(tmp_path, plant))

    assert [(6, {"White": 4, "Blue": 2})] == [
        (count, sorts) for _, _, count, sorts, _ in moved(season)
    ]


# The record


def left_after(plan: Plan, *notes: tuple[str, str]) -> list[tuple[int, dict[str, int]]]:
    """Return count and sorts of what is left to do after some notes of one day."""
    noter, day = Noter(plan, replay(plan, [])), date(2027, 3, 20)
    events = [new_event(kind, day, data) for kind, data in (noter.read(*note) for note in notes)]
    groups = apply_record(plan, events).plants
    return [(group.count, group.marks.between(0, group.count)) for group in groups]


@pytest.mark.parametrize(
    ("notes", "left"),
    [
        ([("moved", "Fig=7")], (11, {"Old gold": 11})),
        ([("moved", "fig/old gold=7")], (11, {"Early black": 6, "Old gold": 5})),
        ([("lost", "Fig/Early black=1")], (17, {"Early black": 5, "Old gold": 12})),
        ([("lost", "Fig=1")], (17, {"Early black": 6, "Old gold": 11})),
        ([("counted", "Fig/Old gold=10")], (16, {"Early black": 6, "Old gold": 10})),
        (
            [("moved", "Fig/Early black:1=2"), ("moved", "Fig=5")],
            (11, {"Old gold": 11}),
        ),
    ],
)
def test_record_takes_the_sort_that_is_told(
    notes: list[tuple[str, str]], left: tuple[int, dict[str, int]], tmp_path: Path
) -> None:
    """Without a sort the first that are left have moved, and the last are lost."""
    assert [left] == left_after(written_plan(tmp_path, MARKED), *notes)


def test_session_done_as_planned_tells_every_sort(torn: Season) -> None:
    """One note a sort; a sort that is told otherwise leaves the others as planned."""
    rows: list[Any] = posted_data(torn)["sessions"]
    day = [row for row in rows if row["day"] == rows[0]["day"]]
    told = [("moved", {"plant": "Fig", "move": 1, "sort": "Early black", "count": 4})]
    noted = [data for kind, data in as_planned(day, told) if kind == "moved"]
    whole = [data for kind, data in as_planned(day, []) if kind == "moved"]

    first = sum(row["count"] for row in by_sort(day) if row["kind"] == "move")
    assert {"Early black": 6, "Old gold": first - 6} == {d["sort"]: d["count"] for d in whole}
    assert {"Old gold": first - 6} == {d["sort"]: d["count"] for d in noted}
