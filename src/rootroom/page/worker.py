"""The child process that works out list, days and pictures, since that may take its time.

It reads one line of JSON from its parent, hands back lines of JSON, and ends; the parent kills it
when what it works on has changed. Much is imported before the line comes, so that a waiting child
begins at once.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any, TextIO

NICENESS = 10
"""How far it stands back behind the page's own answers."""
READY = (
    "rootroom.page.showing", "rootroom.comparing", "rootroom.season", "rootroom.demand.find",
    "rootroom.buying.shop", "rootroom.mixing.blend", "rootroom.sessions.schedule",
    "rootroom.sheets.views.season", "rootroom.sheets.views.shopping", "jinja2", "highspy",
)  # fmt: skip
"""What a waiting child has imported."""


def work(job: dict[str, Any], out: TextIO) -> None:
    """Do a job: `text` of the plan at `path` with the `lists` that are being written.

    `beside` are such texts to compare; `out` is where sheets go. With `session` one of the plan's
    file is shown or noted, and nothing else done.
    """
    from rootroom.comparing import Compared, outcome
    from rootroom.page import showing
    from rootroom.season import make_season

    def hand_back(**found: Any) -> None:
        out.write(json.dumps(found) + "\n")
        out.flush()

    path = Path(job["path"])
    if "session" in job:
        hand_back(**_session(path, job["session"]))
        return
    plan = showing.read_for_answers(job["text"], path, job["lists"])
    if plan is None:
        return
    season = make_season(plan)
    if job.get("out"):
        hand_back(**showing.sheets_written(season, path, Path(job["out"])))
        return
    hand_back(html=showing.answer_html(season))
    now = Compared("now", job["text"], plan)
    found, broken = [outcome(now, season, beside=now)], []
    for name, work in job["beside"].items():
        other = showing.read_for_answers(work["text"], path, work["lists"])
        if other is None:
            broken.append(name)
        else:
            beside = Compared(name, work["text"], other)
            found.append(outcome(beside, make_season(other), beside=now))
        hand_back(compared=showing.compared_html(found, broken))


def _session(path: Path, asked: dict[str, Any]) -> dict[str, Any]:
    """Return the next session's form, or note one: its `day` with its `answers`."""
    from rootroom.page import noting

    if "answers" not in asked:
        return noting.session_form(path)
    return noting.note_session(path, date.fromisoformat(asked["day"]), asked["answers"])


def main() -> None:
    """Wait for a job, and do it."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    channel = sys.stdout
    sys.stdout = sys.stderr
    for name in READY:
        import_module(name)
    line = sys.stdin.readline()
    if line:
        work(json.loads(line), channel)


if __name__ == "__main__":
    main()
