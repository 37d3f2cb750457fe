"""What is done with a saved plan: sheets written, work noted, planned beside real.

Each is the program's own command or stage in a process of its own, so that it can be ended.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rootroom.page.background import environment, run_once

SHEETS_S = 180.0
RECORD_S = 300.0
"""How long writing the sheets, or reading a record and planning anew, may take [s]."""
MOST_SAID = 40_000
"""Characters of a command's answer that the page shows."""
UNSAVED = "save the plan first: this is done with its file"

Found = dict[str, Any]


def write_sheets(path: Path, text: str) -> Found:
    """Write the sheets into a folder beside the plan; return what was written, or `refused`."""
    out = path.with_name(f"{path.stem}-sheets")
    job = {"path": str(path), "text": text, "lists": {}, "out": str(out)}
    return run_once(job, SHEETS_S) or {"refused": "the sheets could not be made"}


def read_handed_back(path: Path, text: str) -> Found:
    """Note in the record what a phone handed back; return what the command says."""
    with tempfile.TemporaryDirectory(prefix="rootroom-") as folder:
        handed = Path(folder) / "handed-back.txt"
        handed.write_text(text, "utf-8")
        found = _command("record", str(path), str(handed))
    return {**found, "said": found["said"].replace(str(handed), "the text")}


def session_form(path: Path) -> Found:
    """Return the lines of the next session, or `refused`; nothing is written."""
    job = {"path": str(path), "session": {}}
    return run_once(job, RECORD_S) or {"refused": "the days could not be found"}


def note_session(path: Path, day: str, answers: Mapping[str, str]) -> Found:
    """Note a session and plan the rest again; return what the command would say, or `wrong`."""
    job = {"path": str(path), "session": {"day": day, "answers": dict(answers)}}
    return run_once(job, RECORD_S) or {
        "said": "This ended before it said what it did: `rootroom record --list` shows the record.",
        "fine": False,
    }


def review(path: Path) -> Found:
    """Return planned beside real, as the command tells it."""
    return _command("review", str(path))


def _command(*words: str) -> Found:
    try:
        done = subprocess.run(
            [sys.executable, "-m", "rootroom", *words],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=RECORD_S,
            env=environment(),
        )
    except subprocess.TimeoutExpired:
        return {"said": "This took too long and was ended.", "fine": False}
    said = (done.stdout + b"\n" + done.stderr).decode("utf-8", "replace").strip()
    return {"said": said[:MOST_SAID], "fine": done.returncode in (0, 3)}
