"""Problems as text: the place and what is wrong on one line, the line itself, a marker, a hint."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from rootroom.problems import Location, Problem
from rootroom.sheets.layout import wrap
from rootroom.visible import visible

_WIDTH = 70
_MOST = 1000
_JOINED = "\x1f"
"""Stands for a space that no line may end at; no hint holds one, as it cannot be printed."""


def render_problems(problems: Sequence[Problem], *, brief_warnings: bool = False) -> str:
    """Return all problems, each followed by an empty line, and how many there are.

    With `brief_warnings` a warning is its first line alone, above the errors and uncounted: what
    stays in a plan should not push the answer off the screen.
    """
    brief = ""
    if brief_warnings:
        warned = [problem for problem in problems if problem.severity == "warning"]
        brief = "".join(f"{problem}\n" for problem in warned[:_MOST])
        problems = [problem for problem in problems if problem.severity == "error"]
        brief += "\n" if brief and problems else ""
    if not problems:
        return brief
    errors = sum(problem.severity == "error" for problem in problems)
    warnings = len(problems) - errors
    counts = [
        f"{number:,} {word}{'' if number == 1 else 's'}"
        for number, word in ((errors, "error"), (warnings, "warning"))
        if number
    ]
    blocks = [render_problem(problem) for problem in problems[:_MOST]]
    if len(problems) > _MOST:
        blocks.append(f"{len(problems) - _MOST:,} more are not shown\n")
    return brief + "\n".join([*blocks, ", ".join(counts)]) + "\n"


def render_problem(problem: Problem) -> str:
    """Return one problem; its first line says it all and can be searched for by its code."""
    where = problem.where
    lines = [str(problem)]
    if problem.line and not problem.line.isspace():
        lines += _marked(problem.line, where)
    lines += [f"  {other}: {visible(words)}" for other, words in problem.related]
    if problem.hint:
        lines += ["", hint_text(visible(problem.hint))]
    return "\n".join(lines) + "\n"


def hint_text(hint: str) -> str:
    """Return a hint in lines of at most 80 columns; what is to be copied stays on one line."""
    whole = re.sub("`[^`]*`", lambda found: found[0].replace(" ", _JOINED), hint)
    return wrap(f"hint: {whole}", hanging=" " * 6, whole=True).replace(_JOINED, " ")


def _marked(line: str, where: Location) -> list[str]:
    """Return the part of a line around the mistake, and a marker under the mistake."""
    start, end = where.start - 1, max(where.end - 1, where.start)
    first = 0
    if len(line) > _WIDTH and start > _WIDTH * 2 // 3:
        first = start - _WIDTH // 3
    shown = "".join(c if c.isprintable() else " " for c in line[first : first + _WIDTH])
    before, after = "..." if first else "", "..." if first + _WIDTH < len(line) else ""
    if not first:
        # An indent tells nothing on one line alone.
        indent = len(shown) - len(shown.lstrip())
        indent = min(indent, start)
        shown, first = shown[indent:], indent
    marked = shown[max(start - first, 0) : max(end - first, 0)]
    lead = before + shown[: max(start - first, 0)]
    return [
        f"    {before}{shown}{after}".rstrip(),
        "    " + " " * _columns(lead) + "^" * max(_columns(marked), 1),
    ]


def _columns(text: str) -> int:
    """Return how many columns a terminal takes for a text."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) > 0 for c in text)
