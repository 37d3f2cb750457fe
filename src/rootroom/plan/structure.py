"""TOML's tables as frozen records, with every mistake in them found at once.

cattrs fills the classes; its exception groups carry the way to each wrong value.
Every field of a table class may be None, so that a table with mistakes is still read: the wrong
values are noted, taken out, and the table is filled again without them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from types import GenericAlias
from typing import TYPE_CHECKING, Any, NewType, TypeVar, cast, get_origin

from rootroom.plan.diagnostics import Findings, Path
from rootroom.plan.values import READERS, show
from rootroom.problems import TextError

if TYPE_CHECKING:
    from cattrs import Converter

Record = TypeVar("Record")


def key_of(attribute: str) -> str:
    """Return the key that fills an attribute: `from_` is filled by `from`."""
    return attribute.rstrip("_")


def structure(cls: type[Record], raw: object, path: Path, findings: Findings) -> Record:
    """Return `raw` as a record of `cls`; wrong values are noted and left None."""
    from cattrs.errors import BaseValidationError

    from rootroom.plan.names import note_unknown_key

    if not isinstance(raw, dict):
        if raw is not None:
            findings.refuse(path, _not_a_table(raw))
        return cls()
    converter = _converter()
    try:
        return converter.structure(raw, cls)
    except BaseValidationError as group:
        raw = _copy(raw)
        for inner, error in _walk(group, ()):
            if isinstance(error, _UnknownKey):
                note_unknown_key(findings, (*path, *inner), error.known, _at(raw, inner[:-1]))
                _at(raw, inner[:-1]).pop(inner[-1], None)
            else:
                findings.refuse((*path, *inner), error)
                _at(raw, inner[:-1])[inner[-1]] = None
    return converter.structure(raw, cls)


class _UnknownKey(TextError):
    """A key that the table does not know."""

    def __init__(self, known: tuple[str, ...]) -> None:
        super().__init__("unknown key", code="unknown-key")
        self.known = known


def _not_a_table(raw: object) -> TextError:
    return TextError(
        f"a table belongs here: {show(raw)}",
        code="wrong-kind",
        hint="write it as `{ key = value, ... }`",
    )


def _walk(group: BaseException, path: Path) -> Iterator[tuple[Path, TextError]]:
    from attrs import fields
    from cattrs.errors import BaseValidationError, ForbiddenExtraKeysError, IterableValidationNote

    if isinstance(group, TextError):
        yield path, group
        return
    assert isinstance(group, BaseValidationError), repr(group)
    with_notes, others = group.group_exceptions()  # type: ignore[attr-defined]
    for error, note in with_notes:
        step = note.index if isinstance(note, IterableValidationNote) else key_of(note.name)
        yield from _walk(error, (*path, step))
    for error in others:
        assert isinstance(error, ForbiddenExtraKeysError), repr(error)
        own_first = sorted(fields(error.cl), key=lambda field: field.inherited)
        known = tuple(key_of(field.name) for field in own_first)
        for key in sorted(error.extra_fields):
            yield (*path, key), _UnknownKey(known)


def _copy(raw: Any) -> Any:
    if isinstance(raw, dict):
        return {key: _copy(value) for key, value in raw.items()}
    return [_copy(value) for value in raw] if isinstance(raw, list) else raw


def _at(raw: Any, path: Path) -> Any:
    for step in path:
        raw = raw[step]
    return raw


Hook = Callable[[Any, Any], Any]


@cache
def _converter() -> Converter:
    """Return the converter whose hooks leave None alone and refuse what is of another kind."""
    from attrs import has
    from cattrs import Converter

    converter = Converter(detailed_validation=True, forbid_extra_keys=True)

    def origin_is(wanted: Any) -> Callable[[Any], bool]:
        return lambda kind: get_origin(kind) is wanted

    # The one that was registered last is asked first.
    converter.register_structure_hook_factory(has, lambda kind: _table_hook(kind, converter))
    converter.register_structure_hook_factory(
        origin_is(tuple), lambda kind: _list_hook(kind, converter)
    )
    converter.register_structure_hook_factory(
        origin_is(Mapping), lambda kind: _mapping_hook(kind, converter)
    )
    converter.register_structure_hook_factory(
        lambda kind: isinstance(kind, NewType) and kind in READERS, _value_hook
    )
    return converter


def _value_hook(kind: Any) -> Hook:
    read = READERS[kind]
    return lambda value, _: None if value is None else read(value)


def _table_hook(cls: Any, converter: Converter) -> Hook:
    from attrs import fields, resolve_types
    from cattrs.gen import make_dict_structure_fn, override

    resolve_types(cls)
    renamed = {
        each.name: override(rename=key_of(each.name))
        for each in fields(cls)
        if each.name.endswith("_")
    }
    fill = make_dict_structure_fn(
        cls, converter, _cattrs_forbid_extra_keys=True, **cast(Any, renamed)
    )
    return _guarded(fill, dict, _not_a_table)


def _list_hook(kind: Any, converter: Converter) -> Hook:
    fill = converter.get_structure_hook(GenericAlias(list, kind.__args__[:1]))
    return _guarded(lambda value, of: tuple(fill(value, of)), list, _not_a_list)


def _mapping_hook(kind: Any, converter: Converter) -> Hook:
    fill = converter.get_structure_hook(GenericAlias(dict, kind.__args__))
    return _guarded(fill, dict, _not_a_table)


def _guarded(fill: Hook, wanted: type, refuse: Callable[[object], TextError]) -> Hook:
    def hook(value: Any, kind: Any) -> Any:
        if value is None:
            return None
        if not isinstance(value, wanted):
            raise refuse(value)
        return fill(value, kind)

    return hook


def _not_a_list(raw: object) -> TextError:
    return TextError(
        f"a list belongs here: {show(raw)}",
        code="wrong-kind",
        hint="write it in square brackets: `[ ... ]`",
    )
