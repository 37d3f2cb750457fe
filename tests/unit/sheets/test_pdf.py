"""The PDF, opened by another library: pages, text, fonts, nothing clipped."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import pypdf
import pytest
from attrs import evolve

from rootroom.sheets.charts.all import charts
from rootroom.sheets.pdf import pdf_bytes
from rootroom.sheets.views.all import sheets_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import HOSTILE, PLANS, hostile_season, shipped_season

POINTS = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}


@cache
def made(stem: str, paper: str = "a4") -> tuple[dict[str, Any], bytes]:
    """Return the view of a plan and its PDF."""
    season = hostile_season() if stem == "hostile" else shipped_season(stem)
    writer = Writer.of(season.plan.garden)
    view = sheets_view(season, writer)
    return view, pdf_bytes(view, charts(season, writer), paper)


def reader(content: bytes) -> pypdf.PdfReader:
    """Return the document as the second library reads it."""
    return pypdf.PdfReader(io.BytesIO(content))


def letters(text: str) -> str:
    """Return text without spaces and line ends, which a line break may add or take."""
    return "".join(text.split())


def all_text(content: bytes) -> str:
    """Return the letters of all pages."""
    return letters(" ".join(page.extract_text() for page in reader(content).pages))


@pytest.mark.parametrize("stem", PLANS)
def test_every_table_is_there(stem: str) -> None:
    """Each row of shopping, batches, work and materials stands in the text of the pages."""
    view, content = made(stem)
    text = all_text(content)
    wanted = [view["garden"], view["shopping"]["total"]]
    for shop in view["shopping"]["suppliers"]:
        wanted += [f"{row['what']}{row['pack']}{row['cost']}" for row in shop["rows"]]
    for session in view["sessions"]:
        wanted += [session["day"], session["clock"], *session["cautions"]]
        wanted += [f"{r['part']}{r['batch']}" for b in session["batches"] for r in b["rows"]]
        wanted += [f"{row['name']}:{row['way']}" for row in session["work"] if row["way"]]
        wanted += [f"{row['amount']}{row['what']}" for row in session["materials"]]
    wanted += [one["line"] for one in view["season"]["cautions"]]

    assert [] == [one for one in wanted if letters(one) not in text]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_are_of_the_paper_and_counted(paper: str) -> None:
    """Every page has the size of the paper and says which of how many it is."""
    _, content = made("balcony-in-litres", paper)
    pages = reader(content).pages

    for number, page in enumerate(pages, 1):
        assert POINTS[paper] == pytest.approx((page.mediabox.width, page.mediabox.height), abs=0.1)
        assert f"page {number} of {len(pages)}" in page.extract_text()


@pytest.mark.parametrize("stem", [*PLANS, "hostile"])
def test_no_text_runs_off_the_paper(stem: str) -> None:
    """Every piece of text begins inside the margins, and what it needs ends inside the page."""
    _, content = made(stem)
    outside = []
    for page in reader(content).pages:
        width = float(page.mediabox.width)

        def look(text: str, cm: Any, tm: Any, font: Any, size: Any, width: float = width) -> None:
            x = tm[4] * cm[0] + cm[4]
            # A letter of the font is at least a fifth of its size wide.
            end = x + len(text.strip()) * size * abs(cm[0] or 1.0) * 0.2
            if text.strip() and (x < 10 or end > width):
                outside.append((text, x, end))

        page.extract_text(visitor_text=look)

    assert [] == outside


@pytest.mark.parametrize("stem", [*PLANS, "hostile"])
def test_every_font_is_embedded(stem: str) -> None:
    """The paper looks the same on every machine."""
    _, content = made(stem)
    for page in reader(content).pages:
        for font in page["/Resources"]["/Font"].values():
            below = font.get_object()["/DescendantFonts"][0].get_object()
            found = [key for key in below["/FontDescriptor"].get_object() if "/FontFile" in key]

            assert 1 == len(found)


def test_same_input_same_bytes() -> None:
    """Two runs give the same document to the byte: no clock, no chance."""
    season = shipped_season("new-raised-beds")
    writer = Writer.of(season.plan.garden)
    view = sheets_view(season, writer)
    twice = [pdf_bytes(view, charts(season, writer), "a4") for _ in range(2)]

    assert twice[0] == twice[1]


def test_a_checklist_begins_a_page_and_short_ones_fit_one_side() -> None:
    """Every session has its own page; those of the beds need no second one."""
    view, content = made("new-raised-beds", "letter")
    texts = [page.extract_text() for page in reader(content).pages]
    for session in view["sessions"]:
        assert 1 == sum(session["day"] in text for text in texts)


def test_hostile_names_are_text() -> None:
    """Markup, quotes and formulas are printed as typed; a picture is spelled out."""
    _, content = made("hostile")
    text = all_text(content)
    for key, name in HOSTILE.items():
        if key == "right to left":  # the letters come in the order in which they are drawn
            assert all(word[::-1] in text or word in text for word in name.split())
        elif key == "emoji":
            assert "(seedling)Seedling" in text
        else:
            assert letters(name) in text, key


def test_a_season_without_anything_is_still_a_document() -> None:
    """No sessions, no shopping: the season page says so."""
    season = shipped_season("balcony-in-litres")
    empty = evolve(
        season,
        schedule=evolve(season.schedule, sessions=(), windows=(), hardening=()),
        shopping=evolve(season.shopping, lines=(), fees=(), stock=(), made={}, left=(), compare=()),
    )
    writer = Writer.of(season.plan.garden)

    content = pdf_bytes(sheets_view(empty, writer), charts(empty, writer), "a4")

    assert "Nothing to do" in reader(content).pages[0].extract_text()
