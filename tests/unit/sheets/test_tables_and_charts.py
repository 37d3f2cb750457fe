"""CSV tables and SVG charts, each opened by another library."""

from __future__ import annotations

import csv
import io
import itertools
from datetime import date, timedelta
from xml.etree import ElementTree as Xml

import pytest
from attrs import evolve

from rootroom.sheets.charts.season import _Days, _lines, _Mark, season_charts
from rootroom.sheets.charts.svg import Drawing
from rootroom.sheets.kinds import charts
from rootroom.sheets.tables import tables
from rootroom.sheets.writing import Writer
from tests.support.seasons import HOSTILE, PLANS, hostile_season, shipped_season

SVG = "{http://www.w3.org/2000/svg}"


def rows(text: str) -> list[dict[str, str]]:
    """Return the rows of a CSV text by column."""
    return list(csv.DictReader(io.StringIO(text)))


def drawn(stem: str, *, phone: bool = False) -> dict[str, Xml.Element]:
    """Return the charts of a shipped plan as parsed XML."""
    season = shipped_season(stem)
    found = charts(season, Writer.of(season.plan.garden), phone=phone)
    return {name: Xml.fromstring(svg) for name, svg in found.items()}


@pytest.mark.parametrize("stem", PLANS)
def test_tables_hold_what_the_stages_answered(stem: str) -> None:
    """Counts and sums of the tables are those of the season."""
    season = shipped_season(stem)
    found = {name: rows(text) for name, text in tables(season).items()}
    work = [line for session in season.schedule.sessions for line in session.work]

    assert len(season.demand.moves) + len(season.demand.beds) == len(found["demand.csv"])
    assert len(season.shopping.lines) + len(season.shopping.fees) == len(found["shopping.csv"])
    assert len(work) == len(found["work.csv"])
    assert sum(line.minutes for line in work) == pytest.approx(
        sum(float(row["minutes"]) for row in found["work.csv"]), abs=0.01
    )


@pytest.mark.parametrize("stem", PLANS)
def test_planned_litres_of_moves_add_up_to_the_work(stem: str) -> None:
    """What the demand plans for moves is what the sessions put into pots."""
    found = {name: rows(text) for name, text in tables(shipped_season(stem)).items()}
    planned = sum(
        float(row["plan on [L]"] or 0) for row in found["demand.csv"] if row["mix or ingredient"]
    )
    worked = sum(float(row["mix [L]"] or 0) for row in found["work.csv"])

    # Medians of single moves add up to the median of all but for how their draws differ.
    assert planned == pytest.approx(worked, rel=0.02)


def test_amounts_have_a_column_in_each_system() -> None:
    """A gallon is 3.785411784 L and a pound 0.45359237 kg (NIST Handbook 44, appendix C)."""
    season = shipped_season("spring-figs-and-tomatoes")
    found = {name: list(csv.DictReader(io.StringIO(text))) for name, text in tables(season).items()}
    pairs = [(row["plan on [L]"], row["plan on [gal]"], 3.785411784) for row in found["demand.csv"]]
    pairs += [(row["weight [kg]"], row["weight [lb]"], 0.45359237) for row in found["work.csv"]]
    sizes = {("L", "gal"): 3.785411784, ("kg", "lb"): 0.45359237, ("pieces", "pieces"): 1.0}
    for name in ("batches.csv", "materials.csv"):
        for row in found[name]:
            size = sizes[row["unit"], row["US unit"]]
            pairs.append((row["amount"], row["US amount"], size))

    assert len(pairs) > 50
    for base, us, size in pairs:
        assert bool(base) == bool(us)
        if base:
            assert float(base) / size == pytest.approx(float(us), abs=2e-3)


def test_hostile_names_are_harmless_in_tables() -> None:
    """A cell that a spreadsheet would run begins with an apostrophe; the others are as typed."""
    found = rows(tables(hostile_season())["demand.csv"])
    names = {row["plant or bed"] for row in found}

    for key, name in HOSTILE.items():
        expected = "'" + name if key in ("formula", "at") else name
        assert expected in names, key


