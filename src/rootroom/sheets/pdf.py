"""The season as a PDF, A4 or Letter, tagged, the same bytes each time.

The texts go to the typesetter as JSON, so nothing that a plan says is read as markup; it reads no
font of the machine, no clock and no network.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from attrs import asdict

from rootroom.sheets.fonts import FONTS, spelled

if TYPE_CHECKING:
    from rootroom.sheets.views.labels import Label, LabelSheet
    from rootroom.sheets.views.model import SheetsView

PARTS = ("paper", "season", "shopping", "checklist")
"""Templates, read as one document in this order."""

MOST_LABELS = 720
"""A nursery has thousands of pots; its labels are printed from the table."""


def pdf_bytes(view: SheetsView, charts: Mapping[str, str], paper: str) -> bytes:
    """Return the document; `charts` are SVG texts by name, `paper` is "a4" or "letter"."""
    return _compiled(template(), pdf_inputs(view, charts, paper))


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet, paper: str, language: str) -> bytes:
    """Return sheets of labels, of many the first; the last one then counts the others."""
    every = sum(label.count for label in labels)
    texts = [label.lines for label in labels for _ in range(min(label.count, MOST_LABELS))]
    if every > MOST_LABELS:
        texts[MOST_LABELS - 1 :] = [
            [f"{every - MOST_LABELS + 1:,} more pots", "have no label here"]
        ]
    data = {
        "paper": paper,
        "language": language[:2],
        "columns": sheet.columns,
        "height": sheet.label_m(paper)[1] * 1000,
        "side": sheet.side_m * 1000,
        "top": sheet.top_m * 1000,
        "gap": sheet.gap_m * 1000,
        "cut": sheet.cut,
        "labels": spelled(texts),
    }
    return _compiled(_template("labels"), data)


def _compiled(source: bytes, data: Mapping[str, Any]) -> bytes:
    import typst

    # The stub asks for one type of path in all places; bytes are the source itself.
    made: bytes = typst.compile(  # type: ignore[call-overload]
        source,
        format="pdf",
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=0,
    )
    return made


def template() -> bytes:
    """Return the source of the document."""
    return b"\n".join(_template(name) for name in PARTS)


def _template(name: str) -> bytes:
    return files("rootroom.sheets").joinpath("templates", f"{name}.typ").read_bytes()


def pdf_inputs(view: SheetsView, charts: Mapping[str, str], paper: str) -> dict[str, Any]:
    """Return what the template is given: the view and the charts."""
    return {"view": spelled(asdict(view)), "paper": paper, "charts": spelled(charts)}
