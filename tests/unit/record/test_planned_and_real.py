"""Planned against real, by session, mix and good, and one season beside another."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from rootroom.plan.model import Plan
from rootroom.plan.reader import read_plan
from rootroom.record.apply import replay
from rootroom.record.events import Event
from rootroom.record.planned_and_real import Review, review, totals
from rootroom.sheets.answers.review import review_csv, review_text
from rootroom.sheets.charts.bars import review_chart

FIRST, SECOND = date(2027, 3, 20), date(2027, 3, 27)
TEXT = """
format = 1
plants = [ { name = "Fig", count = 10, now = "#1", to = "#3", mix = "tree" } ]
supplies = [
  { of = "peat", pack = "100 L", swells = 1, price = 10.00, from = "Mill Road" },
  { of = "bark", pack = "50 L", price = 3.00, from = "Mill Road" },
  { of = "tree", pack = "50 L", price = 10.00, from = "Mill Road" },
]
[garden]
last_frost = 2027-04-12
units = "metric"
currency = "EUR"
[mixes.tree]
parts = { bark = 1, peat = 1 }
shrink = "0 %"
"""
ROWS = [
    {"kind": "set up", "name": "session", "number": 0, "count": 1, "minutes": 10.0},
    {"kind": "blend", "name": "tree", "number": 0, "count": 2, "minutes": 20.0, "l": 100.0},
    {
        "kind": "move", "name": "Fig", "number": 1, "count": 10, "minutes": 50.0, "mix": "tree",
        "l": 80.0, "to": "#3",
    },
]  # fmt: skip


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    """Return an invented plan."""
    path = tmp_path / "spring.toml"
    path.write_text(TEXT, "utf-8")
    found, problems = read_plan(path)
    assert found is not None, problems
    return found


def season() -> list[Event]:
    """Return a sheet, a day on which 8 of 10 plants were moved, and a day without hours."""
    sheet = {
        "sessions": [{"day": FIRST.isoformat(), "share": 1.0, **row} for row in ROWS],
        "goods": [{"supply": 1, "of": "peat", "packs": 1, "cents": 1000}],
    }
    told: list[tuple[date, str, dict[str, Any]]] = [
        (FIRST, "planned", sheet),
        (FIRST, "bought", {"of": "peat", "packs": 1, "paid_cents": 1200, "supply": 1}),
        (FIRST, "blended", {"mix": "tree", "l": 90.0}),
        (FIRST, "moved", {"plant": "Fig", "move": 1, "count": 8}),
        (FIRST, "used", {"mix": "tree", "l": 72.0}),
        (FIRST, "worked", {"minutes": 60.0}),
        (FIRST, "worked", {"minutes": 40.0}),
        (SECOND, "moved", {"plant": "Fig", "move": 1, "count": 1}),
        (SECOND, "lost", {"plant": "Fig", "move": 1, "count": 1}),
    ]
    return [Event(f"e{n}", day, kind, data, line=n) for n, (day, kind, data) in enumerate(told, 1)]


def reviewed(plan: Plan) -> Review:
    """Return the review of the season above."""
    return review(plan, season(), replay(plan, season()))


@pytest.mark.worked
def test_a_session_as_planned_and_as_it_was(plan: Plan) -> None:
    """Plants, mix and minutes of a day stand beside its sheet; what nobody noted stays open."""
    first, second = reviewed(plan).sessions

    # 10 + 20 + 50 minutes planned, 60 + 40 noted.
    assert (10, 8, 100.0, 90.0, 80.0, 100.0) == (
        first.planned_plants, first.plants, first.planned_l, first.blended_l,
        first.planned_min, first.minutes,
    )  # fmt: skip
    assert (0, 1, None, None) == (
        second.planned_plants, second.plants, second.blended_l, second.minutes,
    )  # fmt: skip


@pytest.mark.worked
def test_a_mix_counts_what_was_planned_for_what_was_done(plan: Plan) -> None:
    """Of the season's litres only those of the plants that were moved are set beside the use."""
    (tree,) = reviewed(plan).mixes

    # 8 of 10 plants of 80 L are 64 L; 72 L were used of 90 L.
    assert (80.0, 64.0, 72.0, 90.0, 18.0) == pytest.approx(
        (tree.planned_l, tree.planned_so_far_l, tree.used_l, tree.blended_l, tree.left_l)
    )


@pytest.mark.worked
def test_money_and_what_own_mix_saves_over_time(plan: Plan) -> None:
    """Goods stand beside what was paid; each new price changes the share saved from its day on."""
    found = reviewed(plan)
    (peat,) = found.goods

    assert (1, 1.0, 1000, 1200) == (
        peat.planned_packs, peat.packs, peat.planned_cents, peat.paid_cents,
    )  # fmt: skip
    # Half bark at 6, half peat at 10 cents a litre: 8, and 20 ready-made: 60 % saved. Peat then
    # costs 12: 9 cents, 55 % saved.
    assert [(None, 8.0, 20.0, 0.60), (FIRST, 9.0, 20.0, 0.55)] == [
        (one.day, pytest.approx(one.own_cents_per_l), pytest.approx(one.ready_cents_per_l),
         pytest.approx(one.share))
        for one in found.saved
    ]  # fmt: skip


def test_totals_come_from_the_record_alone() -> None:
    """A season's totals need no plan, so that old records can be compared."""
    found = totals("2027", season())

    assert (FIRST, 2, 9, 1, 90.0, 100.0, 1200) == (
        found.first, found.sessions, found.plants, found.lost, found.blended_l, found.minutes,
        found.paid_cents,
    )  # fmt: skip


def test_text_table_and_chart(plan: Plan) -> None:
    """The text fits 80 columns, the table has planned and real, the chart is whole SVG."""
    found = reviewed(plan)
    text = review_text(plan, found, [totals("2026", season()), totals("2027", season())])

    assert all(len(line) <= 80 for line in text.splitlines())
    assert "+25%" in text  # 100 minutes for 80
    assert "Hours were not noted on 1 of 2 days" in text
    assert "Season by season" in text
    assert "session,2027-03-20,work,min,80,100,min,80,100" in review_csv(found)
    rows = list(csv.DictReader(io.StringIO(review_csv(found))))
    litres = [row for row in rows if row["unit"] == "L" and row["planned"] and row["real"]]
    assert litres
    for row in litres:  # a US gallon is 3.785411784 L (NIST Handbook 44)
        assert "gal" == row["US unit"]
        for one in ("planned", "real"):
            assert float(row[one]) == pytest.approx(
                3.785411784 * float(row[f"{one} (US)"]), abs=2e-3
            )
    drawing = ElementTree.fromstring(review_chart(plan, found))
    assert drawing.tag.endswith("svg")
    said = [element.text for element in drawing.iter() if element.tag.endswith("text")]
    assert "1 h 20 min" in said
    assert "1 h 40 min" in said


def test_nothing_done_is_said(plan: Plan) -> None:
    """A record without work has a plain answer, no chart, and no table of days."""
    found = review(plan, [], replay(plan, []))

    assert () == found.sessions
    assert "" == review_chart(plan, found)
    assert "By session" not in review_text(plan, found)
