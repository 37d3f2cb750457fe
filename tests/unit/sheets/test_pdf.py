"""The PDF, opened by another library: pages, text, fonts, nothing clipped."""

from __future__ import annotations

import io
import math
from functools import cache
from pathlib import Path
from typing import Any

import pypdf
import pytest
from attrs import evolve
from pypdf.generic import ContentStream

import rootroom.sheets
from rootroom.sheets.documents import pdf_bytes, spelled
from rootroom.sheets.kinds import charts, unprintable
from rootroom.sheets.views.season import sheets_view
from rootroom.sheets.writing import Writer
from tests.support.seasons import HOSTILE, PLANS, hostile_season, season_of, shipped_season

LONG_DAY = """
format = 1
plants = [
ROWS
]
[garden]
name = "Long day"
units = "us"
last_frost = 2027-04-12
[work]
days = ["sat"]
first = 2027-03-06
last = 2027-03-28
hours = 10
people = 10
vessel = "2 yd3"
[mixes.m]
parts = { bark = 1 }
"""

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


def drawn_squares(document: pypdf.PdfReader, page: pypdf.PageObject) -> list[float]:
    """Return the side of each square that a page outlines [mm]."""
    sides: list[float] = []
    points: list[tuple[float, float]] = []
    for operands, operator in ContentStream(page.get_contents(), document).operations:
        if operator in (b"m", b"l", b"c"):
            numbers = [float(one) for one in operands]
            points += zip(numbers[::2], numbers[1::2], strict=True)
            continue
        if operator == b"S" and points:
            (left, right), (low, high) = ((min(one), max(one)) for one in zip(*points, strict=True))
            if right > left and abs((right - left) - (high - low)) < 0.1:
                sides.append((right - left) / 72 * 25.4)
        if operator not in (b"w", b"J", b"j", b"M", b"d", b"h"):
            points = []
    return sides


@pytest.mark.parametrize("stem", PLANS)
def test_every_table_is_there(stem: str) -> None:
    """Each row of shopping, batches, work and materials stands in the text of the pages."""
    view, content = made(stem)
    text = all_text(content)
    wanted = [view.garden, view.shopping.total]
    for shop in view.shopping.suppliers:
        wanted += [f"{row.what}{row.pack}{row.cost}" for row in shop.rows]
    for session in view.sessions:
        wanted += [session.day, session.clock, *session.cautions]
        wanted += [f"{r.part}{r.batch}" for b in session.batches for r in b.rows]
        wanted += [b.order for b in session.batches]
        wanted += [f"{row.name}:{row.way}" for row in session.work if row.way]
        wanted += [f"{row.amount}{row.what}" for row in session.materials]
    wanted += [one.line for one in view.season.cautions]

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


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("stem", PLANS)
def test_a_checklist_fits_one_side_where_it_can(stem: str, paper: str) -> None:
    """Every session of these plans takes one side, two mixes and seven rows of plants included."""
    view, content = made(stem, paper)
    texts = [page.extract_text() for page in reader(content).pages]
    for session in view.sessions:
        sides = [text for text in texts if f"{session.day}" in text and session.of in text]

        assert 1 == len(sides), session.day


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("stem", PLANS)
def test_a_season_is_few_sheets(stem: str, paper: str) -> None:
    """One side each for the season, its back, the shopping list and every session."""
    view, content = made(stem, paper)
    texts = [page.extract_text() for page in reader(content).pages]

    assert 3 + len(view.sessions) == len(texts)
    assert len(texts) <= 9
    assert texts[2].startswith("Shopping list")
    assert all(len(letters(text)) > 500 for text in texts), "a stray paragraph"


@pytest.mark.parametrize("stem", PLANS)
def test_a_caution_stands_in_full_once_and_in_a_few_words_at_the_session(stem: str) -> None:
    """What hurts is told at the step in brief, and in full behind the season page alone."""
    view, content = made(stem)
    text = all_text(content)
    full = [letters(one.line) for one in view.season.cautions]

    assert [1] * len(full) == [text.count(one) for one in full]
    for session in view.sessions:
        assert session.cautions
        assert all(letters(one) in text for one in session.cautions)


@pytest.mark.parametrize("stem", PLANS)
def test_no_letter_is_smaller_than_12_points_and_no_box_than_5_mm(stem: str) -> None:
    """Also on sheets that are set tight; scoops are written at 16 points."""
    view, content = made(stem, "letter")
    sizes: set[float] = set()
    large = ""

    def look(text: str, cm: Any, tm: Any, font: Any, size: Any) -> None:
        nonlocal large
        height = size * math.hypot(cm[2], cm[3]) * math.hypot(tm[2], tm[3])
        if text.strip():
            sizes.add(round(height, 1))
            large += text.strip() if height > 15.9 else ""

    document = reader(content)
    for page in document.pages:
        page.extract_text(visitor_text=look)
    assert 12.0 <= min(sizes)
    squares = [side for page in document.pages for side in drawn_squares(document, page)]
    assert squares
    assert 5.0 <= min(squares) + 0.01
    for session in view.sessions:
        assert all(letters(row.pot) in letters(large) for row in session.work)
        assert all(r.batch in large for b in session.batches for r in b.rows)


def test_rows_of_a_long_day_stand_together_with_every_name() -> None:
    """Of 300 plants that make the same move each has its box and name, on few sides."""
    names = [f"Rosemary {n:03}" for n in range(300)]
    rows = "\n".join(
        f'  {{ name = "{name}", count = 1, now = "#1", to = "#3", mix = "m", '
        "from = 2027-03-06, by = 2027-03-28 },"
        for name in names
    )
    season = season_of(LONG_DAY.replace("ROWS", rows))
    writer = Writer.of(season.plan.garden)
    view = sheets_view(season, writer)
    content = pdf_bytes(view, charts(season, writer), "a4")
    (session,) = view.sessions
    sides = [
        text
        for page in reader(content).pages
        if session.of in (text := page.extract_text()) and "Sat" in text
    ]
    text = letters(" ".join(sides))

    assert [] == [name for name in names if letters(name) not in text]
    assert "300 rows" in " ".join(sides)
    assert 5 >= len(sides)


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


def test_letters_that_no_font_has_are_told_and_written_out() -> None:
    """No empty box: a letter stands as its code point, and the name is told before printing.

    U+6A58 is the CJK ideograph for a citrus tree (Unicode 16, Unihan).
    """
    source = (Path(__file__).parents[3] / "plans" / "balcony-in-litres.toml").read_text("utf-8")
    season = season_of(source.replace('name = "Thyme"', 'name = "\u6a58 Thyme"'), effort_s=2.0)
    writer = Writer.of(season.plan.garden)
    content = pdf_bytes(sheets_view(season, writer), charts(season, writer), "a4")

    assert "(U+6A58)Thyme" in all_text(content)
    assert ["\u6a58 Thyme"] == unprintable(season.plan, ())
    assert [] == unprintable(season.plan, ("page",))
    assert [] == unprintable(hostile_season().plan, ())
    for page in reader(content).pages:
        assert "\ufffd" not in page.extract_text()


def test_every_letter_of_our_own_words_is_in_the_fonts() -> None:
    """Our templates and texts need no code point written out."""
    sheets = Path(rootroom.sheets.__file__).parent
    texts = [
        path.read_text("utf-8") for path in (*sheets.glob("views/*.py"), *sheets.glob("*/*.typ"))
    ]

    assert texts
    assert [] == [c for c in sorted(set("".join(texts))) if spelled(c) != c]


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
