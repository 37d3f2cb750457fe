"""The phone page: one HTML file that works from disk, keeps ticks, and hands the record back.

Nothing is fetched: styles, script and charts stand in the file, and its content security policy
forbids everything else, scripts that came in with a plan's text included.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
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
    script, style = _template("page.js"), _template("page.css")
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


def _template(name: str) -> str:
    return files("rootroom.sheets").joinpath("templates", name).read_text(encoding="utf-8")
