"""Files written whole or not at all.

Each file is written under a temporary name in its own folder, forced to disk, and renamed, so a
full disk or a pulled plug leaves the old file as it was.
A folder of sheets holds a list of the files that are ours; other people's files are never touched.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from rootroom.problems import TextError

__all__ = ["OURS", "write_files", "write_new_file", "write_whole"]

OURS = ".rootroom-files.json"


def write_whole(path: Path, content: bytes) -> None:
    """Put `content` at `path`, whole or not at all; raises OSError with the old file untouched."""
    temporary = _write_beside(path, content)
    try:
        os.replace(temporary, path)
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def write_new_file(path: Path, content: bytes) -> bool:
    """Put `content` at `path` if nothing is there; return whether it was written."""
    temporary = _write_beside(path, content)
    try:
        os.link(temporary, path)  # fails where a rename would overwrite
    except FileExistsError:
        return False
    finally:
        temporary.unlink(missing_ok=True)
    _sync_folder(path.parent)
    return True


def write_files(folder: Path, files: Mapping[str, bytes], *, keep: bool = True) -> tuple[str, ...]:
    """Write `files` (name to content) into `folder`, made if need be; return the names.

    Every file is complete on disk before the first one takes its name.
    Files of ours from an earlier run that are not in `files` stay with `keep`, else are removed.
    Raises TextError for a folder (or a file of such a name) that holds other people's files, and
    OSError when the disk refuses.
    """
    folder.mkdir(parents=True, exist_ok=True)
    ours = _ours(folder)
    theirs = sorted(set(files) & _names(folder) - ours)
    if theirs:
        raise TextError(
            f"`{folder / theirs[0]}` is not one of ours and stays as it is",
            code="foreign-file",
            hint="give --out a folder of its own",
        )
    listed = sorted((ours | set(files)) if keep else set(files))
    everything = {**files, OURS: (json.dumps(listed, ensure_ascii=False) + "\n").encode()}
    ready: list[tuple[Path, Path]] = []
    try:
        for name, content in everything.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            ready.append((_write_beside(path, content), path))
        while ready:
            temporary, path = ready[0]
            os.replace(temporary, path)
            ready.pop(0)
    finally:
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)
    for name in ours - set(listed):
        (folder / name).unlink(missing_ok=True)
    _sync_folder(folder)
    return tuple(files)


def _ours(folder: Path) -> set[str]:
    """Return the names of our own files in a folder; refuse one that holds only others'."""
    manifest = folder / OURS
    try:
        listed = json.loads(manifest.read_text("utf-8"))
    except FileNotFoundError:
        others = sorted(path.name for path in folder.iterdir())
        if others:
            raise TextError(
                f"`{folder}` holds files that are not ours, such as `{others[0]}`",
                code="foreign-folder",
                hint="give --out a new or an empty folder",
            ) from None
        return set()
    except ValueError:
        listed = []
    if not isinstance(listed, list):
        return set()
    # A list that somebody edited must not lead out of the folder.
    plain = (name for name in listed if isinstance(name, str) and name)
    return {name for name in plain if not Path(name).is_absolute() and ".." not in Path(name).parts}


def _names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()}


def _write_beside(path: Path, content: bytes) -> Path:
    try:
        handle, name = tempfile.mkstemp(prefix=".rootroom-", suffix=".tmp", dir=path.parent)
    except OSError as error:
        error.filename = str(path)  # the name that the user knows
        raise
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(0o666 & ~_umask())
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":  # Windows cannot open a folder
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
