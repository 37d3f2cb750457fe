"""The README as data: its marked blocks."""

from __future__ import annotations

import re
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"


def block(mark: str) -> str:
    """Return the fenced block behind the comment `<!-- mark -->`."""
    found = re.search(
        rf"<!-- {re.escape(mark)} -->\n```\w*\n(.*?)```", README.read_text("utf-8"), re.DOTALL
    )
    if found is None:
        raise ValueError(f"README has no block {mark!r}")
    return found[1]


def marks() -> list[str]:
    """Return the names of all marked blocks."""
    return re.findall(r"<!-- ([\w -]+) -->\n```", README.read_text("utf-8"))
