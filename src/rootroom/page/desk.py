"""What lies on the desk: the text being written, its past, and what it is compared with.

Every change goes through `Desk.act`, one at a time and by one window; it hands back nothing, and
`Desk.state` tells what is there now. Changes are made in `changes.py`, read by the plan's own
reader, and nothing reaches the files of plan and lists before somebody saves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path as FilePath
from threading import RLock
from time import monotonic
from typing import TYPE_CHECKING, Any

from attrs import define, evolve, field

from rootroom.page.cells import placed, problem_data, tables_of
from rootroom.page.changes import CHANGES, act_of, words_of
from rootroom.page.keeping import LIST_HINT, MOST_BYTES, Draft, Kept, Work, decoded, write_all
from rootroom.page.lists import Lists
from rootroom.plan.names import check_name
from rootroom.plan.reader import read_plan_text
from rootroom.plan.toml import splicing
from rootroom.plan.toml.source import check_file, decode
from rootroom.problems import Problem, TextError

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

MOST_STEPS = 500
"""Changes that can be undone."""
MOST_VARIANTS = 6
"""Variants kept side by side: each is planned whole, and a screen shows no more columns."""
AWAY_S = 20.0
"""A window that was not heard of for so long does not write any more [s]."""


@define
class Desk:
    """One plan being written."""

    kept: Kept
    lists: Lists
    work: Work = field(factory=Work)
    past: list[Work] = field(factory=list)
    future: list[Work] = field(factory=list)
    typing: dict[str, str] = field(factory=dict)
    variants: dict[str, Work] = field(factory=dict)
    offered: Draft | None = None
    told: str = ""
    number: int = 0
    lock: RLock = field(factory=RLock)
    _writer: tuple[str, float] | None = None
    _read: tuple[Work, Plan | None, tuple[Problem, ...]] | None = None

    @classmethod
    def open(cls, path: FilePath) -> Desk:
        """Return the desk with a plan's file on it; TextError for what no page can show."""
        wrong = check_file(path, MOST_BYTES, "a plan for the page")
        if wrong is not None and wrong.code != "no-file":
            hint = LIST_HINT if wrong.code == "file-too-large" else wrong.hint
            raise TextError(wrong.message, code=wrong.code, hint=hint)
        kept = Kept.read(path)
        desk = cls(kept, Lists(kept.path.parent))
        desk.work = Work(decoded(kept.path, kept.content))
        draft = kept.read_draft()
        if draft is not None:
            desk.lists.find(_data(draft.text))
            work = Work(draft.text, draft.lists)
            if draft.typing or draft.variants or not desk._is_saved(work):
                desk.offered = draft
        return desk

    # ---- what is there

    @property
    def text(self) -> str:
        """The plan's text."""
        return self.work.text

    def state(self, window: str) -> dict[str, Any]:
        """Return all that a window shows."""
        with self.lock:
            short = self.short_state(window)
            plan, problems = self.plan()
            found: dict[str, Any] = {
                **short,
                "file": self.kept.path.name,
                "folder": str(self.kept.path.parent),
                "readable": True,
                "fine": plan is not None,
                "tables": {},
                "variants": list(self.variants),
                "offered": self.offered is not None,
                "offered_new": self.offered is not None and self.offered.base == self.kept.digest,
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
                lists = self.lists.shown(page.data, self.work)
                found["tables"] = tables_of(page, lists)
                found["problems"] = placed(page, problems, self.kept.path, lists)
            return found

    def short_state(self, window: str) -> dict[str, Any]:
        """Return what a window asks for again and again."""
        with self.lock:
            followed = self.lists.follow(self.work)
            if followed:
                self.number += 1
                self.told = f"{' and '.join(followed)} was changed elsewhere, and is read anew."
            return {
                "number": self.number,
                "writes": self._may_write(window),
                "elsewhere": [kept.path.name for kept, _ in self._changed_elsewhere()],
                "saved": self._is_saved(self.work),
                "undo": bool(self.past),
                "redo": bool(self.future),
            }

    def plan(self) -> tuple[Plan | None, tuple[Problem, ...]]:
        """Return what the plan's own reader says of the work."""
        with self.lock:
            work = self.whole_work(self.work)
            if self._read is None or self._read[0] != work:
                source = decode(self.kept.path, work.text.encode())
                if isinstance(source, Problem):
                    self._read = (work, None, (source,))
                else:
                    found = read_plan_text(source, self.kept.path, lists=work.lists)
                    self._read = (work, *found)
            return self._read[1], self._read[2]

    def whole_work(self, work: Work) -> Work:
        """Return work with the text of every list that its plan names."""
        with self.lock:
            data = _data(work.text)
            self.lists.find(data)
            return Work(work.text, self.lists.texts(data, work))

    # ---- what is done

    def act(self, window: str, what: str, given: Mapping[str, Any]) -> None:
        """Do one thing for a window; TextError with words for people where it cannot be done."""
        with self.lock:
            if what == "pen":
                self._writer = (window, monotonic())
                return
            if what not in ACTS and what not in CHANGES:
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
                if what in CHANGES:
                    self.typing.pop(words_of(given, "typed", empty=True), None)
                    self.lists.find(_data(self.text))
                    self._change(CHANGES[what](self.work, given, self.lists))
                else:
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

    def undo(self, given: Mapping[str, Any]) -> None:
        """Go back by one change."""
        if self.past:
            self.future.append(self.work)
            self.work = self.past.pop()
            self._keep()

    def redo(self, given: Mapping[str, Any]) -> None:
        """Make the change again that was undone."""
        if self.future:
            self.past.append(self.work)
            self.work = self.future.pop()
            self._keep()

    def save(self, given: Mapping[str, Any]) -> None:
        """Write plan and lists; what somebody else has written meanwhile is kept beside it."""
        others = list(self._changed_elsewhere())
        if others and not given.get("beside"):
            raise TextError(
                "the file was changed elsewhere and was not written",
                code="changed-elsewhere",
                hint="keep both, or take what the file says now",
            )
        names = [kept.put_aside(other, "elsewhere") for kept, other in others]
        if names:
            self.told = f"Saved. What was written elsewhere is kept as {' and '.join(names)}."
        changed = [kept for kept, _ in others]
        # The plan takes its name last: it says which lists go with it.
        files = [*self.lists.edited(self.work), (self.kept, self.text.encode())]
        write_all([one for one in files if one[0] in changed or one[0].content != one[1]])
        self.told = self.told or "Saved."
        self._keep()

    def take_file(self, given: Mapping[str, Any]) -> None:
        """Take what the files say now; what was written here is kept beside them."""
        others, work = list(self._changed_elsewhere()), self.work
        names = []
        for kept, other in others:
            name = next((name for name, one in self.lists.kept.items() if one is kept), None)
            mine = (work.text if name is None else work.lists[name]).encode()
            text = decoded(kept.path, other)
            work = work.with_text(text) if name is None else work.with_list(name, text)
            if mine != kept.content:
                names.append(kept.put_aside(mine, "mine"))
            kept.take()
        if names:
            self.told = f"What was written here is kept as {' and '.join(names)}."
        if others:
            self._change(work)

    def draft(self, given: Mapping[str, Any]) -> None:
        """Go on with the draft that was offered."""
        if self.offered is None:
            return
        draft, self.offered = self.offered, None
        self.lists.find(_data(draft.text))
        bases = [(self.kept, draft.base)]
        bases += [(self.lists.kept[n], b) for n, b in draft.bases.items() if n in self.lists.kept]
        names = [
            kept.put_aside(kept.content, "elsewhere")
            for kept, base in bases
            if base != kept.digest and kept.content
        ]
        if names:
            self.told = f"What the file says now is kept as {' and '.join(names)}."
        self.typing, self.variants = dict(draft.typing), dict(draft.variants)
        lists = {name: text for name, text in draft.lists.items() if name in self.lists.kept}
        work = Work(draft.text, lists)
        for typed, value in draft.typing.items():
            act = act_of(typed, value)
            if act is not None:
                with suppress(ValueError, TypeError, LookupError, AttributeError):
                    work = CHANGES[act[0]](work, act[1], self.lists)
        self._change(work)

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
        self.variants[name] = self.work
        self._keep()

    def take(self, given: Mapping[str, Any]) -> None:
        """Go back to what was kept under a name, and keep the present state under that name."""
        name = words_of(given, "name")
        if name in self.variants:
            work, self.variants[name] = self.variants[name], self.work
            self._change(work)

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

    def _is_saved(self, work: Work) -> bool:
        files = [(self.kept, work.text.encode())]
        files += [
            (self.lists.kept[n], t.encode()) for n, t in work.lists.items() if n in self.lists.kept
        ]
        return all(kept.content == content for kept, content in files)

    def _changed_elsewhere(self) -> Iterator[tuple[Kept, bytes]]:
        """Yield the files that were edited here and by somebody else, with what they say now."""
        for kept in (self.kept, *(self.lists.kept[name] for name in self.work.lists)):
            other = kept.changed_elsewhere()
            if other is not None:
                yield kept, other

    def _change(self, work: Work) -> None:
        for text in (work.text, *work.lists.values()):
            if len(text.encode()) > MOST_BYTES:
                raise TextError("too long for this page", code="file-too-large", hint=LIST_HINT)
        self._put_draft_aside()
        first = {
            name: self.lists.text(name, self.work)
            for name in work.lists
            if name not in self.work.lists
        }
        if first:
            # Until now these lists were followed; from now on undoing goes back to what they said.
            self.past = [one.knowing(first) for one in self.past]
            self.variants = {name: one.knowing(first) for name, one in self.variants.items()}
            self.work = self.work.knowing(first)
        if work != self.work:
            self.past = [*self.past[-MOST_STEPS:], self.work]
            self.future = []
            self.work = work
        self._keep()

    def _keep(self) -> None:
        """Keep what is not saved in the draft, and no draft where all is saved."""
        self._put_draft_aside()
        if self._is_saved(self.work) and not self.typing and not self.variants:
            self.kept.drop_draft()
        else:
            bases = {name: self.lists.kept[name].digest for name in self.work.lists}
            draft = Draft(
                self.kept.digest, self.text, self.typing, self.variants, self.work.lists, bases
            )
            self.kept.write_draft(draft)

    def _put_draft_aside(self) -> None:
        if self.offered is not None:
            self.offered = None
            name = self.kept.put_aside(self.kept.draft_path.read_bytes(), "old-draft")
            self.told = f"The draft from before is kept as {name}."


ACTS: Mapping[str, Callable[[Desk, Mapping[str, Any]], None]] = {
    "undo": Desk.undo, "redo": Desk.redo, "save": Desk.save,
    "take-file": Desk.take_file, "draft": Desk.draft, "no-draft": Desk.no_draft,
    "typing": Desk.typed, "late": Desk.late, "set-aside": Desk.set_aside,
    "take": Desk.take, "drop": Desk.drop,
}  # fmt: skip


def _data(text: str) -> dict[str, Any]:
    """Return what a plan says; nothing where it is no TOML."""
    try:
        return splicing.read(text).data
    except TextError:
        return {}
