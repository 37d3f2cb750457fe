"""Make the README's pictures anew: the season page and the phone page of the fig plan.

    python tests/bench/pictures.py

They are kept in plans/, each with a text of what it shows: pixels differ from machine to machine,
so tests compare the texts. The season page needs nothing but the package, the phone page Chromium
and `.[browser]`.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from rootroom.season import Season

STEM = "spring-figs-and-tomatoes"
PICTURES = {name: ROOT / "plans" / f"{name}.png" for name in ("season-page", "phone-page")}


def text_of(name: str) -> Path:
    """Return where the text of what a picture shows is kept."""
    return PICTURES[name].with_suffix(".txt")


MORNING = "2027-03-27T08:00"
PHONE = {"width": 360, "height": 740}


def readme_season() -> Season:
    """Return the season of the pictures, with the usual search, as the README's command."""
    from rootroom import make_season, read_plan

    plan, _ = read_plan(ROOT / "plans" / f"{STEM}.toml")
    assert plan is not None
    return make_season(plan)


def _season_inputs(season: Season) -> dict[str, Any]:
    from rootroom.sheets import documents as pdf
    from rootroom.sheets.kinds import charts
    from rootroom.sheets.views.season import sheets_view
    from rootroom.sheets.writing import Writer

    writer = Writer.of(season.plan.garden)
    return pdf.pdf_inputs(sheets_view(season, writer), charts(season, writer), "letter")


def season_text(season: Season) -> str:
    """Return what the season page is made of: its words, and digests of its chart and its form."""
    from rootroom.sheets import documents as pdf

    inputs = _season_inputs(season)
    view = inputs["view"]
    words = {"garden": view["garden"], "file": view["file"], **view["season"]}
    chart = json.dumps(inputs["charts"], sort_keys=True)
    lines = [f"{key}: {json.dumps(words[key], ensure_ascii=False)}" for key in words]
    return "\n".join([*lines, f"chart: {_digest(chart)}", f"form: {_digest(pdf.template())}", ""])


def phone_text(page: Page) -> str:
    """Return what the phone page shows from top to bottom, and a digest of its form."""
    templates = ROOT / "src" / "rootroom" / "sheets" / "templates"
    form = b"".join((templates / name).read_bytes() for name in ("page.html", "page.css"))
    shown = [" ".join(line.split()) for line in page.locator("body").inner_text().splitlines()]
    return "\n".join([*filter(None, shown), f"form: {_digest(form)}", ""])


def _digest(content: str | bytes) -> str:
    raw = content.encode() if isinstance(content, str) else content
    return hashlib.sha256(raw).hexdigest()[:16]


def season_page(season: Season) -> bytes:
    """Return the first page of the PDF as a picture, 4 pixels for 3 points."""
    import typst

    from rootroom.sheets import documents as pdf
    from rootroom.sheets.documents import FONTS

    inputs = _season_inputs(season)
    pages = typst.compile(  # type: ignore[call-overload]
        pdf.template(),
        format="png",
        ppi=96,
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(inputs)},
        timestamp=0,
    )
    return bytes(pages[0])


def phone_page(season: Season, browser: Browser) -> tuple[bytes, str]:
    """Return the phone page as it opens on the morning of the first session, and its text."""
    from rootroom.sheets.kinds import write_sheets

    with tempfile.TemporaryDirectory() as folder:
        write_sheets(season, Path(folder) / "out", paper=None, only=("page",))
        page = browser.new_context(viewport=PHONE, offline=True, has_touch=True).new_page()
        page.clock.set_fixed_time(MORNING)
        page.goto((Path(folder) / "out" / "season.html").as_uri())
        return page.screenshot(), phone_text(page)


def size(png: bytes) -> tuple[int, int]:
    """Return how wide and high a PNG is [pixels]: its bytes 16 to 24 (RFC 2083, 11.2.1)."""
    return int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")


def main() -> None:
    """Write both, with their texts."""
    from playwright.sync_api import sync_playwright

    season = readme_season()
    PICTURES["season-page"].write_bytes(season_page(season))
    text_of("season-page").write_text(season_text(season), "utf-8")
    with sync_playwright() as playwright:
        found = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        picture, text = phone_page(season, browser)
        PICTURES["phone-page"].write_bytes(picture)
        text_of("phone-page").write_text(text, "utf-8")


if __name__ == "__main__":
    main()
