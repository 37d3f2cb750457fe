"""Texts that people typed: whether something hides in them, and how they are shown."""

from __future__ import annotations

import re

_JOINER = re.compile("(?<=[^\\0-\\x7f])[\\u200c\\u200d](?=[^\\0-\\x7f])")
"""Joins the parts of one emoji, or letters of scripts that are written joined; it hides nothing."""


def printable(text: str) -> bool:
    """Return whether nothing in a text hides, breaks the line or turns the way of writing."""
    return text.isprintable() or _JOINER.sub("", text).isprintable()


def visible(text: str, most: int | None = None) -> str:
    """Return a text on one line, cut to `most` characters, with what hides in it written out."""
    if most is not None and len(text) > most:
        text = f"{text[: most - 3]}..."
    if printable(text):
        return text
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)
