"""The season as a phone page and as a PDF, the same bytes each time.

The page is one HTML file that works from disk, keeps ticks, and hands the record back. Nothing is
fetched: styles, script and charts stand in it, and its content security policy forbids everything
else, scripts that came in with a plan's text included.
The texts go to the typesetter as JSON, so nothing that a plan says is read as markup; it reads no
font of the machine, no clock and no network.
"""

from __future__ import annotations

import base64
import hashlib
import json
import struct
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import asdict

if TYPE_CHECKING:
    from rootroom.sheets.views.labels import Label, LabelSheet
    from rootroom.sheets.views.model import SheetsView


STEP_WORDS = {
    "blended_by_me": "Batches blended by me",
    "bought": "packs bought",
    "fewer": "fewer",
    "left": "Scoops left over",
    "lost": "Lost",
    "more": "more",
    "moved_by_me": "Done by me",
    "used": "Scoops used in all",
    "worked": "Minutes that I worked",
}
"""Words that the script needs for what it adds."""

CHARTS = {
    "season": "The season, day by day",
    "demand": "Mix needed, and its doubt",
    "cost": "Cost of own and ready-made mix",
    "room": "How full it is, week by week",
    "pot": "What the pots hold once drained",
}
"""What each kind of chart is called."""


def page_html(view: SheetsView, charts: Mapping[str, str]) -> str:
    """Return the page; `charts` are SVG texts by name."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        loader=PackageLoader("rootroom.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    # What the script reads stands in the page many times; it needs no spaces.
    environment.policies["json.dumps_kwargs"] = {"sort_keys": True, "separators": (",", ":")}
    script, style = _page_part("page.js"), _page_part("page.css")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return environment.get_template("page.html").render(
        view=view,
        charts={name: Markup(svg) for name, svg in charts.items()},
        script=Markup(script),
        style=Markup(style),
        script_hash=f"sha256-{digest}",
        chart_titles=CHARTS,
        step_words=STEP_WORDS,
    )


def _page_part(name: str) -> str:
    return files("rootroom.sheets").joinpath("templates", name).read_text(encoding="utf-8")


PARTS = ("paper", "season", "shopping", "checklist")
"""Templates, read as one document in this order."""

MOST_LABELS = 720
"""A nursery has thousands of pots; its labels are printed from the table."""


FONTS = Path(__file__).parent / "data" / "fonts"
_JOINERS = frozenset("\ufe0f\u200d") | {chr(code) for code in range(0x1F3FB, 0x1F400)}
"""What only joins or colours pictures; it is left out."""


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


# A printed box where a letter is lacking would leave a name unread, so a picture is spelled out,
# `(seedling)`, and any other letter told by its code point, `(U+6A58)`; whoever prints is told
# first.
def lacking(texts: Iterable[str]) -> list[str]:
    """Return the texts, each once, that hold a letter which the fonts lack; pictures count not."""
    wanted = dict.fromkeys(text for text in texts if not text.isascii())
    return [text for text in wanted if any(map(_lacks, text)) and "(U+" in spelled(text)]


def spelled(value: Any) -> Any:
    """Return a text, or all texts in lists and mappings, with what the fonts lack written out."""
    if isinstance(value, str):
        if value.isascii():
            return value
        return "".join(_written(c) if _lacks(c) else c for c in value if c not in _JOINERS)
    if isinstance(value, Mapping):
        return {name: spelled(part) for name, part in value.items()}
    return [spelled(part) for part in value] if isinstance(value, list | tuple) else value


def _lacks(letter: str) -> bool:
    hidden = letter < " " or unicodedata.category(letter) in ("Cf", "Zs", "Cc")
    return not hidden and ord(letter) not in _covered()


def _written(letter: str) -> str:
    if "\U0001f000" <= letter <= "\U0001faff":
        return f"({unicodedata.name(letter, 'picture').lower()})"
    return f"(U+{ord(letter):04X})"


@cache
def _covered() -> frozenset[int]:
    """Return the code points that every font has, read from its table of characters.

    OpenType 1.9, `cmap`, subtable format 12: groups of a first and a last code point.
    """
    return frozenset.intersection(
        *(frozenset(_code_points(path.read_bytes())) for path in sorted(FONTS.glob("*.ttf")))
    )


def _code_points(font: bytes) -> Iterable[int]:
    (tables,) = struct.unpack_from(">H", font, 4)
    records = (struct.unpack_from(">4s4xI4x", font, 12 + 16 * n) for n in range(tables))
    start = next(offset for tag, offset in records if tag == b"cmap")
    (count,) = struct.unpack_from(">H", font, start + 2)
    for number in range(count):
        (offset,) = struct.unpack_from(">4xI", font, start + 4 + 8 * number)
        at = start + offset
        if struct.unpack_from(">H", font, at) == (12,):
            (groups,) = struct.unpack_from(">I", font, at + 12)
            for group in range(groups):
                first, last = struct.unpack_from(">II", font, at + 16 + 12 * group)
                yield from range(first, last + 1)
