"""Standard output and error as they may be: closed, or unable to show every sign."""

from __future__ import annotations

import codecs
import os
import sys

_PLAIN = {
    "\u2013": "-", "\u2014": "-", "\u2018": "'", "\u2019": "'", "\u201c": '"', "\u201d": '"',
    "×": "x", "·": ".", "°": " deg", "≤": "<=", "≥": ">=", "→": "->", "☐": "[ ]", "☑": "[x]",
}  # fmt: skip


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
    import contextlib

    with contextlib.suppress(OSError, ValueError):  # there may be no stdout to silence
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
