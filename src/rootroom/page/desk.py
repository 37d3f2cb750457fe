"""What lies on the desk: the text being written, its past, and what it is compared with.

Every change goes through `Desk.act`, one at a time and by one window; it hands back nothing, and
`Desk.state` tells what is there now. Texts are edited in `plan/editing.py`, read by the plan's own
reader, and nothing reaches the plan's file before somebody saves.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path as FilePath
from threading import RLock
from time import monotonic
from typing import TYPE_CHECKING, Any

from attrs import define, evolve, field

from rootroom.page.cells import as_written, placed, problem_data, tables_of
from rootroom.page.keeping import MOST_BYTES, Draft, Kept
from rootroom.page.wishes import as_typed, path_of, with_ends, without, words_of
from rootroom.plan import editing
from rootroom.plan.names import check_name, meant
from rootroom.plan.reader import read_plan_text
from rootroom.plan.renaming import rename
from rootroom.plan.starter import starter_plan
from rootroom.plan.toml import splicing
from rootroom.plan.toml.source import check_file, decode
from rootroom.problems import Problem, TextError

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

MOST_STEPS = 500
"""Changes that can be undone."""
MOST_VARIANTS = 6
AWAY_S = 20.0
"""A window that was not heard of for so long does not write any more [s]."""


@define
class Desk:
    """One plan being written."""

    kept: Kept
    text: str = ""
    past: list[str] = field(factory=list)
    future: list[str] = field(factory=list)
    typing: dict[str, str] = field(factory=dict)
    variants: dict[str, str] = field(factory=dict)
    offered: Draft | None = None
    told: str = ""
    number: int = 0
    lock: RLock = field(factory=RLock)
    _writer: tuple[str, float] | None = None
    _read: tuple[str, Plan | None, tuple[Problem, ...]] | None = None

    @classmethod
    def open(cls, path: FilePath) -> Desk:
        """Return the desk with a plan's file on it; TextError for what no page can show."""
        wrong = check_file(path, MOST_BYTES, "a plan for the page")
        if wrong is not None and wrong.code != "no-file":
            raise TextError(wrong.message, code=wrong.code, hint=wrong.hint)
        desk = cls(Kept.read(path))
        desk.text = _decoded(desk.kept.path, desk.kept.content)
        draft = desk.kept.read_draft()
        if draft is not None and (draft.text != desk.text or draft.typing or draft.variants):
            desk.offered = draft
        return desk

    # ---- what is there

    def state(self, window: str) -> dict[str, Any]:
        """Return all that a window shows."""
        with self.lock:
            elsewhere = self.kept.changed_elsewhere()
            plan, problems = self.plan()
            found: dict[str, Any] = {
                **self.short_state(window),
                "file": self.kept.path.name,
                "folder": str(self.kept.path.parent),
                "readable": True,
                "fine": plan is not None,
                "tables": {},
                "variants": list(self.variants),
                "offered": self.offered is not None,
                "offered_new": self.offered is not None and self.offered.base == self.kept.digest,
                "elsewhere": elsewhere is not None,
                "typing": self.typing,
                "told": self.told,
                "empty": not self.text.strip(),
            }
            try:
                page = splicing.read(self.text)
            except TextError:
                found |= {"readable": False, "text": self.text}
                found["problems"] = [{**problem_data(one), "path": []} for one in problems]
            else:
                found["tables"] = tables_of(page)
                found["problems"] = placed(page, problems, str(self.kept.path))
            return found

    def short_state(self, window: str) -> dict[str, Any]:
        """Return what a window asks for again and again."""
        with self.lock:
            return {
                "number": self.number,
                "writes": self._may_write(window),
                "elsewhere": self.kept.changed_elsewhere() is not None,
                "saved": self.text == _decoded(self.kept.path, self.kept.content),
                "undo": bool(self.past),
                "redo": bool(self.future),
            }

    def plan(self) -> tuple[Plan | None, tuple[Problem, ...]]:
        """Return what the plan's own reader says of the text."""
        with self.lock:
            if self._read is None or self._read[0] != self.text:
                source = decode(self.kept.path, self.text.encode())
                if isinstance(source, Problem):
                    self._read = (self.text, None, (source,))
                else:
                    self._read = (self.text, *read_plan_text(source, self.kept.path))
            return self._read[1], self._read[2]

    # ---- what is done

    def act(self, window: str, what: str, given: Mapping[str, Any]) -> None:
        """Do one thing for a window; TextError with words for people where it cannot be done."""
        with self.lock:
            if what == "pen":
                self._writer = (window, monotonic())
                return
            if what not in ACTS:
                raise TextError(f"unknown: `{what}`", code="unknown-act")
            if not self._may_write(window):
                raise TextError(
                    "another window writes this plan",
                    code="not-writing",
                    hint="take the writing over here, or go on there",
                )
            self.told = ""
            if what != "typing" and given.get("number", self.number) != self.number:
                raise TextError("the plan has changed meanwhile", code="changed-meanwhile")
            try:
                ACTS[what](self, given)
            except TextError:
                raise
            except (ValueError, LookupError, TypeError, AttributeError) as error:
                raise TextError(
                    "this cannot be changed here",
                    code="unknown-act",
                    hint="change it in the file's own text, at the end of this page",
                ) from error
            if what != "typing":
                self.number += 1

    def leave(self, window: str) -> None:
        """Let another window write."""
        with self.lock:
            if self._writer is not None and self._writer[0] == window:
                self._writer = None

    def set(self, given: Mapping[str, Any]) -> None:
        """Set a value, or take it away where nothing is given."""
        path, value = path_of(given), words_of(given, "value")
        new = (
            editing.set_value(self.text, path, as_written(path, value), make=True)
            if value.strip()
            else without(self.text, path)
        )
        self.typing.pop(words_of(given, "typed", empty=True), None)
        self._change(new)

    def add(self, given: Mapping[str, Any]) -> None:
        """Add a row with one value, or a mix or another named table."""
        table, key, value = path_of(given), words_of(given, "key"), words_of(given, "value")
        self.typing.pop(words_of(given, "typed", empty=True), None)
        if not value.strip():
            return
        if key == "name" and table[0] in editing.NAMED and len(table) == 1:
            check_name(value, empty=False)
            if meant(value, splicing.read(self.text).data.get(table[0], {})):
                raise TextError(f"there is one of that name: `{value}`", code="duplicate-name")
            self._change(editing.add_named(self.text, str(table[0]), value))
        else:
            self._change(editing.add_row(self.text, table, {key: value}))

    def rename(self, given: Mapping[str, Any]) -> None:
        """Give a mix or another named table another name, everywhere."""
        kind, old = path_of(given)
        self.typing.pop(words_of(given, "typed", empty=True), None)
        self._change(rename(self.text, str(kind), str(old), words_of(given, "value").strip()))

    def remove(self, given: Mapping[str, Any]) -> None:
        """Take a row or a table away."""
        self._change(without(self.text, path_of(given)))

    def move(self, given: Mapping[str, Any]) -> None:
        """Put a row in another place."""
        self._change(editing.move_row(self.text, path_of(given), int(given["to"])))

    def further(self, given: Mapping[str, Any]) -> None:
        """Give a plant one move more; a single one that stands on the plant is moved there."""
        self._change(editing.further_move(self.text, path_of(given)))

    def whole(self, given: Mapping[str, Any]) -> None:
        """Take another text for the whole file."""
        text = words_of(given, "text", most=MOST_BYTES)
        self._change(with_ends(text, self.text))

    def starter(self, given: Mapping[str, Any]) -> None:
        """Begin with the commented plan that `rootroom new` writes."""
        if not self.text.strip():
            self._change(starter_plan())

    def undo(self, given: Mapping[str, Any]) -> None:
        """Go back by one change."""
        if self.past:
            self.future.append(self.text)
            self.text = self.past.pop()
            self._keep()

    def redo(self, given: Mapping[str, Any]) -> None:
        """Make the change again that was undone."""
        if self.future:
            self.past.append(self.text)
            self.text = self.future.pop()
            self._keep()

    def save(self, given: Mapping[str, Any]) -> None:
        """Write the plan; what somebody else has written meanwhile is kept beside it."""
        other = self.kept.changed_elsewhere()
        if other is not None:
            if not given.get("beside"):
                raise TextError(
                    "the file was changed elsewhere and was not written",
                    code="changed-elsewhere",
                    hint="keep both, or take what the file says now",
                )
            name = self.kept.put_aside(other, "elsewhere")
            self.told = f"Saved. What was written elsewhere is kept as {name}."
        self.kept.write(self.text.encode())
        self.told = self.told or "Saved."
        self._keep()

    def take_file(self, given: Mapping[str, Any]) -> None:
        """Take what the file says now; what was written here is kept beside it."""
        other = self.kept.changed_elsewhere()
        if other is None:
            return
        text = _decoded(self.kept.path, other)
        if self.text != _decoded(self.kept.path, self.kept.content):
            name = self.kept.put_aside(self.text.encode(), "mine")
            self.told = f"What was written here is kept as {name}."
        self.kept.take()
        self._change(text)

    def draft(self, given: Mapping[str, Any]) -> None:
        """Go on with the draft that was offered."""
        if self.offered is None:
            return
        draft, self.offered = self.offered, None
        if draft.base != self.kept.digest and self.kept.content:
            name = self.kept.put_aside(self.kept.content, "elsewhere")
            self.told = f"What the file says now is kept as {name}."
        self.typing, self.variants = dict(draft.typing), dict(draft.variants)
        text = draft.text
        for typed, value in draft.typing.items():
            text = as_typed(text, typed, value)
        self._change(text)

    def no_draft(self, given: Mapping[str, Any]) -> None:
        """Leave the draft that was offered; it is kept beside the plan."""
        self._put_draft_aside()
        self._keep()

    def typed(self, given: Mapping[str, Any]) -> None:
        """Keep what is being typed, before it is a value of the plan."""
        self._put_draft_aside()
        typed = words_of(given, "typed")
        value = given.get("value")
        if value is None:
            self.typing.pop(typed, None)
        else:
            self.typing[typed] = words_of(given, "value", most=MOST_BYTES)
        self._keep()

    def late(self, given: Mapping[str, Any]) -> None:
        """Take letters that a browser kept while no program was there: into the draft, if any."""
        typed, value = words_of(given, "typed"), words_of(given, "value", most=MOST_BYTES)
        if self.offered is None:
            self.typing[typed] = value
            self._keep()
        else:
            late = {**self.offered.typing, typed: value}
            self.offered = evolve(self.offered, typing=late)
            self.kept.write_draft(self.offered)

    def set_aside(self, given: Mapping[str, Any]) -> None:
        """Keep the present state under a name, to compare it with what is changed from now on."""
        name = words_of(given, "name").strip() or f"before {len(self.variants) + 1}"
        check_name(name, empty=False)
        if len(self.variants) >= MOST_VARIANTS and name not in self.variants:
            message = f"at most {MOST_VARIANTS} are kept side by side"
            raise TextError(message, code="too-many-things", hint="drop one of them first")
        self.variants[name] = self.text
        self._keep()

    def take(self, given: Mapping[str, Any]) -> None:
        """Go back to what was kept under a name, and keep the present state under that name."""
        name = words_of(given, "name")
        if name in self.variants:
            text, self.variants[name] = self.variants[name], self.text
            self._change(text)

    def drop(self, given: Mapping[str, Any]) -> None:
        """Forget what was kept under a name."""
        self.variants.pop(words_of(given, "name"), None)
        self._keep()

    # ---- within

    def _may_write(self, window: str) -> bool:
        now = monotonic()
        free = self._writer is None or now - self._writer[1] > AWAY_S
        if free or (self._writer is not None and self._writer[0] == window):
            self._writer = (window, now)
            return True
        return False

    def _change(self, text: str) -> None:
        if len(text.encode()) > MOST_BYTES:
            raise TextError("too long for this page", code="file-too-large")
        self._put_draft_aside()
        if text != self.text:
            self.past = [*self.past[-MOST_STEPS:], self.text]
            self.future = []
            self.text = text
        self._keep()

    def _keep(self) -> None:
        """Keep what is not saved in the draft, and no draft where all is saved."""
        self._put_draft_aside()
        saved = self.text.encode() == self.kept.content
        if saved and not self.typing and not self.variants:
            self.kept.drop_draft()
        else:
            draft = Draft(self.kept.digest, self.text, self.typing, self.variants)
            self.kept.write_draft(draft)

    def _put_draft_aside(self) -> None:
        if self.offered is not None:
            self.offered = None
            name = self.kept.put_aside(self.kept.draft_path.read_bytes(), "old-draft")
            self.told = f"The draft from before is kept as {name}."


ACTS: Mapping[str, Callable[[Desk, Mapping[str, Any]], None]] = {
    "set": Desk.set, "add": Desk.add, "rename": Desk.rename, "remove": Desk.remove,
    "move": Desk.move, "further": Desk.further,
    "whole": Desk.whole, "starter": Desk.starter,
    "undo": Desk.undo, "redo": Desk.redo, "save": Desk.save,
    "take-file": Desk.take_file, "draft": Desk.draft, "no-draft": Desk.no_draft,
    "typing": Desk.typed, "late": Desk.late, "set-aside": Desk.set_aside,
    "take": Desk.take, "drop": Desk.drop,
}  # fmt: skip


def _decoded(path: FilePath, content: bytes) -> str:
    """Return a plan's bytes as the text that is edited, line ends and all."""
    if len(content) > MOST_BYTES:
        message = f"this plan has more than {MOST_BYTES / 1e6:.0f} MB: too long for a page"
        hint = 'a long list of plants belongs into a CSV beside it: `rows = "plants.csv"`'
        raise TextError(message, code="file-too-large", hint=hint)
    found = decode(path, content)
    if isinstance(found, Problem):
        raise TextError(found.message, code=found.code, hint=found.hint)
    return content.decode()
