"""TOML text as tables, with the slips that gardeners type found and named.

The standard library's reader stops at the first slip. So each slip that is known is mended in a
copy and the reading goes on: one run finds them all, and the wrong values behind them too.
A mended plan is never used; places are given in the file as it was written.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from itertools import islice
from typing import TYPE_CHECKING, Any

from attrs import define, field

from rootroom.plan.toml.source import LONG_LIST, SEVERAL_PLANS
from rootroom.plan.toml.spans import Places, Stop, find_places
from rootroom.problems import Problem
from rootroom.visible import visible

if TYPE_CHECKING:
    from rootroom.plan.toml.mending import Edit, Mend

_MOST_MENDS = 40  # each has the whole text read again


def parse(text: str, file: str) -> tuple[dict[str, Any] | None, Places, list[Problem]]:
    """Return the tables, the places of their values, and the slips found on the way.

    Tables are None when a slip leaves the rest unreadable.
    """
    draft = _Draft(text)
    places = Places(file, text)
    problems = _beyond_any_plan(text, places)
    if problems:
        return None, places, problems
    data: dict[str, Any] | None = None
    # A long text costs more to read again than its writer gains from one more slip.
    most = _MOST_MENDS if len(text) < 500_000 else 3
    lossy = False
    for _ in range(most):
        try:
            places.values, places.keys = find_places(draft.text)
            data = tomllib.loads(draft.text, parse_float=_decimal)
            break
        except RecursionError:
            problems.append(_too_deep(text, places))
            return None, places, problems
        except (Stop, ValueError) as error:
            # What the reader refuses and our scanner does not has no place.
            if not isinstance(error, Stop):
                error = Stop(0, f"this is no TOML: {error}", (), 0, None, None)
            from rootroom.plan.toml.slips import find_mend

            mend = find_mend(draft.text, error)
            problems.append(_problem(mend, draft, places))
            if not mend.edits or not draft.apply(mend.edits):
                return None, places, problems
            lossy = lossy or mend.lossy
    if data is None or lossy:
        return None, places, problems
    if draft.batches:
        places.origin = draft.origin
    return data, places, problems


_MOST_THINGS = 200_000
_MOST_PARTS = 10
_MOST_LETTERS = 100_000
"""Keys and values of a plan, parts of a key, letters of a text or number: beyond any plan, and
from there on the standard library's reader may take minutes."""

_OPAQUE = re.compile(
    r'"{3}[\s\S]*?(?:"{3}|\Z)|"[^"\\\n]*(?:\\.[^"\\\n]*)*"|#[^\n]*|[=,.\[{]'
    r"|'{3}[\s\S]*?(?:'{3}|\Z)|'[^'\n]*'"
)
"""Texts and comments as a whole, and the signs that every thing in a plan stands beside."""
_BRACKETS = re.compile(_OPAQUE.pattern.replace("[=,.\\[{]", "[\\[\\]{}]"))
_LONG_KEY = re.compile(
    r"""(?<![\w-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){"""
    f"{_MOST_PARTS}}}",
    re.ASCII,
)
_LONG_TEXT = re.compile(
    r""""[^"\n]{N}|'[^'\n]{N}|(?<![^\s"'\[\]{}=,])[^\s"'\[\]{}=,#]{N}""".replace(
        "{N}", f"{{{_MOST_LETTERS}}}"
    )
)


def _beyond_any_plan(text: str, places: Places) -> list[Problem]:
    """Return why a text is refused before it is taken apart, which could take minutes."""
    if sum(map(text.count, "=,.[{")) > _MOST_THINGS:
        signs = (found for found in _OPAQUE.finditer(text) if found[0] in "=,.[{")
        last = next(islice(signs, _MOST_THINGS, None), None)
        if last is not None:
            where = places.at(*last.span())
            message = f"more than {_MOST_THINGS:,} keys and values"
            hint = f"{SEVERAL_PLANS}; {LONG_LIST}"
            return [Problem("too-many-things", "error", where, message, hint)]
    for found in _OPAQUE.finditer(text) if '"""' in text or "'''" in text else ():
        mark = found[0][:3]
        closed = len(found[0]) >= 6 and found[0].endswith(mark)
        if mark in ('"""', "'''") and (len(found[0]) > _MOST_LETTERS or not closed):
            where = places.at(found.start(), found.start() + 3)
            if closed:
                words = f"a text of over {_MOST_LETTERS:,} characters"
                return [Problem("text-too-long", "error", where, words)]
            words, hint = f"a text that is not closed: `{mark}`", f"close it with `{mark}`"
            return [Problem("open-quote", "error", where, words, hint)]
    for pattern, code, words in (
        (_LONG_KEY, "nested-too-deep", f"a key of more than {_MOST_PARTS} parts"),
        (_LONG_TEXT, "text-too-long", f"a text or number of over {_MOST_LETTERS:,} characters"),
    ):
        long = pattern.search(text)
        if long is not None and not _hidden(text, long.start()):
            where = places.at(*long.span())
            return [Problem(code, "error", where, f"{words}: `{visible(long[0], 60)}`")]
    return []


def _hidden(text: str, at: int) -> bool:
    """Return whether an offset lies inside a text or a comment."""
    for found in _OPAQUE.finditer(text):
        if found.end() > at:
            return found.start() < at
    return False


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("nan")


def _problem(mend: Mend, draft: _Draft, places: Places) -> Problem:
    start, end = draft.origin(mend.start), draft.origin(mend.end)
    where = places.at(start, max(end, start + 1))
    related = tuple(
        (places.at(draft.origin(offset), draft.origin(offset) + 1), words)
        for offset, words in mend.related
    )
    line = places.line(where.line)
    return Problem(mend.code, "error", where, mend.message, mend.hint, related, line)


def _too_deep(text: str, places: Places) -> Problem:
    """Return the mistake at the first bracket that no plan goes down to."""
    depth, at = 0, 0
    for found in _BRACKETS.finditer(text):
        depth += (found[0] in "[{") - (found[0] in "]}")
        if depth > _MOST_PARTS:
            at = found.start()
            break
    where = places.at(at, at + 1)
    words = "brackets in brackets, deeper than any plan goes"
    line = places.line(where.line)
    return Problem("nested-too-deep", "error", where, words, line=line if len(line) <= 200 else "")


@define
class _Draft:
    """The text as mended so far, and the way back to the text as written."""

    text: str
    batches: list[Sequence[Edit]] = field(factory=list)

    def apply(self, edits: Sequence[Edit]) -> bool:
        """Make the edits; False if they change nothing, so that reading again would not help."""
        before = self.text
        edits = sorted(edits, key=lambda edit: edit.start)
        pieces, at = [], 0
        for edit in edits:
            pieces += [self.text[at : edit.start], edit.new]
            at = edit.end
        pieces.append(self.text[at:])
        self.text = "".join(pieces)
        self.batches.append(edits)
        return self.text != before

    def origin(self, offset: int) -> int:
        """Return the offset in the text as written."""
        for edits in reversed(self.batches):
            offset = _before(offset, edits)
        return offset


def _before(offset: int, edits: Sequence[Edit]) -> int:
    """Return an offset as it was before some edits."""
    shift = 0
    for edit in edits:
        start = edit.start + shift
        if offset < start:
            break
        if offset < start + len(edit.new):
            return edit.start + min(offset - start, edit.end - edit.start)
        shift += len(edit.new) - (edit.end - edit.start)
    return offset - shift
