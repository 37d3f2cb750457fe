"""Edits of a plan's text: a value set, a row added, moved or taken away, text in and text out.

Everything outside the edited value stays byte for byte, comments and odd spacing too: the scanner
knows the place of every value, and an edit is a splice there. What comes out is read again and
compared with what was meant, so that an edit never says something else in passing.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from rootroom.plan.names import HOMES, meant, shown, suggest
from rootroom.plan.toml import splicing
from rootroom.plan.toml.splicing import Path, Written, key_text, loads, quoted, row_text
from rootroom.problems import TextError

Thing = Literal["plant", "supply", "mix", "bed"]

LISTS = {"plant": "plants", "supply": "supplies", "bed": "beds"}
NAMED = {"mixes": "mix", "suppliers": "supplier", "places": "place", "containers": "container",
         "ingredients": "ingredient"}  # fmt: skip
SINGLE = ("garden", "work", "minutes", "factors", "buying")
TABLES = ("parts", "add", "shrink", "measured", "hours", "people", "round", "square", "box",
          "sorts")  # fmt: skip
"""Keys that hold a table of their own, which the first key set in it makes."""
TEXTS = frozenset(("name", "crop", "now", "to", "mix", "of", "from", "by", "only", "zone"))
"""Keys that hold a text (or a date), so that a name of digits alone stays a name."""
USUAL = ("name", "of", "crop", "count", "now", "since", "to", "refresh", "mix", "pack", "swells",
         "yields", "price", "from", "by")  # fmt: skip
"""The order in which people write keys in one line."""
_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([^."']+))\s*(?:\.|\Z)""")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def toml_value(text: str, key: str = "") -> str:
    """Return a value as TOML: as given where it is one, else taken as a text.

    `key` says what it is for: of a key that holds a text, `12` is a text too.
    """
    bare = text.strip()
    if bare and _is_value(bare):
        is_text = bare[0] in "\"'" or (key in ("from", "by") and _DATE.fullmatch(bare))
        if key not in TEXTS or is_text:
            return bare
    return quoted(bare)


def set_value(text: str, path: str | Path, value: str, *, make: bool = False) -> str:
    """Return a plan's text with a value set, which may be TOML or a plain text.

    `path` is written as `plants.Fig.to`, `plants.2.count` or `mixes."5:1:1".parts.bark`; a key may
    be new, a row or a named table only with `make` (which `rootroom` never guesses from a slip).
    TextError where the path leads nowhere, with the near names.
    """
    page = splicing.read(text)
    where = find_path(page.data, path, make=make) if isinstance(path, str) else path
    raw = toml_value(value, str(where[-1]))
    wanted = loads(f"it = {raw}")["it"]

    def change(data: Any) -> None:
        value_at(data, where[:-1], make=True)[where[-1]] = wanted

    if where in page.scan.values and page.is_value(where):
        return made_of(text, page, page.replace(where, raw), change)
    if where in page.scan.values:
        return set_value(remove(text, where), where, value, make=True)
    return made_of(text, page, _insertion(page, where, raw), change)


def remove(text: str, path: str | Path) -> str:
    """Return a plan's text without a key, a row or a table; TextError where there is none."""
    page = splicing.read(text)
    where = find_path(page.data, path, there=True) if isinstance(path, str) else path
    value_at(page.data, where)

    def change(data: Any) -> None:
        del value_at(data, where[:-1])[where[-1]]

    dotted = [one for one in page.scan.pairs if one.path[: len(where)] == where]
    if page.scan.kinds.get(where) == "dotted" and len(dotted) > 1:
        # One after the other, since beside another in braces each decides about a comma.
        return remove(remove(text, dotted[-1].path), where)
    return made_of(text, page, page.remove(where), change, may_empty=where)


