"""The words of the sheets, read from data/wording.toml: one place, so that they can be translated.

A text is found by its section and key, `session.evening`, and filled with what the caller gives.
Where a number decides the form, the text has two: `one` and `many`, chosen by `n`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

__all__ = ["section", "words"]


def words(key: str, **values: Any) -> str:
    """Return the text at `section.key`, its fields filled; KeyError for a key that is not there."""
    table, _, name = key.partition(".")
    text = _texts()[table][name]
    if isinstance(text, Mapping):
        text = text["one" if values["n"] == 1 else "many"]
    return str(text).format_map(values) if values else str(text)


def section(name: str) -> Mapping[str, Any]:
    """Return all texts of one section, for templates."""
    texts: Mapping[str, Any] = _texts()[name]
    return texts


@cache
def _texts() -> Mapping[str, Any]:
    source = files("rootroom.sheets").joinpath("data", "wording.toml")
    return tomllib.loads(source.read_text(encoding="utf-8"))
