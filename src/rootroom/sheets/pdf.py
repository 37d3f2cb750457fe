"""The season as a PDF, A4 or Letter, tagged, the same bytes each time.

The texts go to the typesetter as JSON, so nothing that a plan says is read as markup; it reads no
font of the machine, no clock and no network.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from rootroom.sheets.wording import section, words

if TYPE_CHECKING:
    from rootroom.sheets.views.session import View

__all__ = ["pdf_bytes", "pdf_inputs"]

FONTS = Path(__file__).parent / "data" / "fonts"
CHARTS = ("season", "demand", "makeup", "cost")


def pdf_bytes(view: View, charts: Mapping[str, str], paper: str) -> bytes:
    """Return the document; `charts` are SVG texts by name, `paper` is "a4" or "letter"."""
    import typst

    source = files("rootroom.sheets").joinpath("templates", "sheets.typ").read_bytes()
    made: bytes = typst.compile(
        source,
        format="pdf",
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(pdf_inputs(view, charts, paper), ensure_ascii=False)},
        timestamp=0,
    )
    return made


def pdf_inputs(view: View, charts: Mapping[str, str], paper: str) -> View:
    """Return what the template is given: the view, the wording, and the charts."""
    names = ("season_page", "shopping", "session", "labels")
    return {
        "view": view,
        "paper": paper,
        "charts": dict(charts),
        "chart_titles": [[name, words(f"charts.{name}")] for name in CHARTS],
        "words": {name: section(name) for name in names},
    }
