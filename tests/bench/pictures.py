"""Make the README's pictures anew: the season page and the phone page of the fig plan.

    python tests/bench/pictures.py

They are kept in plans/. The season page needs nothing but the package, the phone page Chromium and
`.[browser]`.
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

ROOT = Path(__file__).parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from rootroom.season import Season

STEM = "spring-figs-and-tomatoes"
PICTURES = {name: ROOT / "plans" / f"{name}.png" for name in ("season-page", "phone-page")}
MORNING = "2027-03-27T08:00"
PHONE = {"width": 360, "height": 740}


def season_page(season: Season) -> bytes:
    """Return the first page of the PDF as a picture, 4 pixels for 3 points."""
    import typst

    from rootroom.sheets import pdf
    from rootroom.sheets.charts.all import charts
    from rootroom.sheets.pdf import FONTS
    from rootroom.sheets.views.season import sheets_view
    from rootroom.sheets.writing import Writer

    writer = Writer.of(season.plan.garden)
    inputs = pdf.pdf_inputs(sheets_view(season, writer), charts(season, writer), "letter")
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


def phone_page(season: Season, browser: Browser) -> bytes:
    """Return the phone page as it opens on the morning of the first session."""
    from rootroom.sheets.all import write_sheets

    with tempfile.TemporaryDirectory() as folder:
        write_sheets(season, Path(folder) / "out", paper=None, only=("page",))
        page = browser.new_context(viewport=PHONE, offline=True, has_touch=True).new_page()
        page.clock.set_fixed_time(MORNING)
        page.goto((Path(folder) / "out" / "season.html").as_uri())
        return page.screenshot()


def size(png: bytes) -> tuple[int, int]:
    """Return how wide and high a PNG is [pixels]: its bytes 16 to 24 (RFC 2083, 11.2.1)."""
    return int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")


def main() -> None:
    """Write both."""
    from playwright.sync_api import sync_playwright

    from rootroom import make_season, read_plan

    plan, _ = read_plan(ROOT / "plans" / f"{STEM}.toml")
    assert plan is not None
    season = make_season(plan)  # with the usual search, as the README's command
    PICTURES["season-page"].write_bytes(season_page(season))
    with sync_playwright() as playwright:
        found = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        PICTURES["phone-page"].write_bytes(phone_page(season, browser))


if __name__ == "__main__":
    main()
