"""The line that says what is being done: on a terminal after a while, and wiped."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from rootroom.cli import streams as progress
from rootroom.cli.streams import working, writing
from tests.support.patience import PATIENCE_S

BALCONY = Path(__file__).parents[3] / "plans" / "balcony-in-litres.toml"


class Screen(io.StringIO):
    """A terminal, or none, that tells when something was written to it."""

    def __init__(self, terminal: bool = True) -> None:
        super().__init__()
        self.terminal, self.written = terminal, threading.Event()

    def isatty(self) -> bool:
        """Whether it is a terminal."""
        return self.terminal

    def write(self, text: str) -> int:
        """Keep a text and tell so."""
        count = super().write(text)
        self.written.set()
        return count


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    """A terminal in place of stderr, where nothing has to wait."""
    shown = Screen()
    monkeypatch.setattr(progress, "AFTER_S", 0.001)
    monkeypatch.setattr(progress, "sys", SimpleNamespace(stderr=shown, stdout=Screen()))
    return shown


def test_line_comes_and_is_wiped(screen: Screen) -> None:
    """What takes long is told, and its line is empty again afterwards."""
    with working("reading the plan"):
        assert screen.written.wait(PATIENCE_S)

    first, *_, last, end = screen.getvalue().split("\r")[1:]
    assert "reading the plan …" == first
    assert ("", "") == (last.strip(), end)
    assert len(last) >= len(first)


def test_what_is_quick_is_not_told(screen: Screen, monkeypatch: pytest.MonkeyPatch) -> None:
    """Before a second has gone by nothing is shown."""
    monkeypatch.setattr(progress, "AFTER_S", PATIENCE_S)
    with working("reading the plan"):
        pass

    assert "" == screen.getvalue()


def test_without_a_terminal_nothing_is_told(screen: Screen) -> None:
    """Into a file or a pipe no line goes, and no thread is started for it."""
    screen.terminal = False
    before = threading.active_count()
    with working("reading the plan"):
        assert before == threading.active_count()

    assert "" == screen.getvalue()


@pytest.mark.parametrize("terminal", [True, False])
def test_while_an_answer_is_written(terminal: bool, screen: Screen) -> None:
    """Writing is told only where the answer itself does not go to the terminal."""
    progress.sys.stdout.terminal = terminal
    with writing("writing the answer"):
        told = not terminal and screen.written.wait(PATIENCE_S)

    assert told == ("writing the answer …" in screen.getvalue())


def test_error_while_working_goes_on(screen: Screen) -> None:
    """An error passes through, and the line is wiped."""

    def fail() -> None:
        with working("reading the plan"):
            assert screen.written.wait(PATIENCE_S)
            raise ValueError("wrong")

    with pytest.raises(ValueError, match="wrong"):
        fail()

    assert screen.getvalue().endswith("\r")


@pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are of POSIX")
@pytest.mark.parametrize("command", ["check", "demand", "buy", "sessions", "season", "drained"])
def test_commands_tell_what_they_do(command: str) -> None:
    """On a terminal each command tells what it is doing, on stderr only."""
    pty = pytest.importorskip("pty")
    script = (
        "import rootroom.cli.streams as progress, sys; progress.AFTER_S = 0.0005\n"
        f"sys.argv = ['rootroom', {command!r}, {str(BALCONY)!r}]\n"
        "from rootroom.cli import main; main()"
    )
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=theirs
    )
    os.close(theirs)
    shown = []
    drain = threading.Thread(target=lambda: shown.extend(iter(lambda: _read(ours), b"")))
    drain.start()
    answer, _ = process.communicate(timeout=PATIENCE_S)
    drain.join(PATIENCE_S)
    os.close(ours)

    assert b"reading the plan \xe2\x80\xa6" in b"".join(shown)
    assert b"reading the plan" not in answer


def _read(terminal: int) -> bytes:
    """Return what was written to a terminal, nothing once it is closed."""
    try:
        return os.read(terminal, 65536)
    except OSError:
        return b""
