"""Every numerical tolerance stands in one table."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "src" / "rootroom"


def tolerances(text: str) -> Iterator[str]:
    """Yield the numbers of a module's code that are written as a negative power of ten."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            written = ast.get_source_segment(text, node) or ""
            if "e-" in written:
                yield f"{node.lineno}: {written}"


def test_tolerances_stand_in_one_table() -> None:
    """No module but `tolerances` has one of its own, for which nobody would give a reason."""
    found = {
        f"{path.relative_to(SOURCE)}:{number}"
        for path in SOURCE.rglob("*.py")
        if path.name != "tolerances.py"
        for number in tolerances(path.read_text("utf-8"))
    }

    assert set() == found


def test_a_tolerance_of_its_own_is_seen() -> None:
    """The check sees numbers in code, and none in a text."""
    assert ["2: 1e-7"] == list(tolerances('"""Off by 1e-8."""\nSLACK = 1e-7\n'))
