"""A folder of sheets is one set or says that it is not; what is not ours is never touched."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from rootroom.problems import TextError
from rootroom.sheets.files import INCOMPLETE, OURS, write_files

OLD = {"season.txt": b"old", "checklists/1.txt": b"old", "checklists/2.txt": b"old"}
NEW = {"season.txt": b"new", "checklists/1.txt": b"new", "tables/days.csv": b"new"}
POSIX = pytest.mark.skipif(os.name != "posix", reason="links and kills are of POSIX")

KILLED = """
import os, sys
from pathlib import Path
from rootroom.sheets.files import write_files
from tests.unit.sheets.test_files import NEW
left = int(sys.argv[2])
def counted(call):
    def stepping(*words, **more):
        global left
        left -= 1
        if left < 0:
            os._exit(9)
        return call(*words, **more)
    return stepping
os.replace, os.fsync, os.unlink = counted(os.replace), counted(os.fsync), counted(os.unlink)
write_files(Path(sys.argv[1]), NEW, keep=False)
"""


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder but the list of ours."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != OURS)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


@POSIX
@pytest.mark.parametrize("before", [{}, OLD], ids=["first run", "second run"])
def test_a_run_killed_anywhere_leaves_one_set_or_says_so(
    tmp_path: Path, before: dict[str, bytes]
) -> None:
    """Killed at each of its calls to the disk; the next run puts all in order."""
    steps, ended = 0, 9
    while ended:
        folder = tmp_path / str(steps)
        write_files(folder, before, keep=False)
        command = [sys.executable, "-c", KILLED, str(folder), str(steps)]
        ended = subprocess.run(command, check=False).returncode
        assert ended in (0, 9)
        there = contents(folder)
        sheets = {name: text for name, text in there.items() if not name.endswith(".tmp")}
        if INCOMPLETE not in sheets:
            assert sheets in (before, NEW), steps
        write_files(folder, NEW, keep=False)
        assert NEW == contents(folder), steps
        steps += 1

    assert steps > 10


def test_an_interrupt_waits_for_the_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while names are given: the set is whole, and the interrupt is not lost."""
    write_files(tmp_path, OLD)
    replace, calls = os.replace, iter(range(99))

    def interrupted(*words: Path) -> None:
        replace(*words)
        if next(calls) == 3:
            raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_files(tmp_path, NEW, keep=False)
    monkeypatch.undo()

    assert NEW == {name: text for name, text in contents(tmp_path).items() if text == b"new"}


@POSIX
def test_error_a_link_is_not_followed(tmp_path: Path) -> None:
    """A folder of ours that became a link leads to nothing written or removed outside."""
    folder, outside = tmp_path / "sheets", tmp_path / "outside"
    write_files(folder, OLD)
    outside.mkdir()
    for name in ("1.txt", "2.txt", ".rootroom-1.tmp"):
        (outside / name).write_bytes(b"mine")
        (folder / "checklists" / name).unlink(missing_ok=True)
    (folder / "checklists").rmdir()
    (folder / "checklists").symlink_to(outside)
    for keep in (True, False):
        with pytest.raises(TextError, match="checklists` is a link"):
            write_files(folder, NEW, keep=keep)

    assert {b"mine"} == set(contents(outside).values())
    assert 3 == len(contents(outside))


@POSIX
def test_a_link_in_place_of_a_file_is_replaced(tmp_path: Path) -> None:
    """The file that it leads to stays as it is."""
    folder, outside = tmp_path / "sheets", tmp_path / "mine.txt"
    write_files(folder, OLD)
    outside.write_bytes(b"mine")
    (folder / "season.txt").unlink()
    (folder / "season.txt").symlink_to(outside)
    write_files(folder, NEW)

    assert (b"mine", b"new") == (outside.read_bytes(), (folder / "season.txt").read_bytes())


def test_error_a_refusal_names_the_file_that_the_user_knows(tmp_path: Path) -> None:
    """A folder in the place of a file: its name is told, not that of a temporary file."""
    write_files(tmp_path, OLD)
    (tmp_path / "season.txt").unlink()
    (tmp_path / "season.txt").mkdir()
    with pytest.raises(OSError, match="irectory") as refused:
        write_files(tmp_path, NEW)

    assert str(tmp_path / "season.txt") == refused.value.filename
    assert refused.value.filename2 is None


def test_error_a_note_of_somebody_else_stays(tmp_path: Path) -> None:
    """A file called as our note, which we did not write, is not written over."""
    write_files(tmp_path, OLD)
    (tmp_path / INCOMPLETE).write_bytes(b"mine")
    with pytest.raises(TextError, match="is not one of ours"):
        write_files(tmp_path, NEW)

    assert b"mine" == (tmp_path / INCOMPLETE).read_bytes()
