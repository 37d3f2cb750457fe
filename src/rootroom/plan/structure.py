"""TOML's tables as frozen records, with every mistake in them found at once.

Every field of a table class may be None, so that a table with mistakes is still read: a wrong value
is noted and left None.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from attrs import fields, has

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.names import note_unknown_key, shown
from rootroom.plan.values import READERS, wrong_kind
from rootroom.problems import TextError

Record = TypeVar("Record")
Reader = Callable[[Any, Path, Findings], Any]
"""Returns what a value of the file means, or notes at its path what is wrong and returns None."""


def key_of(attribute: str) -> str:
    """Return the key that fills an attribute: `from_` is filled by `from`."""
    return attribute.rstrip("_")


def structure(cls: type[Record], raw: object, path: Path, findings: Findings) -> Record:
    """Return `raw` as a record of `cls`; wrong values are noted and left None."""
    table: Record | None = None if raw is None else _read_table(cls, raw, path, findings)
    return cls() if table is None else table


def _read_table(cls: Any, raw: object, path: Path, findings: Findings) -> Any:
    if not isinstance(raw, dict):
        findings.refuse(path, _not_a_table(raw))
        return None
    known = _readers(cls)
    table = cls(
        **{
            attribute: read(raw[key], (*path, key), findings)
            for key, (attribute, read) in known.items()
            if key in raw
        }
    )
    beside = dict(raw)
    for key in sorted(raw.keys() - known.keys()):
        note_unknown_key(findings, (*path, key), _own_first(cls), beside)
        del beside[key]
    return table


@cache
def _readers(cls: Any) -> Mapping[str, tuple[str, Reader]]:
    """Return the attribute that each key of a table fills, and what reads its value."""
    kinds = get_type_hints(cls)
    return {
        key_of(each.name): (each.name, _reader_of(_given(kinds[each.name]))) for each in fields(cls)
    }


def _own_first(cls: Any) -> tuple[str, ...]:
    return tuple(key_of(one.name) for one in sorted(fields(cls), key=lambda one: one.inherited))


def _given(kind: Any) -> Any:
    """Return what a field holds that is given: each may be None besides."""
    (given,) = (one for one in get_args(kind) if one is not type(None))
    return given


def _reader_of(kind: Any) -> Reader:
    if kind in READERS:
        return _value_reader(READERS[kind])
    if get_origin(kind) is tuple:
        return _list_reader(_reader_of(get_args(kind)[0]))
    if get_origin(kind) is Mapping:
        return _mapping_reader(_reader_of(get_args(kind)[1]))
    if not has(kind):
        raise ValueError(f"nothing reads a value of the kind {kind!r}")
    return lambda raw, path, findings: _read_table(kind, raw, path, findings)


def _value_reader(read_value: Callable[[object], Any]) -> Reader:
    def read(raw: object, path: Path, findings: Findings) -> Any:
        try:
            return read_value(raw)
        except TextError as error:
            findings.refuse(path, error)
            return None

    return read


def _pieces(text: str) -> list[str]:
    """Return what a text that should be a list would have in it, each in quotes."""
    if text.strip().casefold() in ("weekend", "weekends"):
        return ['"sat"', '"sun"']
    return [f'"{shown(piece.strip())}"' for piece in text.split(",") if piece.strip()] or ['"..."']


def _list_reader(read_one: Reader) -> Reader:
    def read(raw: object, path: Path, findings: Findings) -> Any:
        if isinstance(raw, list):
            return tuple(read_one(one, (*path, place), findings) for place, one in enumerate(raw))
        inside = ", ".join(_pieces(raw)) if isinstance(raw, str) else " ... "
        hint = f"write it in square brackets: `[{inside}]`"
        findings.refuse(path, wrong_kind("a list belongs here", raw, hint))
        return None

    return read


def _mapping_reader(read_one: Reader) -> Reader:
    def read(raw: object, path: Path, findings: Findings) -> Any:
        if isinstance(raw, dict):
            return {key: read_one(one, (*path, key), findings) for key, one in raw.items()}
        findings.refuse(path, _not_a_table(raw))
        return None

    return read


def _not_a_table(raw: object) -> TextError:
    return wrong_kind("a table belongs here", raw, "write it as `{ key = value, ... }`")
