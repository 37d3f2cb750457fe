"""A mix, container, supplier or ingredient under another name, wherever the plan names it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from rootroom.plan.editing import NAMED, made_of, value_at
from rootroom.plan.names import check_name, one_name, shown
from rootroom.plan.toml import splicing
from rootroom.plan.toml.mending import Edit
from rootroom.plan.toml.splicing import Path, Written, key_text, quoted
from rootroom.problems import TextError

VALUES: Mapping[str, tuple[str, ...]] = {
    "mixes": ("mix", "of"),
    "containers": ("now", "to", "of"),
    "suppliers": ("from",),
    "ingredients": ("of",),
}
"""Keys whose value is such a name; a supplier's name stands in supplies alone."""
KEYS: Mapping[str, tuple[str, ...]] = {
    "mixes": ("parts",),
    "containers": ("minutes",),
    "suppliers": (),
    "ingredients": ("parts", "add"),
}
"""Tables that have such names for keys."""
_KEY = re.compile(r'"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|[A-Za-z0-9_-]+')


def rename(text: str, kind: str, old: str, new: str) -> str:
    """Return a plan's text in which a named table has another name, and so has all that names it.

    `kind` is its table, as `mixes`. TextError for a name that is taken or can be none.
    """
    check_name(new, empty=False)
    page = splicing.read(text)
    others = [name for name in page.data[kind] if name != old]
    if one_name(new) in map(one_name, others):
        message = f"there is one of that name: `{shown(new)}`"
        raise TextError(message, code="duplicate-name", hint="give it another name")
    edits = [edit for path in _named(page.data, kind, old) for edit in _edits(page, path, old, new)]

    def change(data: Any) -> None:
        for path in _named(page.data, kind, old):
            _changed_at(data, path, old, new)

    return made_of(text, page, edits, change)


def _named(data: Any, kind: str, old: str) -> list[Path]:
    """Return the paths of all that bears or gives the name, what is inside of a thing first."""
    found = [path for path in _paths(data, ()) if _gives(data, path, kind, old)]
    return [*sorted(found, key=len, reverse=True), (kind, old)]


def _paths(data: Any, path: Path) -> Iterator[Path]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield (*path, key)
            yield from _paths(value, (*path, key))
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield (*path, number)
            yield from _paths(value, (*path, number))


def _gives(data: Any, path: Path, kind: str, old: str) -> bool:
    if _is_key(path, old):
        return path[-2] in KEYS[kind]
    if value_at(data, path) != old:
        return False
    if isinstance(path[-1], int):
        return path[-2] == "hold" and "parts" in KEYS[kind]
    in_place = path[0] == "supplies" if kind == "suppliers" else path[0] not in NAMED
    return in_place and path[-1] in VALUES[kind]


def _is_key(path: Path, old: str) -> bool:
    """Whether a path ends in the name itself, not at a value that is the name."""
    tables = {name for names in KEYS.values() for name in names}
    return path[-1] == old and len(path) > 1 and (len(path) == 2 or path[-2] in tables)


def _edits(page: Written, path: Path, old: str, new: str) -> list[Edit]:
    if not _is_key(path, old):
        return page.replace(path, quoted(new))
    number = sum(isinstance(step, str) for step in path) - 1
    edits = [
        _key_edit(page.text, span[0], number, new)
        for span, name in page.scan.headers
        if name[: len(path)] == path
    ]
    return edits + [
        _key_edit(page.text, pair.start, len(path) - 1 - len(pair.table), new)
        for pair in page.scan.pairs
        if pair.path[: len(path)] == path and len(pair.table) < len(path)
    ]


def _key_edit(text: str, start: int, number: int, new: str) -> Edit:
    """Return the edit of one key of a header or of a dotted key that begins at `start`."""
    found = list(_KEY.finditer(text, start, text.find("\n", start) % (len(text) + 1)))[number]
    return Edit(found.start(), found.end(), key_text(new))


def _changed_at(data: Any, path: Path, old: str, new: str) -> None:
    holder = value_at(data, path[:-1])
    if not _is_key(path, old):
        holder[path[-1]] = new
        return
    items = [(new if key == old else key, value) for key, value in holder.items()]
    holder.clear()
    holder.update(items)
