"""A module and a function stay as long as one can read at one go."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "src" / "rootroom"
MOST_LINES_OF_A_MODULE = 400
MOST_LINES_OF_A_FUNCTION = 45
"""With its head and its docstring, without what decorates it."""


def too_long(text: str) -> Iterator[str]:
    """Yield what of a module is too long, with its number of lines."""
    lines = len(text.splitlines())
    if lines > MOST_LINES_OF_A_MODULE:
        yield f"the module: {lines}"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = (node.end_lineno or node.lineno) - node.lineno + 1
            if lines > MOST_LINES_OF_A_FUNCTION:
                yield f"{node.name}: {lines}"


def test_modules_and_functions_are_short() -> None:
    """No module has more than 400 lines, no function more than 45."""
    found = {
        f"{path.relative_to(SOURCE)}, {what}"
        for path in SOURCE.rglob("*.py")
        for what in too_long(path.read_text("utf-8"))
    }

    assert set() == found


def test_what_is_too_long_is_seen() -> None:
    """The check counts head and docstring, methods too, and lets the longest that may be pass."""
    body = "        x = 1\n"
    method = 'class A:\n    def f(self,\n          one):\n        """Do it."""\n'

    assert [] == list(too_long(method + 42 * body))
    assert ["f: 46"] == list(too_long(method + 43 * body))
    assert ["the module: 401"] == list(too_long(401 * "x = 1\n"))
