"""A pytest plugin for `mutants.py`: the functions of a package that each test calls."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from types import FrameType

import pytest

PACKAGE = os.environ["CALLS_OF"]
CALLS: dict[str, tuple[float, list[tuple[str, int]]]] = {}


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Note each function of the package that is entered while the test runs."""
    entered: set[tuple[str, int]] = set()

    def note(frame: FrameType, _event: str, _of: object) -> None:
        code = frame.f_code
        if code.co_filename.startswith(PACKAGE):
            entered.add((code.co_filename, code.co_firstlineno))

    started = time.perf_counter()
    sys.settrace(note)
    yield
    sys.settrace(None)
    CALLS[item.nodeid] = (time.perf_counter() - started, sorted(entered))


def pytest_sessionfinish() -> None:
    """Write what was noted."""
    Path(os.environ["CALLS_TO"]).write_text(json.dumps(CALLS), encoding="utf-8")
