"""What each change makes of the work on the desk: the plan's text, or a list's beside it.

What a window asks for is checked before anything is done with it; a change takes the work, what was
given and the lists, and returns the work after it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import Any

from rootroom.page.cells import as_written
from rootroom.page.keeping import MOST_BYTES, Work
from rootroom.page.lists import Lists
from rootroom.plan import editing
from rootroom.plan.drafts import starter_plan
from rootroom.plan.names import check_name, meant
from rootroom.plan.renaming import VALUES, rename
from rootroom.plan.tables import csv_splicing
from rootroom.plan.toml import splicing
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


Given = Mapping[str, Any]
Change = Callable[[Work, Given, Lists], Work]


def _set(work: Work, given: Given, lists: Lists) -> Work:
    """Set a value, or take it away where nothing is given."""
    path, value = path_of(given), words_of(given, "value")
    if _in_list(path):
        _, _, _, row, column = path
        name = _list_of(work, path)
        text = csv_splicing.set_cell(lists.text(name, work), int(row), str(column), value)
        return work.with_list(name, text)
    return work.with_text(
        editing.set_value(work.text, path, as_written(path, value), make=True)
        if value.strip()
        else without(work.text, path)
    )


def _add(work: Work, given: Given, lists: Lists) -> Work:
    """Add a row with one value, or a mix or another named table."""
    table, key, value = path_of(given), words_of(given, "key"), words_of(given, "value")
    if not value.strip():
        return work
    if _in_list(table):
        name = _list_of(work, table)
        text = lists.text(name, work)
        end = len(csv_splicing.read_list_text(text).rows) + 1
        return work.with_list(name, csv_splicing.insert_row(text, end, {key: value}))
    if key == "name" and table[0] in editing.NAMED and len(table) == 1:
        check_name(value, empty=False)
        if meant(value, splicing.read(work.text).data.get(table[0], {})):
            raise TextError(f"there is one of that name: `{value}`", code="duplicate-name")
        return work.with_text(editing.add_named(work.text, str(table[0]), value))
    return work.with_text(editing.add_row(work.text, table, {key: value}))


def _rename(work: Work, given: Given, lists: Lists) -> Work:
    """Give a mix or another named table another name, everywhere, also in the lists."""
    kind, old = path_of(given)
    new = words_of(given, "value").strip()
    data = splicing.read(work.text).data
    renamed = work.with_text(rename(work.text, str(kind), str(old), new))
    for name, text in lists.texts(data, work).items():
        with suppress(TextError):  # a list that cannot be taken apart stays as it is
            changed = _renamed_in(text, VALUES.get(str(kind), ()), str(old), new)
            renamed = renamed if changed == text else renamed.with_list(name, changed)
    return renamed


def _renamed_in(text: str, columns: tuple[str, ...], old: str, new: str) -> str:
    page = csv_splicing.read_list_text(text)
    # A supplier is nothing that a plant comes `from`.
    for column in (one for one in columns if one in page.columns and one != "from"):
        for row in range(2, len(page.rows) + 1):
            if page.cell(row, column).strip() == old:
                text = csv_splicing.set_cell(text, row, column, new)
    return text


def _remove(work: Work, given: Given, lists: Lists) -> Work:
    """Take a row or a table away; with a row of a list go its next moves."""
    path = path_of(given)
    if not _in_list(path):
        return work.with_text(without(work.text, path))
    name = _list_of(work, path)
    text = lists.text(name, work)
    rows = csv_splicing.read_list_text(text).chain(int(path[3]))
    return work.with_list(name, csv_splicing.remove_rows(text, rows))


def _move(work: Work, given: Given, lists: Lists) -> Work:
    """Put a row in another place."""
    return work.with_text(editing.move_row(work.text, path_of(given), int(given["to"])))


def _further(work: Work, given: Given, lists: Lists) -> Work:
    """Give a plant one move more; a single one that stands on the plant is moved there."""
    path = path_of(given)
    if not _in_list(path):
        return work.with_text(editing.further_move(work.text, path))
    name = _list_of(work, path)
    text = lists.text(name, work)
    page = csv_splicing.read_list_text(text)
    if "now" not in page.columns:
        raise TextError(
            "without a column `now` each row is a plant of its own",
            code="unknown-column",
            hint="add it in a spreadsheet; a row that leaves it empty is a further move",
        )
    row = int(path[3])
    fields = {"name": page.cell(row, "name")}
    return work.with_list(name, csv_splicing.insert_row(text, page.chain(row).stop, fields))


def _whole(work: Work, given: Given, lists: Lists) -> Work:
    """Take another text for the whole file."""
    return work.with_text(with_ends(words_of(given, "text", most=MOST_BYTES), work.text))


def _starter(work: Work, given: Given, lists: Lists) -> Work:
    """Begin with the commented plan that `rootroom new` writes."""
    return work if work.text.strip() else work.with_text(starter_plan())


CHANGES: Mapping[str, Change] = {
    "set": _set, "add": _add, "rename": _rename, "remove": _remove, "move": _move,
    "further": _further, "whole": _whole, "starter": _starter,
}  # fmt: skip


def _in_list(path: Path) -> bool:
    return len(path) > 2 and path[0] == "plants" and path[2] == "rows"


def _list_of(work: Work, path: Path) -> str:
    return str(splicing.read(work.text).data["plants"][path[1]]["rows"])
