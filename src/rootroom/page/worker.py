"""The child process that works out list, days and pictures, since that may take its time.

It reads one line of JSON from its parent, hands back lines of JSON, and ends; the parent kills it
when what it works on has changed. Much is imported before the line comes, so that a waiting child
begins at once.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, TextIO

import rootroom.season
import rootroom.sheets.all
from rootroom.comparing import Compared, outcome
from rootroom.page.showing import (
    answer_html,
    compared_html,
    read_for_answers,
    sheets_written,
)


def work(job: dict[str, Any], out: TextIO) -> None:
    """Do a job: `text` of the plan at `path`; `beside` are texts to compare; `out` for sheets."""

    def hand_back(**found: Any) -> None:
        out.write(json.dumps(found) + "\n")
        out.flush()

    path = Path(job["path"])
    plan = read_for_answers(job["text"], path)
    if plan is None:
        return
    season = rootroom.season.make_season(plan)
    if job.get("out"):
        hand_back(**sheets_written(season, path, Path(job["out"])))
        return
    hand_back(html=answer_html(season))
    now = Compared("now", job["text"], plan)
    found, broken = [outcome(now, season, beside=now)], []
    for name, text in job["beside"].items():
        other = read_for_answers(text, path)
        if other is None:
            broken.append(name)
        else:
            beside = Compared(name, text, other)
            found.append(outcome(beside, rootroom.season.make_season(other), beside=now))
        hand_back(compared=compared_html(found, broken))


def main() -> None:
    """Wait for a job, and do it."""
    channel = sys.stdout
    sys.stdout = sys.stderr
    line = sys.stdin.readline()
    if line:
        work(json.loads(line), channel)


if __name__ == "__main__":
    main()
