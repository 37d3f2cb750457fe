"""The command, the port, and the children that work in the background."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from threading import Thread

import pytest

from rootroom.page.background import Background
from rootroom.page.serving import Serving, usual_port
from rootroom.problems import TextError

PLAN = (Path(__file__).parents[3] / "plans" / "new-raised-beds.toml").read_text("utf-8")


JOB = {"lists": {}, "beside": {"before": {"text": PLAN, "lists": {}}}}


def wait_for(background: Background) -> None:
    """Wait until nothing is worked on any more."""
    for _ in range(1200):
        if not background.pending:
            return
        time.sleep(0.1)
    pytest.fail("the child did not end")


def test_the_newest_job_alone_is_answered(tmp_path: Path) -> None:
    """Of jobs in a row each ends the one before; list, days and chart come for the last."""
    background = Background()
    path = str(tmp_path / "plan.toml")
    try:
        for number in range(3):
            text = PLAN.replace("count = 18", f"count = {18 + number}")
            background.ask(number, JOB | {"path": path, "text": text})
        wait_for(background)
        assert (2, False) == (background.number, background.failed)
        assert {"check", "list", "days", "chart"} == set(background.found["html"])
        assert "plants.Kale.count" in background.found["compared"]
    finally:
        background.close()


def test_a_child_that_dies_is_told(tmp_path: Path) -> None:
    """A job that cannot be done ends as failed, and the next one is done."""
    background = Background()
    try:
        background.ask(1, {"path": str(tmp_path)})
        wait_for(background)
        assert background.failed
    finally:
        background.close()


def test_a_second_program_is_told_of_the_first(tmp_path: Path) -> None:
    """The same plan is not opened twice; its port is the same at each start."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, "utf-8")
    first = Serving(path)
    Thread(target=first.serve, daemon=True).start()
    try:
        assert usual_port(path) == first.port
        with pytest.raises(TextError, match="open already"):
            Serving(path)
    finally:
        first.close()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nowhere/plan.toml"], "no such folder"),
        (["{folder}"], "a folder"),
        (["{picture}"], "zero bytes"),
    ],
)
def test_error_what_cannot_be_opened(tmp_path: Path, words: list[str], said: str) -> None:
    """A wrong path is told in one line, with exit 2."""
    picture = tmp_path / "picture.toml"
    picture.write_bytes(b"\x89PNG\0")
    filled = [word.format(folder=tmp_path, picture=picture) for word in words]
    done = subprocess.run(
        [sys.executable, "-m", "rootroom", "open", "--no-browser", *filled],
        capture_output=True, text=True, timeout=60,
    )  # fmt: skip

    assert 2 == done.returncode
    assert said in done.stderr
    assert "Traceback" not in done.stderr
