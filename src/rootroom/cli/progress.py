"""A line that says what is being done, once it has taken a second; only on a terminal."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["working"]

AFTER_S = 1.0


@contextmanager
def working(what: str) -> Iterator[None]:
    """Say on stderr what is being done if it takes more than a second, and wipe it afterwards."""
    if not sys.stderr.isatty():
        yield
        return
    line = f"{what} …"
    shown = threading.Event()

    def show() -> None:
        shown.set()
        sys.stderr.write(line)
        sys.stderr.flush()

    timer = threading.Timer(AFTER_S, show)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        if shown.is_set():
            sys.stderr.write("\r" + " " * len(line) + "\r")
            sys.stderr.flush()