def add_thing(text: str, kind: Thing, fields: Mapping[str, str]) -> str:
    """Return a plan's text with a plant, supply, mix or bed more, at its usual place.

    `fields` are keys with values as for `set_value`; `name` names a mix. TextError where there is
    a mix of that name.
    """
    if kind != "mix":
        return add_row(text, (LISTS[kind],), fields)
    page = splicing.read(text)
    raw = {key: toml_value(value, key) for key, value in fields.items() if key != "name"}
    name = fields["name"]
    if meant(name, page.data.get("mixes", {})) is not None:
        message = f"there is a mix of that name: `{shown(name)}`"
        raise TextError(message, code="duplicate-name", hint="give the new one another name")
    wanted = loads("\n".join(f"{key_text(k)} = {v}" for k, v in raw.items()))

    def change(data: Any) -> None:
        data.setdefault("mixes", {})[name] = wanted

    return made_of(text, page, _new_table(page, ("mixes", name), raw), change)


def add_named(text: str, kind: str, name: str) -> str:
    """Return a plan's text with a named table more (`mixes`, `suppliers`, ...) that is empty."""
    page = splicing.read(text)

    def change(data: Any) -> None:
        data.setdefault(kind, {})[name] = {}

    return made_of(text, page, _new_table(page, (kind, name), {}), change)


def add_row(text: str, table: str | Path, fields: Mapping[str, str], at: int | None = None) -> str:
    """Return a plan's text with a row more in a list (`plants`, a plant's `moves`, ...).

    `at` is the number that it gets, counting from 0; without it, it is the last one.
    """
    page = splicing.read(text)
    where = find_path(page.data, table) if isinstance(table, str) else table
    raw = {key: toml_value(value, key) for key, value in fields.items()}
    rows = value_at(page.data, where[:-1]).get(where[-1], [])
    if not isinstance(rows, list):
        raise TextError(f"`{_shown_path(where)}` is no list", code="wrong-kind")
    index = len(rows) if at is None else max(0, min(at, len(rows)))
    wanted = loads(f"it = {row_text(raw)}")["it"]

    def change(data: Any) -> None:
        value_at(data, where[:-1]).setdefault(where[-1], []).insert(index, wanted)

    if where not in page.scan.values:
        new = f"[\n  {row_text(raw)},\n]" if len(where) == 1 else f"[ {row_text(raw)} ]"
        edits = page.insert(where[:-1], str(where[-1]), new)
    elif page.in_brackets(where):
        edits = page.insert_row(where, index, row_text(raw))
    else:
        lines = [f"[[{page.header_of(where)}]]", *(f"{key_text(k)} = {v}" for k, v in raw.items())]
        edits = page.insert_block(where, index, "\n".join(lines) + "\n")
    return made_of(text, page, edits, change)


def further_move(text: str, plant: Path) -> str:
    """Return a plan's text in which a plant has one move more, still empty.

    A single move that stands on the plant becomes the first of its list; its mix and its count of
    plants serve all moves and stay.
    """
    page = splicing.read(text)
    row = value_at(page.data, plant)
    if "moves" not in row:
        keys = [key for key in row if key in keys_of("a move") and key not in ("mix", "count")]
        first = {key: page.text[slice(*page.scan.values[*plant, key])] for key in keys}
        for key in keys:
            text = remove(text, (*plant, key))
        text = add_row(text, (*plant, "moves"), first)
    return add_row(text, (*plant, "moves"), {})


def move_row(text: str, path: str | Path, to: int) -> str:
    """Return a plan's text with a row at another place of its list, counting from 0."""
    page = splicing.read(text)
    where = find_path(page.data, path, there=True) if isinstance(path, str) else path
    table, number = where[:-1], int(where[-1])
    source, comment = page.row_source(where)
    without = remove(text, where)
    left = splicing.read(without)
    row = _copied(value_at(page.data, where))

    def change(data: Any) -> None:
        value_at(data, table).insert(to, row)

    if number == to:
        return text
    if page.in_brackets(table):
        edits = left.insert_row(table, to, source, comment)
    else:
        edits = left.insert_block(table, to, source)
    return made_of(without, left, edits, change)


