"""A plan's text as tables of cells, each with its path and with what is wrong in it.

A cell holds a text without its quotes, or anything else as TOML writes it. What no table shows
stays in the file untouched; it can be seen and changed in the file's own text.
Names complete as one types: containers, mixes, goods, each with what it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from rootroom.catalogue.ingredients import ingredients
from rootroom.catalogue.uses import crops
from rootroom.containers.text import shipped_containers
from rootroom.page.lists import entries, list_lines, path_in_list
from rootroom.plan import editing
from rootroom.plan.editing import NAMED, SINGLE, keys_of
from rootroom.plan.tables.csv_splicing import ListText
from rootroom.plan.toml.splicing import Path, Written
from rootroom.problems import Problem
from rootroom.units import show_volume

if TYPE_CHECKING:
    from rootroom.plan.model import Plan
    from rootroom.units import System


COLUMNS: Mapping[str, Sequence[str]] = {
    "plants": ("name", "count", "now", "to", "mix", "from", "by"),
    "supplies": ("of", "pack", "price", "from", "on_hand", "have"),
    "beds": ("name", "shape", "depth", "from", "by"),
    "suppliers": ("trip", "delivery", "tax", "lead"),
    "containers": ("volume", "height", "on_hand"),
    "ingredients": ("density",),
    "mixes": (),
}
"""The columns of each table; all other keys of a row are folded."""
ALWAYS = {
    "garden": ("name", "last_frost", "units", "currency"),
    "work": ("days", "first", "last", "hours", "people"),
}
"""What is shown of the single tables before they are unfolded."""
LISTS = ("days", "off", "hold", "traits", "carries")
"""Keys whose list is written in a cell as words with commas."""
_OWN_LINES = ("moves", "parts")
"""What has lines of its own below a row."""


def tables_of(page: Written, lists: Mapping[str, ListText | str]) -> dict[str, Any]:
    """Return every table of the page: rows with their path, cells and folded keys.

    `lists` are the CSV lists beside the plan, or why their rows are not shown.
    """
    data = page.data
    found: dict[str, Any] = {}
    for name in ("plants", "supplies", "beds"):
        rows = data.get(name, [])
        if isinstance(rows, list):
            paths = [(name, n) for n, row in enumerate(rows) if isinstance(row, dict)]
            found[name] = [line for path in paths for line in _lines(page, path, lists)]
    for name in NAMED:
        things = data.get(name, {})
        if isinstance(things, dict):
            paths_named = [(name, key) for key, row in things.items() if isinstance(row, dict)]
            found[name] = [line for path in paths_named for line in _lines(page, path, {})]
    for name in SINGLE:
        table = data.get(name, {})
        if isinstance(table, dict):
            found[name] = [_row(page, (name,), table)]
    return found


def _lines(
    page: Written, path: Path, lists: Mapping[str, ListText | str]
) -> Iterator[dict[str, Any]]:
    """Yield a row, and a line below it for each of its moves or parts, or rows of its list."""
    row = _at(page.data, path)
    moves = row.get("moves") if path[0] == "plants" else None
    moves = moves if isinstance(moves, list) else []
    own = _row(page, path, row)
    yield {**own, "moves": len(moves)}
    listed = row.get("rows") if path[0] == "plants" else None
    if isinstance(listed, str) and listed in lists:
        yield from list_lines(path, listed, lists[listed], own["cells"])
    for number, move in enumerate(moves):
        if isinstance(move, dict):
            line = _row(page, (*path, "moves", number), move)
            yield {**line, "below": "move", "of": str(row.get("name", ""))}
    parts = row.get("parts") if path[0] == "mixes" else None
    if isinstance(parts, dict):
        for name in parts:
            where = (*path, "parts", name)
            yield {"path": where, "cells": {"part": _text(page, where)}, "below": "part"}
    if path[0] == "mixes" and isinstance(parts or {}, dict):
        yield {"path": (*path, "parts"), "cells": {}, "below": "new part"}


def _row(page: Written, path: Path, table: Mapping[str, Any]) -> dict[str, Any]:
    cells = {
        key: _text(page, (*path, key))
        for key in table
        if not (key in _OWN_LINES and isinstance(table[key], list | dict))
    }
    return {"path": path, "cells": cells}


def _text(page: Written, path: Path) -> str | None:
    """Return what stands in a cell; None for what is written in several places."""
    value = _at(page.data, path)
    if isinstance(value, str) and path in page.scan.values:
        return value
    if path[-1] in LISTS and isinstance(value, list) and page.is_value(path):
        plain = [str(one) for one in value if isinstance(one, str | date) and "," not in str(one)]
        if len(plain) == len(value):
            return ", ".join(plain)
    return page.text[slice(*page.scan.values[path])] if page.is_value(path) else None


def as_written(path: Path, value: str) -> str:
    """Return what was written into a cell as a value of TOML: words with commas are a list."""
    bare = value.strip()
    if path[-1] in LISTS and not bare.startswith(("[", "{")):
        words = [editing.toml_value(word) for word in bare.split(",") if word.strip()]
        return f"[{', '.join(words)}]"
    return bare


def placed(
    page: Written, problems: Iterable[Problem], file: FilePath, lists: Mapping[str, ListText | str]
) -> list[dict[str, Any]]:
    """Return problems with the path of the cell that each stands at, if it stands at one."""
    starts = [0]
    for line in page.text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    spans = [(pair.start, pair.end, pair.path) for pair in page.scan.pairs]
    spans += [(*span, path) for path, span in page.scan.values.items()]
    # The smallest thing around a place is the one that is meant; of equals the deepest.
    spans.sort(key=lambda one: (one[1] - one[0], -len(one[2])))
    named = {str(file.parent / name): (path, name) for path, name in entries(page.data)}

    def place(one: Problem) -> Path:
        if one.where.file == str(file):
            return _path_at(spans, starts, one)
        path, name = named.get(one.where.file, ((), ""))
        found = lists.get(name, "")
        if isinstance(found, str):
            return path
        inside = path_in_list(found, one.where.file, one)
        return (*path, "rows", *inside) if inside else path

    return [{**problem_data(one), "path": place(one)} for one in problems]


def problem_data(problem: Problem) -> dict[str, Any]:
    """Return a problem as the page shows it."""
    return {
        "severity": problem.severity,
        "file": FilePath(problem.where.file).name,
        "line": problem.where.line,
        "message": problem.message,
        "hint": problem.hint,
        "code": problem.code,
    }


def _path_at(
    spans: Sequence[tuple[int, int, Path]], starts: Sequence[int], problem: Problem
) -> Path:
    if problem.where.line >= len(starts):
        return ()
    at = starts[problem.where.line - 1] + problem.where.start - 1
    return next((path for start, end, path in spans if start <= at < end), ())


def help_of_keys() -> dict[str, dict[str, dict[str, str]]]:
    """Return for each table of the page what its keys say, and what is taken without them."""
    tables = {name: f"[{name}]" for name in SINGLE} | {name: f"[{name}.NAME]" for name in NAMED}
    tables |= {name: name for name in ("plants", "supplies", "beds")} | {"moves": "a move"}
    return {name: keys_of(table) for name, table in tables.items()}


def _at(data: Any, path: Path) -> Any:
    for step in path:
        data = data[step]
    return data


Names = dict[str, str]
"""What each name holds or is, by name."""

MOST = 500
"""Names of one kind that are handed to the page."""
AWAY = {
    "ground": "out into open soil",
    "sold": "leaves the garden",
    "shelter": "carried under cover",
    "outdoors": "carried out again",
}
WINDOWS = {
    "last frost": "of the garden",
    **{f"{n} weeks before last frost": "" for n in (6, 4, 3, 2)},
    **{f"{n} weeks after last frost": "" for n in (2, 3, 4, 6)},
}
WHOLE = {"bare root": "no pot", "cutting": "no pot", "seed": "no pot"}


@cache
def shipped_names(system: System) -> Names:
    """Return the usual containers, with what each is filled with."""
    found = {
        one.text: f"holds {show_volume(one.fill_l.likely, system)}"
        + (" a cell" if one.cells > 1 else "")
        for one in shipped_containers()
    }
    return found | WHOLE


@cache
def known_crops() -> Names:
    """Return the crops that are known, with what is known of each."""
    told = {"tender": "tender", "annual": "annual", "small_steps": "small steps", "woody": "woody"}
    return {
        name: ", ".join(word for key, word in told.items() if getattr(crop, key))
        for name, crop in crops().items()
    }


def names_for(data: Mapping[str, Any], plan: Plan | None, system: System) -> dict[str, Names]:
    """Return what may be written into `now`, `to`, `mix`, `of` and `from` of a supply."""
    own: Names = dict.fromkeys(_keys(data, "containers"), "of this plan")
    for text, container in plan.containers.items() if plan is not None else ():
        own[text] = f"holds {show_volume(container.fill_l.likely, system)}"
    mixes = {name: _parts_text(data["mixes"][name]) for name in _keys(data, "mixes")}
    beds = dict.fromkeys(_values(data, "beds", "name"), "a bed of this plan")
    goods = dict.fromkeys(ingredients(), "an ingredient") | dict.fromkeys(
        _keys(data, "ingredients"), "an ingredient of this plan"
    )
    known = own | shipped_names(system)
    sold = dict.fromkeys([*_keys(data, "suppliers"), *_values(data, "supplies", "from")], "")
    return {
        "now": known,
        "to": beds | AWAY | known,
        "mix": mixes,
        "part": goods | dict.fromkeys(mixes, "a mix of this plan"),
        "of": goods | dict.fromkeys(mixes, "ready-made") | known,
        "from": sold,
        "when": WINDOWS,
        "crop": known_crops(),
    }


def system_of(data: Mapping[str, Any]) -> System:
    """Return the units that a plan wants its amounts in."""
    garden = data.get("garden")
    told = garden.get("units") if isinstance(garden, Mapping) else None
    return "metric" if told == "metric" else "us"


def _parts_text(mix: Any) -> str:
    parts = mix.get("parts") if isinstance(mix, Mapping) else None
    if not isinstance(parts, Mapping):
        return "bought ready-made"
    return ", ".join(
        f"{part[1] if isinstance(part, tuple) else part} {name}" for name, part in parts.items()
    )[:100]


def _keys(data: Mapping[str, Any], table: str) -> list[str]:
    found = data.get(table)
    return list(found)[:MOST] if isinstance(found, Mapping) else []


def _values(data: Mapping[str, Any], table: str, key: str) -> list[str]:
    rows = data.get(table)
    found = (
        [row.get(key) for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []
    )
    return list(dict.fromkeys(one for one in found if isinstance(one, str)))[:MOST]
