"""The process around the program: its streams, interrupts, and a line that tells of progress.

Streams may be closed, or unable to show every sign.
"""

from __future__ import annotations

import codecs
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

_PLAIN = {
    "\u2013": "-", "\u2014": "-", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"',
    "×": "x", "·": ".", "°": " deg", "≤": "<=", "≥": ">=", "→": "->", "☐": "[ ]", "☑": "[x]",
}  # fmt: skip


_SOON_S = 0.01  # until Python has left the callback


AFTER_S = 1.0
"""How long something takes before it is told, and how often the seconds are told anew [s]."""


def prepare_streams() -> None:
    """Make sure that there are streams to write to, and that no sign breaks them.

    What is written to a stream that the caller closed goes nowhere, as the caller wished.
    """
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            nowhere = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - for good
            setattr(sys, name, nowhere)
    codecs.register_error("rootroom-plain", _plain_error)
    reconfigure = getattr(sys.stdout, "reconfigure", None)  # a test's own stream has none
    if reconfigure is not None:
        reconfigure(errors="rootroom-plain")


def plain_signs(text: str, before: str = "") -> str:
    """Return text in ASCII as near as it can be read, `?` where nothing is near.

    A fraction sign after a digit (`before`, or in the text) is parted from it: 1½ is not 11/2.
    """
    import unicodedata  # which few terminals make necessary

    found = ""
    for sign in text:
        # A fraction's own stroke is no ASCII; a letter's accent stands alone after it.
        parts = unicodedata.normalize("NFKD", _PLAIN.get(sign, sign)).replace("\u2044", "/")
        plain = "".join(part for part in parts if part.isascii())
        if plain[:1].isdigit() and (before + found)[-1:].isdigit():
            plain = " " + plain
        found += plain or ("" if unicodedata.combining(sign) else "?")
    return found


def silence_stdout() -> None:
    """Send what is still to come on stdout nowhere: its reader has gone, or its disk is full."""
    with suppress(OSError, ValueError):  # there may be no stdout to silence
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def terminal_width() -> int:
    """Return how wide stdout's terminal is [characters, 60 to 120], 80 where it is none."""
    try:
        return min(max(os.get_terminal_size(sys.stdout.fileno()).columns, 60), 120)
    except (AttributeError, OSError, ValueError):
        return 80


def _plain_error(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    before = error.object[max(error.start - 1, 0) : error.start]
    return plain_signs(error.object[error.start : error.end], before), error.end


# Python raises an interrupt wherever it happens to be. In a callback of its own, as while a
# module's
# lock is given back, it can only print the error and go on; the interrupt would be lost.
def keep_interrupts() -> None:
    """Have an interrupt that Python must drop come again a moment later."""
    usual = sys.unraisablehook

    def heed(dropped: Any) -> None:
        if dropped.exc_type is not None and issubclass(dropped.exc_type, KeyboardInterrupt):
            import _thread  # built in, as is `time`: an import may be what was interrupted

            # From a thread of its own: here it would be raised at once, and dropped again.
            _thread.start_new_thread(_interrupt_again, (_thread.get_ident(),))
        else:
            usual(dropped)

    sys.unraisablehook = heed


def end_by_interrupt() -> None:
    """From now on an interrupt just ends the process: all is written, Python is clearing up."""
    import signal

    with suppress(ValueError):  # only the main thread may say so
        signal.signal(signal.SIGINT, signal.SIG_DFL)


def _interrupt_again(thread: int) -> None:
    """Interrupt the main thread a moment later; where it can be sent one, a wait ends too."""
    import _thread
    import signal
    import time

    time.sleep(_SOON_S)
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(thread, signal.SIGINT)
    else:
        _thread.interrupt_main()


# It stands on stderr, only on a terminal, and is wiped before anything else is said.
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
