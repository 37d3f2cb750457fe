"""What the sheets cost beside the libraries that make them, and how they grow with the sessions.

    python tests/bench/sheets.py [--runs 7] [--plan plans/spring-figs-and-tomatoes.toml]

First: all sheets of a plan in a fresh process, imports included, once the season is found, over a
process that only imports the same libraries and lets them make the same pages from finished data.
To reach: 1.5.
Then: pages of 25 to 200 sessions; the time a session and the size of the phone page.
"""

from __future__ import annotations

import argparse
import json
import pickle
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

OURS = """
import sys, time
from pathlib import Path
sys.path.insert(0, ".")
from tests.support.seasons import season_of
path = Path(sys.argv[1])
season = season_of(path.read_text("utf-8"), effort_s=2.0, name=path.name)
begun = time.perf_counter()
from rootroom.sheets.kinds import write_sheets
write_sheets(season, Path(sys.argv[2]) / "ours", paper="letter", only=())
print(time.perf_counter() - begun)
"""

LIBRARIES = """
import pickle, sys, time
from pathlib import Path
made = pickle.load(open(sys.argv[1], "rb"))
begun = time.perf_counter()
import typst
typst.compile(made["typst"], format="pdf", font_paths=[made["fonts"]], ignore_system_fonts=True,
              sys_inputs={"data": made["data"]}, timestamp=0,
              output=str(Path(sys.argv[2]) / "sheets.pdf"))
from jinja2 import Environment, FileSystemLoader
page = Environment(loader=FileSystemLoader(made["templates"]), autoescape=True, trim_blocks=True,
                   lstrip_blocks=True).get_template("page.html").render(**made["page"])
(Path(sys.argv[2]) / "page.html").write_text(page)
from icalendar import Calendar, Event, Alarm, Timezone
calendar = Calendar()
for event in made["events"]:
    one = Event()
    for key, value in event.items():
        one.add(key, value)
    one.add_component(Alarm())
    calendar.add_component(one)
calendar.add_missing_timezones(made["first"], made["last"])
(Path(sys.argv[2]) / "season.ics").write_bytes(calendar.to_ical())
import babel.dates, babel.numbers
from decimal import Decimal
for day in made["days"]:
    babel.dates.format_date(day, "full", locale="en_US")
    babel.dates.format_skeleton("MMMEd", day, locale="en_US")
babel.numbers.format_currency(Decimal(1), "USD", locale="en_US")
print(time.perf_counter() - begun)
"""


def run(script: str, *arguments: str) -> float:
    """Return the seconds that a script measured of itself in a fresh process."""
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments], capture_output=True, check=True, cwd=ROOT
    )
    return float(done.stdout.split()[-1])


def library_data(season: object) -> dict[str, object]:
    """Return finished data for the libraries: what our own code hands to them."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from attrs import asdict

    import rootroom.sheets.documents as page_module
    from rootroom.sheets import documents as pdf
    from rootroom.sheets.documents import FONTS
    from rootroom.sheets.kinds import charts
    from rootroom.sheets.views.season import sheets_view
    from rootroom.sheets.writing import Writer

    plan, schedule = season.plan, season.schedule  # type: ignore[attr-defined]
    writer = Writer.of(plan.garden)
    view, drawn = sheets_view(season, writer), charts(season, writer)  # type: ignore[arg-type]
    templates = Path(page_module.__file__).parent / "templates"
    zone = ZoneInfo(plan.garden.zone)
    events = [
        {
            "summary": "session", "uid": str(number),
            "description": json.dumps(asdict(shown))[:800],
            "dtstart": datetime.combine(session.date, session.start, zone),
        }
        for number, (session, shown) in enumerate(
            zip(schedule.sessions, view.sessions, strict=True)
        )
    ]  # fmt: skip
    events += [
        {"summary": f"last day of {window.name}", "uid": f"w{number}", "dtstart": window.due}
        for number, window in enumerate([*schedule.windows, *schedule.hardening[:0]])
    ]
    return {
        "typst": pdf.template(),
        "fonts": str(FONTS),
        "data": json.dumps(pdf.pdf_inputs(view, drawn, "letter")),
        "templates": str(templates),
        "page": {
            "view": view, "charts": dict(drawn), "script": "", "style": "", "script_hash": "",
            "step_words": {}, "chart_titles": page_module.CHARTS,
        },
        "events": events,
        "first": plan.work.first,
        "last": plan.work.last,
        "days": [session.date for session in schedule.sessions],
    }  # fmt: skip


def beside_the_libraries(path: Path, runs: int) -> None:
    """Print the ratio of our time to that of the libraries alone."""
    from tests.support.seasons import season_of

    season = season_of(path.read_text("utf-8"), effort_s=3.0, name=path.name)
    with tempfile.TemporaryDirectory() as folder:
        theirs = Path(folder) / "data"
        theirs.write_bytes(pickle.dumps(library_data(season)))
        times: dict[str, list[float]] = {"ours": [], "libraries": []}
        for _ in range(runs):
            times["ours"].append(run(OURS, str(path), folder))
            times["libraries"].append(run(LIBRARIES, str(theirs), folder))
    median = {name: statistics.median(values) for name, values in times.items()}
    ratio = median["ours"] / median["libraries"]
    print(f"all sheets of {path.name}: {median['ours']:.3f} s", end="; ")
    print(f"libraries alone {median['libraries']:.3f} s; ratio {ratio:.2f} (to reach 1.5)")


def growth() -> None:
    """Print the time and the size of the page by the number of sessions."""
    from rootroom.sheets.kinds import write_sheets
    from tests.support.seasons import long_season

    print("sessions  seconds  ms a session  page kB")
    for sessions in (25, 50, 100, 200):
        season = long_season(sessions)
        with tempfile.TemporaryDirectory() as folder:
            begun = perf_counter()
            write_sheets(season, Path(folder) / "x", paper=None, only=())
            took = perf_counter() - begun
            size = (Path(folder) / "x" / "season.html").stat().st_size
        print(f"{sessions:8}  {took:7.2f}  {took / sessions * 1000:12.1f}  {size / 1000:7.0f}")


def main() -> None:
    """Run both measurements."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument(
        "--plan", type=Path, default=ROOT / "plans" / "spring-figs-and-tomatoes.toml"
    )
    options = parser.parse_args()
    beside_the_libraries(options.plan, options.runs)
    growth()


if __name__ == "__main__":
    main()
