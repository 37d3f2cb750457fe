"""The record's file: lines are only ever added, and whatever is whole in it is used.

A line counts as kept once it has been forced to disk. A process that is killed, or a full disk,
can leave at most the line that was being written cut short; the next one then begins on a line of
its own, so a cut line stays where it is and is told by its number.
Two processes may write at once: each adds its lines in one piece under a lock.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import field, frozen

from rootroom.problems import Location, Problem, TextError
from rootroom.record.events import Event, decode, decode_all, encode, event_from, id_in
from rootroom.record.fields import KINDS

if TYPE_CHECKING:
    from rootroom.plan.model import Plan

SHOWN = 60
"""Characters of a damaged line that a report shows."""


YEAR = timedelta(days=366)


@frozen
class Record:
    """All events of a record in the order of its lines, each id once.

    `repeated` counts lines whose event was there already. `problems` tells what could not be used.
    `set_aside` holds those lines by the names that they can be taken back by.
    """

    file: str
    events: tuple[Event, ...]
    problems: tuple[Problem, ...] = ()
    repeated: int = 0
    set_aside: Mapping[str, int] = field(factory=dict)


def line_name(number: int) -> str:
    """Return the name that any line can be taken back by, whatever it holds: `line 12`."""
    return f"line {number}"


def far_off(event: Event, plan: Plan) -> date | None:
    """Return a date of an event more than a year off the plan's work dates, if it tells one."""
    first, last = plan.work.first - YEAR, plan.work.last + YEAR
    return next((day for day in event.days if not first <= day <= last), None)


def read_record(path: str | os.PathLike[str], plan: Plan | None = None) -> Record:
    """Return what a record holds; a file that is not there is an empty record.

    With a `plan`, a line whose dates lie more than a year off its work dates is set aside too.
    Raises OSError for a file that cannot be read.
    """
    file = Path(path)
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return Record(str(file), ())
    events: dict[str, Event] = {}
    found: list[tuple[str | None, Problem]] = []
    repeated = 0
    *whole, rest = content.split(b"\n")
    parsed = decode_all(whole)
    for number, line in enumerate(whole, 1):
        try:
            if parsed is not None:
                event = event_from(parsed[number - 1], number)
            elif line.strip():
                event = decode(line.removesuffix(b"\r"), number)
            else:
                continue
            _check_dates(event, plan)
        except TextError as wrong:
            found.append((id_in(line), _problem(file, number, line, wrong.code, wrong.message)))
            continue
        if event.id in events:
            repeated += 1
            continue
        events[event.id] = event
        if event.kind not in KINDS:
            message = f"unknown kind of event, counted for nothing: `{event.kind}`"
            found.append((event.id, _problem(file, number, line, "unknown-event", message)))
    if rest.strip():
        number = len(whole) + 1
        try:
            event = decode(rest, number)
            _check_dates(event, plan)
            events.setdefault(event.id, event)
        except TextError:
            found.append((None, _problem(file, number, rest, "cut-line")))
    return _record(file, events, found, repeated)


def _check_dates(event: Event, plan: Plan | None) -> None:
    far = None if plan is None else far_off(event, plan)
    if far is not None:
        message = f"a date more than a year off the plan's work dates: {far}"
        raise TextError(message, code="far-date")


def _record(
    file: Path,
    events: Mapping[str, Event],
    found: Sequence[tuple[str | None, Problem]],
    repeated: int,
) -> Record:
    """Return a record without the problems of lines that were taken back or told again."""
    gone = {event.replaces for event in events.values() if event.replaces is not None}
    problems, aside = [], {}
    for identity, problem in found:
        name = line_name(problem.where.line)
        aside[name] = problem.where.line
        told_again = identity in events and problem.code != "unknown-event"
        if identity is not None and not told_again:
            aside[identity] = problem.where.line
        if not told_again and name not in gone and identity not in gone:
            problems.append(problem)
    return Record(str(file), tuple(events.values()), tuple(problems), repeated, aside)


def append(path: str | os.PathLike[str], events: Iterable[Event]) -> None:
    """Add events to a record, made if need be; when this returns they are on the disk.

    Takes the same time whatever the record's length.
    Raises OSError when the disk refuses, whose words say whether the lines are in the file.
    """
    lines = b"".join(encode(event) for event in events)
    if not lines:
        return
    file = Path(path)
    is_new = not file.exists()
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
    descriptor = os.open(file, flags, 0o666)
    try:
        with _locked(descriptor):
            before = os.fstat(descriptor).st_size
            try:
                _write(descriptor, lines if _ends_whole(descriptor) else b"\n" + lines)
                os.fsync(descriptor)
            except OSError as refused:
                words = f"{refused.strerror}, {_cut_back(descriptor, before)}"
                # The system's calls on an open file do not name it.
                raise OSError(refused.errno, words, str(file)) from None
    finally:
        os.close(descriptor)
    if is_new:
        _sync_folder(file.parent)


def _cut_back(descriptor: int, size: int) -> str:
    """Take a line that may not be on the disk out of the file again; return what is so now."""
    try:
        os.ftruncate(descriptor, size)
        os.fsync(descriptor)
    except OSError:
        return "and the note may be in the record or not: `record --list` shows it"
    return "nothing was noted"


def _write(descriptor: int, content: bytes) -> None:
    left = memoryview(content)
    while left:
        left = left[os.write(descriptor, left) :]


def _ends_whole(descriptor: int) -> bool:
    """Whether the file is empty or its last line has its end."""
    size = os.fstat(descriptor).st_size
    if not size:
        return True
    os.lseek(descriptor, size - 1, os.SEEK_SET)  # writing goes to the end whatever this says
    return os.read(descriptor, 1) == b"\n"


@contextlib.contextmanager
def _locked(descriptor: int) -> Iterator[None]:
    """Hold the file's lock; it goes with the process, however that ends."""
    try:
        import fcntl
    except ImportError:  # another system: its own lock, on a byte far beyond any record
        import msvcrt

        lock, far = msvcrt.locking, 2**30  # type: ignore[attr-defined]
        os.lseek(descriptor, far, os.SEEK_SET)
        lock(descriptor, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined]
        try:
            yield
        finally:
            os.lseek(descriptor, far, os.SEEK_SET)
            lock(descriptor, msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined]
        return
    fcntl.flock(descriptor, fcntl.LOCK_EX)
    try:
        yield
    finally:
        fcntl.flock(descriptor, fcntl.LOCK_UN)


def _sync_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):  # not every system lets a folder be opened
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _problem(
    file: Path,
    number: int,
    line: bytes,
    code: str,
    message: str = "the last line was cut short while it was written",
) -> Problem:
    aside = f'`record --take-back "{line_name(number)}"` ends this notice'
    hints = {
        "damaged-line": "the line is left out, everything else is used; note again what it told; "
        + aside,
        "newer-record": "a newer version of rootroom reads it",
        "far-date": f"the line is left out; note again what it told, with --on its day; {aside}",
        "cut-line": "note again what it told; the next note begins on a line of its own",
        "unknown-event": "",
    }
    text = line.decode("utf-8", "replace")
    shown = text if len(text) <= SHOWN else text[: SHOWN - 1] + "…"
    where = Location(str(file), number, 1, len(shown) + 1)
    return Problem(code, "warning", where, message, hints[code], line=shown)
