"""Which files a season is written as, and writing them whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import frozen

from rootroom.demand.recipes import given_by_spoon
from rootroom.plan.names import shown, suggest
from rootroom.problems import TextError
from rootroom.sheets.charts.bars import cost_chart, demand_chart
from rootroom.sheets.charts.pot import pot_charts
from rootroom.sheets.charts.season import NARROW, PHONE, room_charts, season_charts
from rootroom.sheets.files import write_files
from rootroom.sheets.views.season import sheets_view
from rootroom.sheets.writing import Writer

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.season import Season
    from rootroom.sheets.views.model import SheetsView

PAPERS = {"us": "letter", "metric": "a4"}
"""The paper that goes with each system of units."""


def write_sheets(
    season: Season,
    out: Path,
    *,
    paper: str | None,
    only: tuple[str, ...],
    label_sheet: str | None = None,
) -> tuple[str, ...]:
    """Write the sheets of a season into the folder `out`; return the names of the files.

    `paper` is "a4" or "letter", by default as the plan's units suggest; `only` names kinds of
    `KINDS`, all but the tasks if empty; `label_sheet` tells rows, columns and margins.
    Raises TextError for an unknown paper or kind and for a folder that holds other people's files,
    OSError when the disk refuses; then no file of the folder is changed.
    """
    check_wishes(paper, only, label_sheet)
    size = PAPERS[season.plan.garden.system] if paper is None else paper.strip().lower()
    kinds = _kinds(only)
    writer = Writer.of(season.plan.garden, given_by_spoon(season.plan))
    sheets = Sheets(season, writer, sheets_view(season, writer), size, out, label_sheet)
    files: dict[str, bytes] = {}
    for kind in kinds:
        files.update(KINDS[kind](sheets))
    return write_files(out, files, keep=bool(only))


def check_wishes(paper: str | None, only: tuple[str, ...], label_sheet: str | None = None) -> None:
    """Raise TextError for an unknown paper, kind or sheet, before anything has been worked out."""
    if paper is not None and paper.strip().lower() not in PAPERS.values():
        message = f"unknown paper: `{shown(paper)}`"
        raise TextError(message, code="unknown-paper", hint="`a4` and `letter` are known")
    _kinds(only)
    if label_sheet is not None:
        from rootroom.sheets.views.labels import read_label_sheet

        read_label_sheet(label_sheet, "a4" if paper is None else paper.strip().lower())


def unprintable(plan: Plan, only: tuple[str, ...]) -> list[str]:
    """Return the names that hold letters which the fonts of the PDF lack, if one is wanted."""
    if not {"pdf", "labels"} & set(_kinds(only)):
        return []
    from rootroom.sheets.documents import lacking

    sold = (text or "" for one in plan.supplies for text in (one.of, one.supplier))
    beds = (bed.name for bed in plan.beds)
    return lacking((plan.garden.name, *plan.plants.names, *plan.mixes, *beds, *sold))


def _kinds(only: tuple[str, ...]) -> list[str]:
    wanted = [word.strip().lower() for text in only for word in text.split(",") if word.strip()]
    unknown = [word for word in wanted if word not in KINDS]
    if unknown:
        hint = suggest(unknown[0], KINDS, "known: " + ", ".join(f"`{kind}`" for kind in KINDS))
        message = f"unknown kind of sheet: `{shown(unknown[0])}`"
        raise TextError(message, code="unknown-kind", hint=hint)
    return [kind for kind in KINDS if kind in wanted] or [kind for kind in KINDS if kind != TASKS]


@frozen
class Sheets:
    """What every kind of sheet is made from."""

    season: Season
    writer: Writer
    view: SheetsView
    paper: str
    out: Path
    label_sheet: str | None


Files = Mapping[str, bytes]
Maker = Callable[[Sheets], Files]

TASKS = "tasks"


def charts(season: Season, writer: Writer, *, phone: bool = False) -> Mapping[str, str]:
    """Return each chart as an SVG element; one that would be empty is left out.

    Paper has no room for the pots and the places, and narrow pictures are for the phone.
    """
    size = {"width": PHONE, "names": NARROW} if phone else {}
    found = {
        **season_charts(season, writer, **size),
        "demand": demand_chart(season, writer),
        "cost": cost_chart(season, writer),
        **({**room_charts(season), **pot_charts(season)} if phone else {}),
    }
    return {name: svg for name, svg in found.items() if svg}


def _text(sheets: Sheets) -> Files:
    from rootroom.sheets.checklist_text import checklist_text

    return {
        f"checklists/{session.id}.txt": checklist_text(
            session, garden=sheets.view.garden, made_by=sheets.view.made_by
        ).encode()
        for session in sheets.view.sessions
    }


def _page(sheets: Sheets) -> Files:
    from rootroom.sheets.documents import page_html

    phone = charts(sheets.season, sheets.writer, phone=True)
    return {"season.html": page_html(sheets.view, phone).encode()}


def _pdf(sheets: Sheets) -> Files:
    from rootroom.sheets.documents import pdf_bytes

    pictures = charts(sheets.season, sheets.writer)
    return {"season.pdf": pdf_bytes(sheets.view, pictures, sheets.paper)}


def _calendar(sheets: Sheets) -> Files:
    from rootroom.sheets.calendar import calendar_ics

    name = "season.ics"
    text = calendar_ics(sheets.season, sheets.view, sheets.writer, _there(sheets.out / name))
    return {name: text}


def _tasks(sheets: Sheets) -> Files:
    from rootroom.sheets.calendar import tasks_ics

    name = "tasks.ics"
    return {name: tasks_ics(sheets.season, sheets.view, sheets.writer, _there(sheets.out / name))}


def _there(path: Path) -> bytes | None:
    """Return the file of an earlier run, None if there is none."""
    return path.read_bytes() if path.is_file() and not path.is_symlink() else None


def _labels(sheets: Sheets) -> Files:
    from rootroom.sheets.documents import labels_pdf
    from rootroom.sheets.views.labels import LabelSheet, labels_csv, labels_of, read_label_sheet

    labels = labels_of(sheets.season.schedule, sheets.writer)
    if not labels:
        return {}
    told, paper = sheets.label_sheet, sheets.paper
    sheet = LabelSheet() if told is None else read_label_sheet(told, paper)
    return {
        "labels.pdf": labels_pdf(labels, sheet, paper, sheets.writer.language),
        "labels.csv": labels_csv(labels).encode(),
    }


def _tables(sheets: Sheets) -> Files:
    from rootroom.sheets.tables import tables

    return {f"tables/{name}": text.encode() for name, text in tables(sheets.season).items()}


KINDS: Mapping[str, Maker] = {
    "pdf": _pdf,
    "page": _page,
    "text": _text,
    "calendar": _calendar,
    "labels": _labels,
    "tables": _tables,
    TASKS: _tasks,
}
"""What can be asked for alone: each kind makes some of the files."""
