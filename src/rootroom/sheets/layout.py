"""Paragraphs and plain tables for the terminal, within 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

__all__ = ["WIDTH", "fill", "table"]

WIDTH = 80


def fill(text: str, *, indent: str = "", hanging: str = "") -> str:
    """Return a paragraph; `indent` begins its first line and `hanging` the others."""
    # A figure stays beside its sign: a character that no text holds stands for that space.
    filled = textwrap.fill(
        text.replace(" %", "\0%"),
        width=WIDTH,
        initial_indent=indent,
        subsequent_indent=hanging,
        break_on_hyphens=False,
    )
    return filled.replace("\0", " ")


def table(header: Iterable[str], rows: Iterable[Sequence[str]], sides: str) -> str:
    """Return a plain table, indented; `sides` says l or r for each column."""
    from tabulate import tabulate

    align = ["left" if side == "l" else "right" for side in sides]
    text: str = tabulate(
        rows,
        headers=list(header),
        tablefmt="plain",
        disable_numparse=True,
        colalign=align,
        headersalign=align,
    )
    return textwrap.indent("\n".join(line.rstrip() for line in text.splitlines()), "  ")
