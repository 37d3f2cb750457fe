"""What takes its time, each in a process of its own, so that it can be ended.

Answers are asked of a child and given up when the plan changes: one child waits with everything
imported, a new job goes to it at once, whatever is still being worked on is killed with all its own
children, and the next child is started. With a saved plan sheets are written, work is noted, and
planned is set beside real, each by the program's own command or stage.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from threading import Lock, Thread
from time import sleep
from typing import Any

from attrs import define, field

COMMAND = (sys.executable, "-m", "rootroom.page.worker")
SETTLE_S = 0.3
"""How long nothing must change before list and days are worked out [s]."""


@define
class Background:
    """What was found for the newest job, and whether its child is still at work."""

    number: int = -1
    found: dict[str, Any] = field(factory=dict)
    pending: bool = False
    failed: bool = False
    _lock: Lock = field(factory=Lock)
    _at_work: subprocess.Popen[str] | None = None
    _waiting: subprocess.Popen[str] | None = None
    _closed: bool = False

    def ask(self, number: int, job: Mapping[str, Any]) -> None:
        """Work on a job from now on, and on none before it."""
        with self._lock:
            if self._closed:
                return
            self._stop()
            self.number, self.found, self.pending, self.failed = number, {}, True, False
        Thread(target=self._follow, args=(number, job), daemon=True).start()

    def give_up(self) -> None:
        """Stop what is being worked on; there is nothing to find at present."""
        with self._lock:
            self._stop()
            self.number, self.pending = -1, False

    def prepare(self) -> None:
        """Let a child wait for the next job."""
        with self._lock:
            if self._waiting is None and not self._closed:
                self._waiting = _child()

    def close(self) -> None:
        """End all children."""
        with self._lock:
            self._closed = True
            self._stop()
            if self._waiting is not None:
                with self._waiting as child:
                    _kill(child)

    def _stop(self) -> None:
        if self._at_work is not None:
            _kill(self._at_work)
            self._at_work = None

    def _follow(self, number: int, job: Mapping[str, Any]) -> None:
        # Changes come in bursts; a child for each would take the machine from the demand.
        sleep(SETTLE_S)
        with self._lock:
            if self.number != number or self._closed:
                return
            child = self._at_work = self._waiting or _child()
            self._waiting = None
        with child:  # closes its pipes at the end
            assert child.stdin is not None
            assert child.stdout is not None
            with contextlib.suppress(OSError, ValueError):
                child.stdin.write(json.dumps(job) + "\n")
                child.stdin.close()
                for line in child.stdout:
                    with self._lock:
                        if self.number == number:
                            self.found = {**self.found, **json.loads(line)}
        with self._lock:
            if self.number == number:
                self.pending, self.failed = False, child.returncode != 0
                self._at_work = None
                self._waiting = self._waiting or (None if self._closed else _child())


def run_once(job: Mapping[str, Any], seconds: float) -> dict[str, Any] | None:
    """Return what a child of its own finds for a job; None if it fails or takes too long [s]."""
    child = _child()
    try:
        said, _ = child.communicate(json.dumps(job) + "\n", timeout=seconds)
    except subprocess.TimeoutExpired:
        with child:
            _kill(child)
        return None
    found: dict[str, Any] = {}
    for line in said.splitlines():
        found |= json.loads(line)
    return found if child.returncode == 0 and found else None


def environment() -> dict[str, str]:
    """Return a child's environment: it writes UTF-8 wherever the machine's own words are others."""
    return {**os.environ, "PYTHONIOENCODING": "utf-8"}


def _child() -> subprocess.Popen[str]:
    return subprocess.Popen(
        COMMAND,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        start_new_session=True,
        env=environment(),
    )


def _kill(child: subprocess.Popen[str]) -> None:
    """End a child with the solver's process that it may have started."""
    with contextlib.suppress(OSError):
        if os.name == "posix":
            os.killpg(child.pid, signal.SIGKILL)
        else:
            child.kill()
    with contextlib.suppress(subprocess.TimeoutExpired):
        child.wait(timeout=5)


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
