"""A file as text: what cannot be one is refused at once, with the reason.

Plans are UTF-8, with or without a byte order mark, with any kind of line end, and at most 10 MB.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from rootroom.plan.names import shown
from rootroom.problems import Location, Problem

MOST_BYTES = 10_000_000
LONG_LIST = (
    'a long list of plants belongs into a spreadsheet: `[[plants]]` with `rows = "plants.csv"`'
)
SEVERAL_PLANS = "keep gardens apart in plans of their own"
"""The largest plan file, and what is said to who needs more: of plants, and of all else."""

_MARKS = {
    b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16", b"PK\x03\x04": "zip or spreadsheet",
    b"%PDF": "PDF", b"\xd0\xcf\x11\xe0": "old spreadsheet",
}  # fmt: skip


def read_source(path: Path) -> str | Problem:
    """Return the text of a plan file with plain line ends, or why there is none."""
    found = check_file(path, MOST_BYTES, "a plan file")
    if found is not None:
        return found
    try:
        data = path.read_bytes()
    except OSError as error:
        return file_problem(path, "unreadable-file", f"cannot read the file: {reason(error)}")
    if not data.strip():
        return file_problem(
            path, "empty-file", "the file is empty", "`rootroom new` writes a plan to start from"
        )
    return decode(path, data)


def check_file(path: Path, most_bytes: int, what: str) -> Problem | None:
    """Return why a path is no plain file of a fair size, None if it is."""
    try:
        facts = os.stat(path)
    except (OSError, ValueError) as error:
        if isinstance(error, FileNotFoundError):
            return file_problem(path, "no-file", "there is no such file", neighbour_hint(path))
        return file_problem(path, "unreadable-file", f"cannot read the file: {reason(error)}")
    if stat.S_ISDIR(facts.st_mode):
        return file_problem(path, "not-a-file", "this is a folder, not a file")
    if not stat.S_ISREG(facts.st_mode):
        return file_problem(path, "not-a-file", "this is a device or a pipe, not a file")
    if facts.st_size > most_bytes:
        # Rounded up, so that a file just above the limit does not read as if it were at it.
        size = f"{-(-facts.st_size // 100_000) / 10:,.1f}".removesuffix(".0") + " MB"
        return file_problem(
            path,
            "file-too-large",
            f"{what} has at most {most_bytes / 1e6:,.0f} MB, this one {size}",
            LONG_LIST if what == "a plan file" else "",
        )
    return None


def decode(path: Path, data: bytes) -> str | Problem:
    """Return bytes as text, or what they are instead."""
    for mark, kind in _MARKS.items():
        if data.startswith(mark):
            return file_problem(
                path,
                "not-text",
                f"this is no plain text but {kind}",
                "save it as plain text in UTF-8",
            )
    if b"\0" in data:
        return file_problem(path, "not-text", "this is no text: it holds zero bytes")
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = _plain_breaks(data[: error.start])
        start = before.rfind(b"\n") + 1
        line = before.count(b"\n") + 1
        lead = before[start:].decode("utf-8", "replace")
        rest = _plain_breaks(data[error.start :]).partition(b"\n")[0].decode("utf-8", "replace")
        column = len(lead) + 1
        where = Location(str(path), line, column, column + 1)
        return Problem(
            "not-utf-8",
            "error",
            where,
            f"this is not UTF-8 text: byte `{data[error.start]:02x}`",
            "save the file as UTF-8; older programs call that `Unicode` or `UTF-8`",
            line=lead + rest,
        )
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _plain_breaks(data: bytes) -> bytes:
    return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


def file_problem(path: Path, code: str, message: str, hint: str = "") -> Problem:
    """Return an error of a file as a whole."""
    return Problem(code, "error", Location(str(path), 1, 1, 1), message, hint)


def reason(error: Exception) -> str:
    """Return the operating system's reason in its own words."""
    words = getattr(error, "strerror", None) or str(error)
    return str(words)[:1].lower() + str(words)[1:]


def neighbour_hint(path: Path) -> str:
    """Return a hint that names the file beside it of nearly the same name, if there is one."""
    from rootroom.plan.names import closest

    try:
        names = [name for name in os.listdir(path.parent) if name.endswith(path.suffix or ".toml")]
    except (OSError, ValueError):
        return "the folder does not exist either"
    near = closest(path.name, names[:1000])
    if not path.suffix and f"{path.name}.toml" in names:
        near = f"{path.name}.toml"
    return f"did you mean `{shown(near)}`?" if near else ""
