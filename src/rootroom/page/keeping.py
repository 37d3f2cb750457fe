"""The files of plan and lists, and the draft: nothing typed is lost, nothing of others overwritten.

The draft is `PLAN.draft` beside the plan, whole after every change and while somebody types. It is
taken away once the plan is saved and says the same. What it holds is offered at the next start.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from attrs import asdict, define, evolve, field, frozen

from rootroom.plan.toml.source import decode
from rootroom.problems import Problem, TextError
from rootroom.sheets.files import put_file, put_files, write_new_file

FORMAT = 1
MOST_BYTES = 2_000_000
"""The largest plan that the page shows; a longer list of plants belongs into a CSV."""
LIST_HINT = (
    "go on in a text editor and with `rootroom check`, or move the plants into a CSV beside the "
    'plan, where one entry stands for all of them: `plants = [ { rows = "plants.csv" } ]`'
)
MOST_COPIES = 1000
"""Copies beside a plan; so many mean that something makes them by itself."""


@frozen
class Work:
    """What is written: the plan's text, and by name the text of each list that was edited here."""

    text: str = ""
    lists: Mapping[str, str] = field(factory=dict)

    def with_text(self, text: str) -> Work:
        """Return the work with another text of the plan."""
        return self if text == self.text else evolve(self, text=text)

    def with_list(self, name: str, text: str) -> Work:
        """Return the work with another text of a list."""
        return evolve(self, lists={**self.lists, name: text})

    def knowing(self, lists: Mapping[str, str]) -> Work:
        """Return the work with what lists said before they were edited, where it tells nothing."""
        return evolve(self, lists={**lists, **self.lists})


def _variants(data: Mapping[str, Any]) -> dict[str, Work]:
    return {
        name: one if isinstance(one, Work) else Work(one) if isinstance(one, str) else Work(**one)
        for name, one in data.items()
    }


@frozen
class Draft:
    """What is not saved: texts, what is being typed by path, and what was set aside to compare.

    `base` and `bases` are the digests of the files that the texts were made from.
    """

    base: str
    text: str
    typing: Mapping[str, str] = field(factory=dict)
    variants: Mapping[str, Work] = field(factory=dict, converter=_variants)
    lists: Mapping[str, str] = field(factory=dict)
    bases: Mapping[str, str] = field(factory=dict)


@define
class Kept:
    """A plan's file, as it was when it was last read or written here."""

    path: Path
    content: bytes = b""
    stamp: tuple[int, int] | None = None
    own_draft: bytes = b""

    @classmethod
    def read(cls, path: Path) -> Kept:
        """Return a file as it is now; of one that is not there, an empty one."""
        kept = cls(path.resolve())
        kept.take()
        return kept

    @property
    def draft_path(self) -> Path:
        """Where the draft is."""
        return self.path.with_name(self.path.name + ".draft")

    def changed_elsewhere(self) -> bytes | None:
        """Return what somebody else has written into the file since; None if nobody has."""
        stamp = _stamp(self.path)
        if stamp == self.stamp:
            return None
        content = _content(self.path)
        if content == self.content:
            self.stamp = stamp
            return None
        return content

    def take(self) -> None:
        """Know the file as it is now."""
        self.stamp, self.content = _stamp(self.path), _content(self.path)

    def mode(self) -> int | None:
        """Return the permissions of the file, None where it is new; OSError if it is not ours."""
        mode = self.path.stat().st_mode if self.path.exists() else None
        if mode is not None and not os.access(self.path, os.W_OK):
            raise PermissionError(errno.EACCES, "the file may not be written", str(self.path))
        return mode

    def put_aside(self, content: bytes, what: str) -> str:
        """Keep something in a new file beside the plan, and return the file's name."""
        for number in range(1, MOST_COPIES):
            beside = self.path.with_name(f"{self.path.name}.{what}-{number}")
            if beside.exists() and beside.read_bytes() == content:
                return beside.name
            if write_new_file(beside, content):
                return beside.name
        raise OSError(f"{MOST_COPIES} copies of {self.path.name} are there already")

    def read_draft(self) -> Draft | None:
        """Return the draft that is there; None without one. One that is damaged is put aside."""
        try:
            raw = self.draft_path.read_bytes()
        except FileNotFoundError:
            return None
        try:
            data = json.loads(raw)
            if data.pop("format") != FORMAT:
                raise ValueError("a draft of another version")
            self.own_draft = raw
            return Draft(**data)
        except (ValueError, TypeError, KeyError, AttributeError):
            self.put_aside(raw, "damaged-draft")
            return None

    def write_draft(self, draft: Draft) -> None:
        """Put the draft in the place of our own; one that another program wrote is kept beside."""
        self._keep_others_draft()
        data = {"format": FORMAT, **asdict(draft)}
        raw = (json.dumps(data, ensure_ascii=False) + "\n").encode()
        put_file(self.draft_path, raw)
        self.own_draft = raw

    def drop_draft(self) -> None:
        """Take our own draft away."""
        self._keep_others_draft()
        self.draft_path.unlink(missing_ok=True)
        self.own_draft = b""

    def _keep_others_draft(self) -> None:
        there = _content(self.draft_path)
        if there and there != self.own_draft:
            self.put_aside(there, "old-draft")

    @property
    def digest(self) -> str:
        """What tells this content of the file from any other."""
        return hashlib.sha256(self.content).hexdigest()


def write_all(files: Sequence[tuple[Kept, bytes]]) -> None:
    """Write files whole and all or none; permissions stay. OSError if the disk refuses."""
    modes = [kept.mode() for kept, _ in files]
    put_files({kept.path: content for kept, content in files})
    for (kept, content), mode in zip(files, modes, strict=True):
        if mode is not None:
            with contextlib.suppress(OSError):
                kept.path.chmod(mode & 0o7777)
        kept.content, kept.stamp = content, _stamp(kept.path)


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        facts = os.stat(path)
    except FileNotFoundError:
        return None
    return facts.st_mtime_ns, facts.st_size


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""


def decoded(path: Path, content: bytes) -> str:
    """Return a plan's bytes as the text that is edited, line ends and all."""
    if len(content) > MOST_BYTES:
        message = f"this plan has more than {MOST_BYTES / 1e6:.0f} MB: too long for a page"
        raise TextError(message, code="file-too-large", hint=LIST_HINT)
    found = decode(path, content)
    if isinstance(found, Problem):
        raise TextError(found.message, code=found.code, hint=found.hint)
    return content.decode()
