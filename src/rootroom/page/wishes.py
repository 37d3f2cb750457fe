"""What a window asks for, checked before anything is done with it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from rootroom.plan import editing
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


def act_of(typed: str, value: str) -> tuple[str, dict[str, Any]] | None:
    """Return what would have been done with what was being typed, and with what given."""
    try:
        place = json.loads(typed)
        path, key = list(place["path"]), place.get("key")
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
    if not path:
        return "whole", {"text": value}
    if not value.strip():
        return None
    if key == "part":
        return "set", {"path": [*path, value.strip()], "value": "1"}
    if key == "listed":
        return "add", {"path": path, "key": "name", "value": value}
    if key == "rename":
        return "rename", {"path": path, "value": value}
    if key:
        return "add", {"path": path, "key": key, "value": value}
    return "set", {"path": path, "value": value}