@pytest.mark.parametrize("stem", PLANS)
def test_each_chart_is_drawn_in_black_and_white(stem: str) -> None:
    """All three charts are there, and no colour but black and white is in them."""
    season = shipped_season(stem)
    found = charts(season, Writer.of(season.plan.garden), phone=True)

    assert {"season", "demand", "cost"} == {n for n in found if n[:4] != "pot-"}
    for name, svg in found.items():
        if name.startswith("pot-"):  # greys tell wet from dry there
            continue
        paints = {
            value
            for element in Xml.fromstring(svg).iter()
            for attribute, value in element.attrib.items()
            if attribute in ("fill", "stroke") and not value.startswith("url(")
        }
        assert paints <= {"#000", "#fff", "none"}


@pytest.mark.parametrize("stem", PLANS)
def test_nothing_is_drawn_outside(stem: str) -> None:
    """Boxes, discs and the starts of texts lie inside the drawing."""
    for name, root in (*drawn(stem).items(), *drawn(stem, phone=True).items()):
        _, _, width, height = map(float, root.attrib["viewBox"].split())
        for element in root.iter():
            if element.tag in (f"{SVG}text", f"{SVG}rect") and "patternUnits" not in element.attrib:
                x, y = float(element.get("x", 0)), float(element.get("y", 0))
                assert -2 <= x <= width + 1, (name, element.attrib)
                assert 0 <= y <= height + 1, (name, element.attrib)


def test_bars_are_in_proportion() -> None:
    """The black bar of the demand is to the whole as what is planned on to what it could be."""
    season = shipped_season("spring-figs-and-tomatoes")
    figure = next(iter(season.demand.mixes.values()))
    bars = [
        float(rect.attrib["width"])
        for rect in drawn("spring-figs-and-tomatoes")["demand"].iter(f"{SVG}rect")
        if rect.get("height") == "12"
    ]

    assert figure.median / figure.high == pytest.approx(bars[0] / (bars[0] + bars[1]), rel=0.01)


def test_a_disc_stands_on_each_day_of_work() -> None:
    """The season has a numbered disc for each day on which a window's work is done."""
    season = shipped_season("spring-figs-and-tomatoes")
    done = len({(one.name, day) for one in season.schedule.windows for day in one.done})

    discs = list(drawn("spring-figs-and-tomatoes")["season"].iter(f"{SVG}circle"))

    assert done == len(discs)


def test_hostile_names_are_text_in_charts() -> None:
    """A name with tags is drawn, not run, and the drawing stays well-formed."""
    season = hostile_season()
    for svg in charts(season, Writer.of(season.plan.garden)).values():
        root = Xml.fromstring(svg)
        assert [] == [element for element in root.iter() if "script" in str(element.tag)]


def test_pattern_names_keep_apart() -> None:
    """Two drawings on one page do not share the ids of their patterns."""
    names = [
        element.attrib["id"]
        for root in drawn("spring-figs-and-tomatoes").values()
        for element in root.iter()
        if "id" in element.attrib
    ]

    assert len(names) == len(set(names))


def test_a_text_with_control_characters_is_drawn() -> None:
    """Characters that XML forbids are left out."""
    drawing = Drawing("x", "title", 100)
    drawing.text(0, 10, "a\x00b\uffff<c>")

    assert ["ab<c>"] == [text.text for text in Xml.fromstring(str(drawing)).iter(f"{SVG}text")]


def test_a_chart_without_anything_is_left_out() -> None:
    """A season without prices has no cost chart, one without sessions no picture."""
    season = shipped_season("balcony-in-litres")
    bare = evolve(
        season,
        schedule=evolve(season.schedule, sessions=()),
        shopping=evolve(season.shopping, compare=()),
    )

    assert {"demand"} == set(charts(bare, Writer.of(season.plan.garden)))


