"""A line that says what is being done and for how long, once it has taken a second.

It stands on stderr, only on a terminal, and is wiped before anything else is said.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

AFTER_S = 1.0
"""How long something takes before it is told, and how often the seconds are told anew [s]."""


@contextmanager
def working(what: str) -> Iterator[None]:
    """Say on stderr what is being done if it takes more than a second, and wipe it afterwards.

    Nothing else may be printed meanwhile.
    """
    if not sys.stderr.isatty():
        yield
        return
    done = threading.Event()
    teller = threading.Thread(target=_tell, args=(what, done), daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


@contextmanager
def writing(what: str) -> Iterator[None]:
    """The same while stdout is written to: where that is a terminal, the answer itself tells."""
    if sys.stdout.isatty():
        yield
        return
    with working(what):
        yield


def _tell(what: str, done: threading.Event) -> None:
    line, rounds = "", 0
    with suppress(OSError, ValueError):  # the terminal may have gone away
        while not done.wait(AFTER_S):
            rounds += 1
            seconds = int(rounds * AFTER_S)
            line = f"{what} …" + (f" {seconds:,} s" if seconds > 1 else "")
            sys.stderr.write(f"\r{line}")
            sys.stderr.flush()
        if line:
            sys.stderr.write("\r" + " " * len(line) + "\r")
            sys.stderr.flush()
