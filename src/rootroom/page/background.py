"""Answers that take their time, asked of a child process and given up when the plan changes.

One child waits with everything imported. A new job goes to it at once, whatever is still being
worked on is killed with all its own children, and the next child is started.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
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