def test_the_pots_that_take_most_mix_are_drawn() -> None:
    """One pot of each of the two mixes of which most is used, and none for beds alone."""
    found = drawn("spring-figs-and-tomatoes", phone=True)

    assert ["pot-1", "pot-2"] == [name for name in found if name.startswith("pot-")]
    titles = [found[name].findtext(f"{SVG}title") or "" for name in ("pot-1", "pot-2")]
    assert ("5 gal bag, allround", "#3, tree") == tuple(title.split(":")[0] for title in titles)
    assert [] == [name for name in drawn("new-raised-beds", phone=True) if name.startswith("pot-")]


def circles(svg: str) -> list[tuple[float, float, float]]:
    """Return the middle and the radius of each disc of a picture."""
    found = Xml.fromstring(svg).iter(f"{SVG}circle")
    return [tuple(float(one.attrib[key]) for key in ("cx", "cy", "r")) for one in found]  # type: ignore[misc]


@pytest.mark.parametrize("sessions", [6, 30, 200])
def test_discs_of_neighbouring_days_never_lie_on_each_other(sessions: int) -> None:
    """Work on every Saturday and Sunday, up to four years of it, leaves every disc readable."""
    season = shipped_season("new-raised-beds")
    first = date(2027, 3, 6)
    weekends = [first + timedelta(n // 2 * 7 + n % 2) for n in range(sessions)]
    found = season.schedule.sessions
    worked = tuple(evolve(found[n % len(found)], date=day) for n, day in enumerate(weekends))
    windows = tuple(
        evolve(one, opens=first, due=weekends[-1], done=dict.fromkeys(weekends[n % 2 :], 1))
        for n, one in enumerate(season.schedule.windows)
    )
    schedule = evolve(season.schedule, sessions=worked, windows=windows, hardening=())
    pictures = season_charts(evolve(season, schedule=schedule), Writer.of(season.plan.garden))
    rows = len({(one.name, one.move is None) for one in windows})

    assert ["season", "season-2"][: len(pictures)] == list(pictures)
    discs = [circles(svg) for svg in pictures.values()]
    if sessions == 30:
        assert rows * 30 - rows // 2 == sum(map(len, discs))
    for page in discs:
        assert page
        for (x, y, r), (other_x, other_y, other_r) in itertools.combinations(page, 2):
            assert (x - other_x) ** 2 + (y - other_y) ** 2 >= (r + other_r) ** 2
        assert all(176 - r <= x <= 720 - r for x, _, r in page)


def test_marks_of_neighbouring_days_do_not_lie_on_each_other() -> None:
    """A day after another goes a line down; blending twice a day is one mark, ready mix beside."""
    days = _Days(date(2027, 3, 1), date(2027, 7, 31), 720.0, 176.0)
    marks = [_Mark(date(2027, 5, day), "B", 15.0) for day in (1, 2, 3, 8)]

    assert [[1, 8], [2], [3]] == [[mark.day.day for mark in line] for line in _lines(days, marks)]


def test_a_picture_of_many_rows_goes_on_on_a_second_and_joins_what_looks_alike() -> None:
    """Of 30 rows all are drawn; of 1000 that differ in five ways five, each with its number."""
    season = shipped_season("new-raised-beds")
    window = next(one for one in season.schedule.windows if one.move is not None)

    def drawn_rows(number: int) -> dict[str, str]:
        windows = tuple(
            evolve(window, name=f"Row {n}", opens=window.opens - timedelta(n % 5))
            for n in range(number)
        )
        schedule = evolve(season.schedule, windows=windows, hardening=())
        found = season_charts(evolve(season, schedule=schedule), Writer.of(season.plan.garden))
        return dict(found)

    texts = [
        text.text
        for svg in drawn_rows(36).values()
        for text in Xml.fromstring(svg).iter(f"{SVG}text")
    ]
    joined = Xml.fromstring(drawn_rows(1000)["season"])

    assert [f"Row {n}" for n in range(36)] == [text for text in texts if str(text)[:3] == "Row"]
    assert ["season", "season-2"] == list(drawn_rows(36))
    names = [str(text.text) for text in joined.iter(f"{SVG}text") if str(text.text)[:3] == "Row"]
    assert [f"Row {n} +199" for n in range(5)] == names
