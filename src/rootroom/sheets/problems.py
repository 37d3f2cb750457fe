"""Problems as text: the place and what is wrong on one line, the line itself, a marker, a hint."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from rootroom.problems import Location, Problem

__all__ = ["render_problem", "render_problems"]

_WIDTH = 70
_MOST = 1000


def render_problems(problems: Sequence[Problem]) -> str:
    """Return all problems, each followed by an empty line, and how many there are."""
    if not problems:
        return ""
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
    return "\n".join([*blocks, ", ".join(counts)]) + "\n"


def render_problem(problem: Problem) -> str:
    """Return one problem; its first line says it all and can be searched for by its code."""
    where = problem.where
    lines = [f"{_place(where)}: {problem.severity}: {_visible(problem.message)} [{problem.code}]"]
    if problem.line and not problem.line.isspace():
        lines += _marked(problem.line, where)
    lines += [f"  {_place(other)}: {_visible(words)}" for other, words in problem.related]
    if problem.hint:
        lines += ["", f"hint: {_visible(problem.hint)}"]
    return "\n".join(lines) + "\n"


def _place(where: Location) -> str:
    return f"{_visible(where.file)}:{where.line}:{where.start}"


def _visible(text: str) -> str:
    """Return a text on one line in which nothing hides or turns the direction of writing."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


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
