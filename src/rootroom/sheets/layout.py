"""Paragraphs and plain tables for the terminal, within 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from functools import cache

WIDTH = 80

LEAST_COLUMN = 10
"""No column is made narrower than this [characters]."""


def fill(text: str, *, indent: str = "", hanging: str = "", width: int = WIDTH) -> str:
    """Return a paragraph; `indent` begins its first line and `hanging` the others."""
    # A figure stays beside its sign: a character that no text holds stands for that space.
    filled = textwrap.fill(
        text.replace(" %", "\0%"),
        width=width,
        initial_indent=indent,
        subsequent_indent=hanging,
        break_on_hyphens=False,
    )
    return filled.replace("\0", " ")


def table(header: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> str:
    """Return a plain table, indented; `sides` says l or r for each column."""
    from tabulate import tabulate

    align = ["left" if side == "l" else "right" for side in sides]
    text: str = tabulate(
        rows,
        headers=header,
        tablefmt="plain",
        disable_numparse=True,
        colalign=align,
        headersalign=align if header else None,
    )
    return textwrap.indent("\n".join(line.rstrip() for line in text.splitlines()), "  ")


def fitted_table(
    header: Sequence[str], rows: Sequence[Sequence[str]], sides: str, *, width: int = WIDTH
) -> str:
    """Return a table no wider than `width` [characters]: names wrapped, empty columns left out.

    That column gives up room which makes the table least longer, the widest first.
    """
    kept = [at for at in range(len(header)) if any(row[at] for row in rows)]
    cells = [[str(row[at]) for at in kept] for row in (header, *rows)]
    if not kept:
        return ""
    lengths = [max(_longest(row[at]) for row in cells) for at in range(len(kept))]
    while sum(lengths) + 2 * len(lengths) > width and max(lengths) > LEAST_COLUMN:
        narrower = (
            [length - (at == taken) for at, length in enumerate(lengths)]
            for taken in sorted(range(len(lengths)), key=lambda at: -lengths[at])
            if lengths[taken] > LEAST_COLUMN
        )
        lengths = min(narrower, key=lambda tried: _height(cells, tried))
    wrapped = [[_wrapped(text, most) for text, most in zip(row, lengths, strict=True)]
               for row in cells]  # fmt: skip
    # The heads are a row like the others: as heads they would be given room that is not there.
    return table((), wrapped, "".join(sides[at] for at in kept))


def _height(cells: Sequence[Sequence[str]], lengths: Sequence[int]) -> int:
    """Return the lines of a table whose columns are so wide."""
    return sum(
        max(_wrapped(text, most).count("\n") for text, most in zip(row, lengths, strict=True)) + 1
        for row in cells
    )


def _longest(text: str) -> int:
    return max(map(len, text.split("\n")), default=0)


@cache
def _wrapped(text: str, width: int) -> str:
    lines = (textwrap.wrap(line, width, break_on_hyphens=False) for line in text.split("\n"))
    return "\n".join("\n".join(line) for line in lines)