def find_path(data: Any, text: str, *, make: bool = False, there: bool = False) -> Path:
    """Return the path that a text such as `plants.Fig.to` names; rows by name or number from 1.

    All but its last part must be there, with `there` that too; `make` lets named tables be new.
    TextError with the near names where it leads nowhere.
    """
    path: Path = ()
    here = data
    parts = _split(text)
    for number, part in enumerate(parts):
        last = number == len(parts) - 1
        if isinstance(here, list):
            step: str | int = _row(here, part, path)
        elif isinstance(here, dict):
            new = (last and not there) or (not path and part in SINGLE) or part in TABLES
            step = _key(here, part, path, new=new or make)
        else:
            words = f"`{_shown_path(path)}` holds one value, and nothing by the name `{part}`"
            raise TextError(words, code="unknown-name")
        path = (*path, step)
        if isinstance(here, list):
            here = here[int(step)]
        else:
            here = here.get(step, {} if not last else None)
    return path


@cache
def keys_of(table: str) -> dict[str, dict[str, str]]:
    """Return the keys that a table of a plan knows, by its name in the list of keys.

    Each with what it `says`, and what is taken by `default`.
    """
    data = tomllib.loads(files("rootroom.plan").joinpath("data", "keys.toml").read_text("utf-8"))
    rows = next(found["keys"] for found in data["table"] if found["name"] == table)
    return {
        key.strip(' "'): {"says": row["says"], "default": row["default"]}
        for row in rows
        for key in row["key"].split(",")
    }


def _known_keys(path: Path) -> tuple[str, ...]:
    """Return the keys that may stand in the table of a path; none where any may."""
    names = tuple(name for name in path if isinstance(name, str))
    if not names:
        return ("format", *LISTS.values(), *SINGLE, *NAMED)
    if len(path) == 1 and names[0] in ("garden", "work", "buying", "factors"):
        return tuple(keys_of(f"[{names[0]}]"))
    if len(path) == 2 and names[0] in NAMED:
        return tuple(keys_of(f"[{names[0]}.NAME]"))
    if path[0] == "plants" and len(path) == 2:
        return (*keys_of("plants"), *keys_of("a move"))
    if path[0] == "plants" and path[2:3] == ("moves",) and len(path) == 4:
        return tuple(keys_of("a move"))
    return tuple(keys_of(names[0])) if len(path) == 2 and names[0] in ("beds", "supplies") else ()


def _split(text: str) -> list[str]:
    parts: list[str] = []
    at = 0
    while at < len(text) or not parts:
        found = _PART.match(text, at)
        if found is None:
            message = f"this is no place in a plan: `{shown(text)}`"
            hint = (
                'write it as `plants.Fig.to`; a name with a dot goes in quotes: `mixes."5.1".flex`'
            )
            raise TextError(message, code="unknown-name", hint=hint)
        if found[1] is not None:
            parts.append(str(tomllib.loads(f'it = "{found[1]}"')["it"]))
        else:
            parts.append(found[2] if found[2] is not None else found[3].strip())
        at = found.end()
    return parts


def _row(rows: Sequence[Any], part: str, path: Path) -> int:
    names: dict[str, list[int]] = {}
    for number, row in enumerate(rows):
        name = (row.get("name") or row.get("of")) if isinstance(row, dict) else None
        if isinstance(name, str):
            names.setdefault(name, []).append(number)
    known = meant(part, names)
    if known is not None and len(names[known]) == 1:
        return names[known][0]
    where = _shown_path(path)
    if known is not None:
        numbers = ", ".join(f"`{where}.{number + 1}`" for number in names[known])
        message = f"more than one of this name in `{where}`: `{shown(part)}`"
        raise TextError(message, code="unknown-name", hint=f"say which: {numbers}")
    if part.isdecimal() and 1 <= int(part) <= len(rows):
        return int(part) - 1
    hint = suggest(part, names, f"they go from `{where}.1` to `{where}.{len(rows)}`" * bool(rows))
    raise TextError(f"nothing of this name in `{where}`: `{shown(part)}`",
                    code="unknown-name", hint=hint)  # fmt: skip


