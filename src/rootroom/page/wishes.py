"""What a window asks for, checked before anything is done with it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from rootroom.page.cells import as_written
from rootroom.plan import editing
from rootroom.plan.renaming import rename
from rootroom.plan.toml.splicing import Path
from rootroom.problems import TextError


def path_of(given: Mapping[str, Any]) -> Path:
    """Return the place that is meant; TextError for what can be none."""
    path = given.get("path")
    plain = isinstance(path, Sequence) and all(
        type(step) is str or (type(step) is int and step >= 0) for step in path
    )
    if not plain or not path or len(path) > 8:
        raise TextError("no place in a plan", code="unknown-act")
    return tuple(path)


def words_of(given: Mapping[str, Any], key: str, *, empty: bool = False, most: int = 20_000) -> str:
    """Return a text that was sent; TextError for what is none, or a longer one than `most`."""
    value = given.get(key, "" if empty else None)
    if not isinstance(value, str) or len(value) > most:
        raise TextError(f"no text, or too long a one: {key}", code="text-too-long")
    return value


def without(text: str, path: Path) -> str:
    """Return a plan's text without a value or row, as it is where there is none."""
    try:
        return editing.remove(text, path)
    except (KeyError, IndexError):
        return text


def with_ends(text: str, like: str) -> str:
    """Return a text with the line ends of another one; browsers hand back plain ones."""
    return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in like else text


def as_typed(text: str, typed: str, value: str) -> str:
    """Return a text with what was being typed set where it was typed, if it can be."""
    try:
        what = json.loads(typed)
        path = tuple(what["path"])
        if what.get("key") == "part":
            path, value = (*path, value.strip()), "1" * bool(value.strip())
        elif what.get("key") == "rename":
            return rename(text, str(path[0]), str(path[1]), value.strip())
        elif what.get("key") and path[0] in editing.NAMED:
            return editing.add_named(text, str(path[0]), value) if value.strip() else text
        elif what.get("key"):
            return editing.add_row(text, path, {what["key"]: value}) if value.strip() else text
        if not path:
            return with_ends(value, text)
        return (
            editing.set_value(text, path, as_written(path, value), make=True)
            if value.strip()
            else text
        )
    except (ValueError, TypeError, KeyError, IndexError, AttributeError):
        return text
