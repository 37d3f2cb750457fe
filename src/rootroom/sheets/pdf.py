"""The season as a PDF, A4 or Letter, tagged, the same bytes each time.

The texts go to the typesetter as JSON, so nothing that a plan says is read as markup; it reads no
font of the machine, no clock and no network.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rootroom.sheets.views.session import View

__all__ = ["pdf_bytes", "pdf_inputs", "template"]

FONTS = Path(__file__).parent / "data" / "fonts"
PARTS = ("paper", "season", "shopping", "checklist", "labels")
"""Templates, read as one document in this order."""


def pdf_bytes(view: View, charts: Mapping[str, str], paper: str) -> bytes:
    """Return the document; `charts` are SVG texts by name, `paper` is "a4" or "letter"."""
    import typst

    # The stub asks for one type of path in all places; bytes are the source itself.
    made: bytes = typst.compile(  # type: ignore[call-overload]
        template(),
        format="pdf",
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(pdf_inputs(view, charts, paper), ensure_ascii=False)},
        timestamp=0,
    )
    return made


def template() -> bytes:
    """Return the source of the document."""
    folder = files("rootroom.sheets").joinpath("templates")
    return b"\n".join(folder.joinpath(f"{name}.typ").read_bytes() for name in PARTS)


def pdf_inputs(view: View, charts: Mapping[str, str], paper: str) -> View:
    """Return what the template is given: the view and the charts."""
    return {"view": _spelled(view), "paper": paper, "charts": _spelled(charts)}


# Pictures that no font of ours has; what only joins or colours them is left out.
_PICTURES = re.compile("[\U0001f000-\U0001faff]")
_JOINERS = re.compile("[\ufe0f\u200d\U0001f3fb-\U0001f3ff]")


def _spelled(value: Any) -> Any:
    """Return a view with pictures in its texts spelled out: `(seedling)`."""
    if isinstance(value, str):
        if value.isascii():
            return value
        return _PICTURES.sub(_picture, _JOINERS.sub("", value))
    if isinstance(value, Mapping):
        return {name: _spelled(part) for name, part in value.items()}
    return [_spelled(part) for part in value] if isinstance(value, list | tuple) else value


def _picture(found: re.Match[str]) -> str:
    return f"({unicodedata.name(found[0], 'picture').lower()})"