def _key(table: Mapping[str, Any], part: str, path: Path, *, new: bool) -> str:
    known = meant(part, table)
    if known is not None:
        return known
    keys = _known_keys(path)
    if "moves" in table and part in keys_of("a move") and part not in ("mix", "count"):
        hint = f"it stands on a move: `{_shown_path((*path, 'moves'))}.1.{part}`"
        raise TextError(f"this plant has several moves: `{shown(part)}`",
                        code="unknown-name", hint=hint)  # fmt: skip
    if new and (not keys or part in keys):
        return part
    if new and len(path) == 1 and path[0] in NAMED:
        return part
    where = f" in `{_shown_path(path)}`" if path else ""
    if part in keys:
        message = f"not given{where}: `{shown(part)}`"
        raise TextError(message, code="unknown-name", hint="set the whole of it first")
    home = HOMES.get(part, "") if not path else ""
    if home.startswith("["):
        hint = f"it stands in {home}: `{home.strip('[]')}.{part}`"
    elif home:
        hint = f"it is a key of {home}, which is named first, as in `plants.Fig.to`"
    else:
        hint = suggest(part, (*table, *keys))
    raise TextError(f"nothing of this name{where}: `{shown(part)}`", code="unknown-name", hint=hint)


def _shown_path(path: Path) -> str:
    return ".".join(str(part + 1) if isinstance(part, int) else key_text(part) for part in path)


def value_at(data: Any, path: Path, *, make: bool = False) -> Any:
    """Return what stands at a path; KeyError or IndexError where nothing does."""
    for step in path:
        new = make and isinstance(data, dict)
        data = data.setdefault(step, {}) if new else data[step]
    return data


def _is_value(text: str) -> bool:
    try:
        found = splicing.read(f"it = {text}\n")
    except TextError:
        return False
    return found.scan.values[("it",)] == (5, 5 + len(text))


def _insertion(page: Written, where: Path, raw: str) -> list[Any]:
    """Return the edits that write a new key, and the tables above it that are not there."""
    table, key = where[:-1], str(where[-1])
    missing = 0
    while table and table not in page.scan.values:
        table, missing = table[:-1], missing + 1
    path = where[: len(where) - 1]
    if not missing:
        return page.insert(path, key, raw, USUAL)
    if len(path) == 1 or (len(path) == 2 and path[0] in NAMED):
        return _new_table(page, path, {key: raw})
    if len(path) - len(table) == 1:
        return page.insert(table, str(path[-1]), row_text({key: raw}), USUAL)
    raise TextError(f"nothing here to set a value in: `{_shown_path(path)}`", code="unknown-name")


def _new_table(page: Written, path: Path, fields: Mapping[str, str]) -> list[Any]:
    """Return the edits of a new table: under a header, or in braces where its kind is so."""
    above = path[:-1]
    own_keys = [one for one in page.scan.pairs if one.table == above] if above else []
    braces = above in page.scan.values and page.is_value(above)
    if braces or own_keys:
        return page.insert(above, str(path[-1]), row_text(fields))
    return page.new_section(path, fields)


def made_of(
    text: str,
    page: Written,
    edits: Sequence[Any],
    change: Callable[[Any], None],
    *,
    may_empty: Path = (),
) -> str:
    """Return the text with the edits made, once it is sure that it says what was meant."""
    new = splicing.apply(text, edits)
    wanted = _copied(page.data)
    change(wanted)
    found = splicing.read(new).data
    if found != wanted and may_empty:
        # The last of some tables took the name of all of them along.
        _prune(wanted, may_empty[:-1])
    if found != wanted:
        raise TextError(
            "this is written in a way that cannot be changed by itself",
            code="wrong-kind",
            hint="change it in the file's own text",
        )
    return new


def _copied(data: Any) -> Any:
    """Return tables and lists that can be changed; what they hold in the end is never changed."""
    if isinstance(data, dict):
        return {key: _copied(value) for key, value in data.items()}
    return [_copied(value) for value in data] if isinstance(data, list) else data


def _prune(data: Any, path: Path) -> None:
    while path and not value_at(data, path):
        del value_at(data, path[:-1])[path[-1]]
        path = path[:-1]
