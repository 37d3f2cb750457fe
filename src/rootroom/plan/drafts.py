"""A plan in the making: what is known of it so far, and the commented file that it becomes.

The comments are the starter plan's, which `rootroom new` writes as it is; what is not known stays
behind a `#` as an example.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time
from decimal import Decimal
from importlib.resources import files
from typing import Any

from attrs import define, field

from rootroom.plan.toml.splicing import key_text, quoted, row_text
from rootroom.visible import visible


def starter_plan() -> str:
    """Return a commented plan in the short form, which reads without a problem."""
    return files("rootroom.plan").joinpath("data", "starter.toml").read_text(encoding="utf-8")


_HEAD = re.compile(r"# ---- (.*?) -+$")
_SETTING = re.compile(r"(?:# )?(\w+) = (.*?)(\s+# .*)?$")
_EXAMPLE_PARTS = "{ bark = 5, peat = 1, perlite = 1 }"
_COMMENT_AT = 30


@define
class Draft:
    """What is known of a plan: rows as the plan's own keys and values, tables as settings.

    `mixes` holds the parts of each mix, None for one of which only the name is known,
    nothing for one that is bought ready-made.
    `plants` come with a note each, which becomes a comment.
    """

    made: str
    plants: list[tuple[dict[str, Any], str]] = field(factory=list)
    supplies: list[dict[str, Any]] = field(factory=list)
    beds: list[dict[str, Any]] = field(factory=list)
    garden: dict[str, Any] = field(factory=dict)
    work: dict[str, Any] = field(factory=dict)
    mixes: dict[str, Mapping[str, Any] | None] = field(factory=dict)


def toml_text(value: Any) -> str:
    """Return a value as TOML on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float | date | time | Decimal):
        return f"{value:f}" if isinstance(value, Decimal) else str(value)
    if isinstance(value, Mapping):
        return row_text({str(key): toml_text(one) for key, one in value.items()})
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml_text, value))}]"
    return quoted(str(value))


def draft_text(draft: Draft) -> str:
    """Return the draft as a commented plan."""
    intro, sections = _sections()
    lines = [f"# A plan for rootroom, {visible(draft.made)}.", *intro[1:]]
    for head, body in sections:
        lines += ["", head, *_filled(_HEAD.fullmatch(head)[1], body, draft)]  # type: ignore[index]
    return "\n".join(lines) + "\n"


def _sections() -> tuple[list[str], list[tuple[str, list[str]]]]:
    """Return the starter's first lines, and its sections: the head and the lines below it."""
    intro: list[str] = []
    sections: list[tuple[str, list[str]]] = []
    for line in starter_plan().splitlines():
        if _HEAD.fullmatch(line):
            sections.append((line, []))
        elif sections:
            sections[-1][1].append(line)
        else:
            intro.append(line)
    for body in (intro, *(body for _, body in sections)):
        while body and not body[-1]:
            body.pop()
    return intro, sections


def _filled(head: str, body: Sequence[str], draft: Draft) -> list[str]:
    """Return the lines of one section with what the draft knows."""
    if any(line.startswith("plants = [") for line in body):
        rows = [line for row, note in draft.plants for line in _plant_lines(row, note)]
        return _list("plants", body, rows)
    if any(line.startswith("supplies = [") for line in body):
        rows = [f"  {toml_text(row)}," for row in draft.supplies]
        return _list("supplies", body, rows)
    if draft.beds and "# beds = [" in body:
        rows = [f"  {toml_text(row)}," for row in draft.beds]
        start = body.index("# beds = [")
        return [*body[:start], "beds = [", *rows, *body[start + 1 : -1], "]"]
    if "[garden]" in body:
        return _settings(body, draft.garden)
    if "[work]" in body:
        return _settings(body, draft.work)
    if any(line.startswith("[mixes") for line in body):
        return _mixes(body, draft)
    if any(line.startswith("[suppliers") for line in body):
        shops = dict.fromkeys(str(row["from"]) for row in draft.supplies if "from" in row)
        heads = [f"[suppliers.{key_text(shop)}]" for shop in shops]
        return [*heads[:-1], *_commented(body, dict.fromkeys(body[:1], heads[-1] if heads else ""))]
    return list(body)


def _plant_lines(row: Mapping[str, Any], note: str) -> list[str]:
    lines = [f"  # {visible(note)}"] if note else []
    if len(row.get("moves", ())) < 2:
        return [*lines, f"  {toml_text(row)},"]
    first = {key: toml_text(value) for key, value in row.items() if key != "moves"}
    lines.append(f"  {row_text(first)[:-2]}, moves = [")
    lines += [f"    {toml_text(move)}," for move in row["moves"]]
    return [*lines, "  ] },"]


def _list(key: str, body: Sequence[str], rows: Iterable[str]) -> list[str]:
    """Return a list with the starter's comments above it and its commented examples at its end."""
    start = body.index(f"{key} = [")
    inside = list(body[start + 1 : body.index("]", start)])
    first = next((at for at, line in enumerate(inside) if line.lstrip().startswith("#")), None)
    examples = [] if first is None else [_behind_mark(line) for line in inside[first:]]
    return [*body[:start], body[start], *rows, *examples, "]"]


def _behind_mark(line: str) -> str:
    return line if line.lstrip().startswith("#") else f"  # {line.removeprefix('  ')}"


def _settings(body: Sequence[str], known: Mapping[str, Any]) -> list[str]:
    """Return a table's lines; what is not known stays as an example behind a `#`."""
    lines, left = [], dict(known)
    for line in body:
        found = _SETTING.fullmatch(line)
        if found is None:
            lines.append(line)
        elif found[1] in left:
            text = f"{found[1]} = {toml_text(left.pop(found[1]))}"
            comment = (found[3] or "").strip()
            lines.append(f"{text:<{_COMMENT_AT - 1}} {comment}" if comment else text)
        else:
            lines.append(line if line.startswith("#") else f"# {line}")
    return [*lines, *(f"{key} = {toml_text(value)}" for key, value in left.items())]


def _mixes(body: Sequence[str], draft: Draft) -> list[str]:
    start = next(at for at, line in enumerate(body) if line.startswith("[mixes"))
    lines = list(body[:start])
    if not draft.mixes:
        return [*lines, *_commented(body[start:], {})]
    examples = [line if line.startswith("#") else f"# {line}" for line in body[start + 2 :]]
    for number, (name, parts) in enumerate(draft.mixes.items()):
        lines += [""] * (number > 0)
        if parts is None:
            lines += [f"# [mixes.{key_text(name)}]", f"# parts = {_EXAMPLE_PARTS}"]
        elif not parts:
            lines += [f"[mixes.{key_text(name)}]", "# without parts it is bought ready-made"]
        else:
            lines += [f"[mixes.{key_text(name)}]", f"parts = {toml_text(parts)}"]
        lines += examples if number == 0 else []
    return lines


def _commented(body: Sequence[str], instead: Mapping[str, str]) -> list[str]:
    return [
        instead.get(line) or (line if line.startswith("#") or not line else f"# {line}")
        for line in body
    ]
