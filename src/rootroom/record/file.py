"""The record's file: lines are only ever added, and whatever is whole in it is used.

A line counts as kept once it has been forced to disk. A process that is killed, or a full disk,
can leave at most the line that was being written cut short; the next one then begins on a line of
its own, so a cut line stays where it is and is told by its number.
Two processes may write at once: each adds its lines in one piece under a lock.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from attrs import frozen

from rootroom.problems import Location, Problem, TextError
from rootroom.record.events import KINDS, Event, decode, decode_all, encode, event_from

__all__ = ["Record", "append", "last_lines", "read_record", "record_path"]

SHOWN = 60
"""Characters of a damaged line that a report shows."""


@frozen
class Record:
    """All events of a record in the order of its lines, each id once.

    `repeated` counts lines whose event was there already. `problems` tells what could not be used.
    """

    file: str
    events: tuple[Event, ...]
    problems: tuple[Problem, ...] = ()
    repeated: int = 0

    @property
    def ids(self) -> frozenset[str]:
        """The ids of all events."""
        return frozenset(event.id for event in self.events)


def record_path(plan: str | os.PathLike[str]) -> Path:
    """Return where the record of a plan file lies: beside it, `spring.record.jsonl`."""
    return Path(plan).with_suffix(".record.jsonl")


def read_record(path: str | os.PathLike[str]) -> Record:
    """Return what a record holds; a file that is not there is an empty record.

    Raises OSError for a file that cannot be read.
    """
    file = Path(path)
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return Record(str(file), ())
    events: dict[str, Event] = {}
    problems: list[Problem] = []
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
        except TextError as wrong:
            problems.append(_problem(file, number, line, wrong))
            continue
        if event.id in events:
            repeated += 1
            continue
        events[event.id] = event
        if event.kind not in KINDS:
            problems.append(_unknown(file, number, line, event.kind))
    if rest.strip():
        number = len(whole) + 1
        try:
            event = decode(rest, number)
            events.setdefault(event.id, event)
        except TextError:
            problems.append(_cut_short(file, number, rest))
    return Record(str(file), tuple(events.values()), tuple(problems), repeated)


def append(path: str | os.PathLike[str], events: Iterable[Event]) -> None:
    """Add events to a record, made if need be; when this returns they are on the disk.

    Takes the same time whatever the record's length.
    Raises OSError when the disk refuses; then a line may be cut short, and is told when read.
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
            _write(descriptor, lines if _ends_whole(descriptor) else b"\n" + lines)
            os.fsync(descriptor)
    except OSError as refused:
        refused.filename = str(file)  # the system's calls on an open file do not name it
        raise
    finally:
        os.close(descriptor)
    if is_new:
        _sync_folder(file.parent)


def last_lines(path: str | os.PathLike[str], length: int = 4096) -> Sequence[bytes]:
    """Return the whole lines among the last `length` bytes of a record, the last one last."""
    try:
        with open(path, "rb") as file:
            file.seek(0, os.SEEK_END)
            start = max(file.tell() - length, 0)
            file.seek(start)
            lines = file.read().split(b"\n")
    except FileNotFoundError:
        return ()
    return lines[1 if start else 0 : -1]


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


def _problem(file: Path, number: int, line: bytes, wrong: TextError) -> Problem:
    hints = {
        "damaged-line": "the line is left out, everything else is used; note again what it told",
        "newer-record": "a newer version of rootroom reads it",
    }
    return _told(file, number, line, wrong.code, wrong.message, hints[wrong.code])


def _cut_short(file: Path, number: int, line: bytes) -> Problem:
    return _told(
        file,
        number,
        line,
        "cut-line",
        "the last line was cut short while it was written",
        "note again what it told; the next note begins on a line of its own",
    )


def _unknown(file: Path, number: int, line: bytes, kind: str) -> Problem:
    message = f"unknown kind of event, counted for nothing: `{kind}`"
    return _told(file, number, line, "unknown-event", message, "")


def _told(file: Path, number: int, line: bytes, code: str, message: str, hint: str) -> Problem:
    text = line.decode("utf-8", "replace")
    shown = text if len(text) <= SHOWN else text[: SHOWN - 1] + "…"
    where = Location(str(file), number, 1, len(shown) + 1)
    return Problem(code, "warning", where, message, hint, line=shown)
