"""Labels for pots: on sheets of any rows, columns and margins, and as a table for printers."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pypdf
import pytest
from attrs import evolve

from rootroom.problems import TextError
from rootroom.sheets import documents as pdf
from rootroom.sheets.documents import labels_pdf
from rootroom.sheets.kinds import KINDS, Sheets
from rootroom.sheets.views.labels import LabelSheet, labels_csv, labels_of, read_label_sheet
from rootroom.sheets.writing import Writer
from tests.support.seasons import PLANS, shipped_season

FIGS = "spring-figs-and-tomatoes"


def places(content: bytes) -> list[tuple[float, float, str]]:
    """Return where each piece of the first page's text begins, from the top left [mm], and it."""
    page = pypdf.PdfReader(io.BytesIO(content)).pages[0]
    found: list[tuple[float, float, str]] = []
    high = float(page.mediabox.height)

    def look(text: str, cm: Any, tm: Any, font: Any, size: Any) -> None:
        if text.strip():
            x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
            found.append((x / 72 * 25.4, (high - y) / 72 * 25.4, text.strip()))

    page.extract_text(visitor_text=look)
    return found


@pytest.mark.parametrize("stem", [FIGS, "balcony-in-litres"])
def test_every_first_pot_has_a_label(stem: str) -> None:
    """As many labels as pots of first moves: those of later moves go along with the plant."""
    season = shipped_season(stem)
    labels = labels_of(season.schedule, Writer.of(season.plan.garden))
    first: dict[str, int | None] = {}
    pots = 0
    for session in season.schedule.sessions:
        for line in session.work:
            if line.kind == "move" and first.setdefault(line.name, line.move) == line.move:
                pots += line.pots

    assert pots == sum(label.count for label in labels)
    text = labels_csv(labels)
    assert pots == sum(int(row["labels"]) for row in csv.DictReader(io.StringIO(text)))
    pages = pypdf.PdfReader(io.BytesIO(labels_pdf(labels, LabelSheet(), "a4", "en-GB"))).pages
    assert -(-pots // 27) == len(pages)


def test_labels_stand_where_the_sheet_has_them() -> None:
    """A US letter sheet of 30: 2 5/8 by 1 in, half an inch above, 3/16 beside, 1/8 between.

    A common size of label sheets, from memory, no source.
    """
    sheet = read_label_sheet("10 x 3, 0.5 in x 0.1875 in, 0.125 in", "letter")
    assert (2.625 * 25.4, 25.4) == pytest.approx([m * 1000 for m in sheet.label_m("letter")])
    season = shipped_season(FIGS)
    labels = labels_of(season.schedule, Writer.of(season.plan.garden))
    names = {label.name for label in labels}
    found = [one for one in places(labels_pdf(labels, sheet, "letter", "en-US")) if one[2] in names]

    assert 30 == len(found)
    for number, (x, y, _) in enumerate(found):
        row, column = divmod(number, 3)
        left = (0.1875 + column * (2.625 + 0.125)) * 25.4
        top = (0.5 + row) * 25.4
        assert left < x < left + 5
        assert top < y < top + 10


def test_what_has_no_label_is_a_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last label says how many more pots there are, and the table has them all."""
    monkeypatch.setattr(pdf, "MOST_LABELS", 5)
    season = shipped_season(FIGS)
    (label, *_) = labels_of(season.schedule, Writer.of(season.plan.garden))
    many = [evolve(label, count=1007)]
    text = pypdf.PdfReader(io.BytesIO(labels_pdf(many, LabelSheet(), "a4", "en-GB"))).pages[0]

    assert 4 == text.extract_text().count(label.name)
    assert "1,003 more pots" in text.extract_text()
    assert labels_csv(many).endswith(",1007,,,\r\n")


@pytest.mark.parametrize("text", ["", "10", "10 x", "0 x 3", "10 x 3, 5", "9 x 3, 1 in x 1 in x 2"])
def test_error_a_sheet_that_cannot_be_read(text: str) -> None:
    """The hint shows a whole sheet."""
    with pytest.raises(TextError, match="no sheet of labels") as error:
        read_label_sheet(text, "a4")

    assert "`10 x 3, 0.5 in x 0.2 in, 0.12 in`" in error.value.hint


@pytest.mark.parametrize("text", ["60 x 3", "10 x 12", "10 x 3, 20 cm x 1 cm"])
def test_error_labels_too_small(text: str) -> None:
    """Nothing is written on a label of less than 20 by 8 mm."""
    with pytest.raises(TextError, match="too small"):
        read_label_sheet(text, "a4")


def test_a_season_of_beds_alone_has_no_labels() -> None:
    """Nothing is put in a pot, so no file is made."""
    (stem,) = (one for one in PLANS if "beds" in one)
    season = shipped_season(stem)
    bare = evolve(season, schedule=evolve(season.schedule, sessions=()))
    writer = Writer.of(season.plan.garden)

    assert {} == KINDS["labels"](Sheets(bare, writer, {}, "a4", Path(), None))
