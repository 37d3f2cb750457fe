"""A list as understood, as the tidy rows that a plan reads and as the plants of a new plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rootroom.containers.text import is_container
from rootroom.plan.answers import read_recipe
from rootroom.plan.drafts import Draft
from rootroom.plan.lists.as_rows import known_values
from rootroom.plan.lists.model import ListRead
from rootroom.plan.names import PLACES, meant, one_name
from rootroom.plan.structure import key_of
from rootroom.plan.tables.csv_sheet import cell_value
from rootroom.plan.tables.plant_table import MOVE_KEYS
from rootroom.plan.tables.plants import known_columns
from rootroom.problems import TextError

_MOVE = tuple(key_of(key) for key in MOVE_KEYS)


def draft_plants(read: ListRead) -> list[tuple[dict[str, Any], str]]:
    """Return the list as entries of a plan, each with its note.

    Rows of one name that differ in sort and count alone become one entry with its `sorts`; other
    names that repeat get what tells them apart.
    """
    entries: list[tuple[dict[str, Any], str]] = []
    for row in read.rows:
        values, note = known_values(dict(row.values)), str(row.values.get("note", ""))
        if row.carries_on and entries:
            _next_move(entries[-1][0], values)
        elif not (entries and _joined(entries, values)):
            entries.append((_entry(values), note))
    _apart([entry for entry, _ in entries])
    return entries


def _entry(values: Mapping[str, Any]) -> dict[str, Any]:
    order = ("name", "sort", "crop", "count", "now", "to", "refresh", "mix", "from", "by")
    keys = [key for key in (*order, *values) if key in values]
    return {key: _value(key, values[key]) for key in dict.fromkeys(keys)}


def _value(key: str, value: Any) -> Any:
    return value if isinstance(value, int) else cell_value(key, str(value))


def _next_move(entry: dict[str, Any], values: Mapping[str, Any]) -> None:
    """Add a move to a plant whose first one may stand on the plant itself."""
    if "moves" not in entry:
        first = {key: entry.pop(key) for key in _MOVE if key in entry and key != "count"}
        entry["moves"] = [first]
    entry["moves"].append(_entry({key: values[key] for key in values if key in _MOVE}))


def _joined(entries: list[tuple[dict[str, Any], str]], values: Mapping[str, Any]) -> bool:
    """Add a row to an entry that is alike but for its sort; return whether there is one."""
    if "sort" not in values or "sorts" not in known_columns():
        return False
    new = _entry(values)
    alike = {key: value for key, value in new.items() if key not in ("sort", "count")}
    for entry, _ in entries:
        own = {k: v for k, v in entry.items() if k not in ("sort", "sorts", "count")}
        if own != alike or not {"sort", "sorts"} & set(entry):
            continue
        if "sorts" not in entry:
            sorts = {entry.pop("sort"): entry.pop("count")}
            others = dict(entry)
            entry.clear()
            entry.update({"name": others.pop("name"), "sorts": sorts, **others})
        sort = meant(new["sort"], entry["sorts"]) or new["sort"]
        entry["sorts"][sort] = entry["sorts"].get(sort, 0) + new["count"]
        return True
    return False


def _apart(entries: list[dict[str, Any]]) -> None:
    """Give entries of one name what tells them apart: sort, place, pot, else a number."""
    for key in ("sort", "place", "now", "to"):
        for same in _of_one_name(entries):
            if len({str(entry.get(key)) for entry in same}) > 1:
                for entry in same:
                    if key in entry:
                        entry["name"] = f"{entry['name']}, {entry[key]}"
    for same in _of_one_name(entries):
        for number, entry in enumerate(same[1:], start=2):
            entry["name"] = f"{entry['name']} ({number})"


def _of_one_name(entries: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    groups: dict[str, list[dict[str, Any]]] = {}
    for entry in entries:
        groups.setdefault(one_name(entry["name"]), []).append(entry)
    return [group for group in groups.values() if len(group) > 1]


def draft_of(read: ListRead, made: str) -> Draft:
    """Return a plan in the making with the plants of a list and the names of their mixes."""
    plants = draft_plants(read)
    mixes: dict[str, Any] = {}
    for row in read.rows:
        if "mix" in row.values:
            name = str(row.values["mix"])
            mixes.setdefault(meant(name, mixes) or name, _recipe(name))
    return Draft(made, plants=plants, mixes=dict(mixes))


def _recipe(text: str) -> Mapping[str, Any] | None:
    """Return the parts of a mix that goes by its recipe, `5:1:1 bark peat perlite`."""
    try:
        return read_recipe(text)
    except TextError:
        return None


def beds_named(read: ListRead) -> list[str]:
    """Return where plants go that is no container: beds, which a plan describes by themselves."""
    texts = dict.fromkeys(str(row.values["to"]) for row in read.rows if "to" in row.values)
    return [text for text in texts if text not in PLACES and not is_container(text)]
