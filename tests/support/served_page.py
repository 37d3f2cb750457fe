"""`rootroom open` as a process of its own, and what a test does on its page."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import Page, expect

ROOT = Path(__file__).parents[2]
ADDRESS = re.compile(r"http://127\.0\.0\.1:\d+/#[\w-]+")
ANSWER_MS = 60_000
"""How long list and days may take on a busy machine; the test says what they took."""


class Program:
    """`rootroom open` of one plan, as a process."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.process = subprocess.Popen(
            [sys.executable, "-m", "rootroom", "open", str(path), "--no-browser"],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
            # What a shell starts in the background ignores interrupts, and so would the program.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        assert self.process.stdout is not None
        said = ""
        while not (found := ADDRESS.search(said)):
            line = self.process.stdout.readline()
            assert line, f"the program ended: {said}"
            said += line
        self.address = found[0]

    def kill(self) -> None:
        """Kill the program, as a power cut would."""
        self.process.kill()
        self.process.wait()

    def end(self) -> None:
        """End the program as Ctrl-C does."""
        assert self.process.stdout is not None
        self.process.stdout.close()
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(timeout=10)
            except subprocess.TimeoutExpired:
                self.kill()


def shipped(name: str) -> str:
    """Return the text of a shipped plan."""
    return (ROOT / "plans" / f"{name}.toml").read_text("utf-8")


def fill(page: Page, label: str, text: str) -> None:
    """Type into a field that is known by its name for screen readers, and leave it."""
    field = page.get_by_label(label, exact=True)
    field.fill(text)
    field.press("Tab")


def saved(page: Page) -> None:
    """Save, and wait until the page says so."""
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#status")).to_have_text("Saved.")
