"""A plant, a supply or a mix added to a plan that is there: tried in the whole plan first."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from attrs import frozen

from rootroom.plan.drafts import toml_text
from rootroom.plan.editing import Thing, add_thing, set_value
from rootroom.plan.names import PLACES, meant, shown
from rootroom.plan.reader import read_plan_text
from rootroom.plan.toml import splicing
from rootroom.problems import Problem, TextError


@frozen
class Grown:
    """A plan's text with something added, the lines that are new, and the errors it still has."""

    text: str
    lines: tuple[str, ...]
    errors: tuple[Problem, ...]
    only_mix: str = ""
    named: tuple[str, ...] = ()


def grow(
    text: str, path: Path, kind: Thing, fields: Mapping[str, Any], *, missing: tuple[str, ...] = ()
) -> Grown:
    """Return a plan with a thing more, whose `fields` are the plan's own keys and values.

    All that stood there stays byte for byte. TextError for a mistake that the plan did not have
    before; those of the codes `missing` are not minded, for what is asked later.
    A second mix would leave those without a mix that took the only one: it is written on them.
    """
    raw = {key: toml_text(value) for key, value in fields.items()}
    if kind == "mix":
        raw["name"] = str(fields["name"])
    new = add_thing(text, kind, raw)
    lines = _new_lines(text, new)
    only = ""
    named: tuple[str, ...] = ()
    mixes = splicing.read(text).data.get("mixes", {})
    if kind == "mix" and len(mixes) == 1:
        only = next(iter(mixes))
        new, named = _name_mix(new, only)
    before = {(one.code, one.message) for one in errors_of(text, path)}
    errors = errors_of(new, path)
    for one in errors:
        if (one.code, one.message) not in before and one.code not in missing:
            raise TextError(one.message, code=one.code, hint=one.hint)
    return Grown(new, lines, errors, only, named)


def _name_mix(text: str, mix: str) -> tuple[str, tuple[str, ...]]:
    """Return the text with the mix written on plants and beds that name none, and their names."""
    named = []
    data = splicing.read(text).data
    places = (*PLACES, *(str(bed.get("name", "")) for bed in data.get("beds", ())))
    for index, plant in enumerate(data.get("plants", ())):
        moves = plant.get("moves") or [plant]
        open_moves = [
            move
            for move in moves
            if "mix" not in move
            and ("refresh" in move or not meant(str(move.get("to", "ground")), places))
        ]
        if (open_moves or "rows" in plant) and "mix" not in plant:
            text = set_value(text, ("plants", index, "mix"), toml_text(mix))
            named.append(f"`{plant.get('name', plant.get('rows'))}`")
    for index, bed in enumerate(data.get("beds", ())):
        if "mix" not in bed and "layers" not in bed:
            text = set_value(text, ("beds", index, "mix"), toml_text(mix))
            named.append(f"`{bed.get('name')}`")
    return text, tuple(named)


def errors_of(text: str, path: Path) -> tuple[Problem, ...]:
    """Return the errors of a plan's text, which may have a mark and any line ends."""
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    _, problems = read_plan_text(plain, path)
    return tuple(problem for problem in problems if problem.severity == "error")


def _new_lines(old: str, new: str) -> tuple[str, ...]:
    before, after = old.splitlines(), new.splitlines()
    start = next((n for n, (a, b) in enumerate(zip(before, after, strict=False)) if a != b),
                 min(len(before), len(after)))  # fmt: skip
    same = 0
    while same < min(len(before), len(after)) - start and before[-1 - same] == after[-1 - same]:
        same += 1
    return tuple(after[start : len(after) - same])


def plan_text(path: Path) -> str:
    """Return a plan file's text as it is, line ends and all; TextError for one that is no UTF-8."""
    try:
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        raise TextError(
            f"this is not UTF-8 text: `{shown(str(path))}`",
            code="not-utf-8",
            hint="save the plan as UTF-8",
        ) from None
