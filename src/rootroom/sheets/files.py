"""Files written whole or not at all.

Each file is written under a temporary name in its own folder, forced to disk, and renamed, so a
full disk or a pulled plug leaves the old file as it was.
A folder of sheets holds a list of the files that are ours; other people's files are never touched,
and no link inside it is followed. While a set takes the place of another a note stands beside it:
if it is still there, the run was interrupted, and the next one puts all in order.
"""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from rootroom.problems import TextError

OURS = ".rootroom-files.json"
INCOMPLETE = "incomplete.txt"
WARNING = b"""While this file is here, some sheets beside it are of this plan, some of another.
If it stays, the run was interrupted: run the same command again.
"""

PREFIX, SUFFIX = ".rootroom-", ".tmp"
"""How the name of a temporary file begins and ends."""


def write_new_file(path: Path, content: bytes) -> bool:
    """Put `content` at `path` if nothing is there; return whether it was written."""
    temporary = _write_beside(path, content)
    try:
        with _naming(path):
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
    Raises TextError for a folder (or a file of such a name) that holds other people's files, or a
    link where a folder of ours belongs, and OSError when the disk refuses.
    """
    with _naming(folder):
        folder.mkdir(parents=True, exist_ok=True)
    ours = _ours(folder)
    theirs = sorted({*files, INCOMPLETE} & _names(folder) - ours)
    ours -= {INCOMPLETE}
    if theirs:
        raise TextError(
            f"`{folder / theirs[0]}` is not one of ours and stays as it is",
            code="foreign-file",
            hint="give --out a folder of its own",
        )
    for name in sorted({*ours, *files}):
        _refuse_links(folder, name)
    _clear(folder)
    everyone = sorted(ours | set(files))
    listed = everyone if keep else sorted(files)
    ready: list[tuple[Path, Path]] = []
    try:
        for name, content in files.items():
            path = folder / name
            with _naming(path):
                path.parent.mkdir(parents=True, exist_ok=True)
            ready.append((_write_beside(path, content), path))
        # From here on an interrupted run is told by the note, and known by the list.
        put_file(folder / OURS, _listing([*everyone, INCOMPLETE]))
        put_file(folder / INCOMPLETE, WARNING)
        _replace(ready)
        for name in ours - set(listed):
            (folder / name).unlink(missing_ok=True)
        (folder / INCOMPLETE).unlink(missing_ok=True)
        put_file(folder / OURS, _listing(listed))
    finally:
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)
    _sync_folder(folder)
    return tuple(files)


def _replace(ready: list[tuple[Path, Path]]) -> None:
    """Give temporary files their names; an interrupt waits until the last one has its own."""
    interrupted = None
    while ready:
        temporary, path = ready[0]
        try:
            if temporary.exists():
                with _naming(path):
                    os.replace(temporary, path)
            ready.pop(0)
        except KeyboardInterrupt as stop:
            interrupted = stop
    if interrupted is not None:
        raise interrupted


def _listing(names: list[str]) -> bytes:
    return (json.dumps(names, ensure_ascii=False) + "\n").encode()


def put_file(path: Path, content: bytes) -> None:
    """Write one file whole in the place of the one that is there, or leave that as it was."""
    temporary = _write_beside(path, content)
    with _naming(path):
        os.replace(temporary, path)


def put_files(files: Mapping[Path, bytes]) -> None:
    """Write files whole in the place of those that are there: all of them, or none.

    Each is complete on disk before the first one takes its name; where one is refused its name,
    those before it are put back.
    """
    ready: list[tuple[Path, Path]] = []
    done: list[tuple[Path, bytes | None]] = []
    try:
        for path, content in files.items():
            ready.append((_write_beside(path, content), path))
        for temporary, path in ready:
            before = path.read_bytes() if path.exists() else None
            with _naming(path):
                os.replace(temporary, path)
            done.append((path, before))
    except OSError:
        for path, before in done:
            if before is None:
                path.unlink(missing_ok=True)
            else:
                put_file(path, before)
        raise
    finally:
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)


@contextlib.contextmanager
def _naming(path: Path) -> Iterator[None]:
    """Let what the system refuses name the file that the user knows, not the temporary one."""
    try:
        yield
    except OSError as refused:
        refused.filename, refused.filename2 = str(path), None
        raise


def _refuse_links(folder: Path, name: str) -> None:
    for parent in list((folder / name).relative_to(folder).parents)[:-1]:
        if (folder / parent).is_symlink():
            raise TextError(
                f"`{folder / parent}` is a link, and is not followed out of the folder",
                code="foreign-file",
                hint="take the link away, or give --out a folder of its own",
            )


def _clear(folder: Path) -> None:
    """Remove what an interrupted run has left: temporary files and its note."""
    for path in [*folder.glob(f"{PREFIX}*{SUFFIX}"), *folder.glob(f"*/{PREFIX}*{SUFFIX}")]:
        if not path.parent.is_symlink():
            path.unlink(missing_ok=True)


def _ours(folder: Path) -> set[str]:
    """Return the names of our own files in a folder; refuse one that holds only others'."""
    manifest = folder / OURS
    try:
        listed = json.loads(manifest.read_text("utf-8"))
    except FileNotFoundError:
        others = sorted(name for name in os.listdir(folder) if not _is_temporary(name))
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


def _is_temporary(name: str) -> bool:
    return name.startswith(PREFIX) and name.endswith(SUFFIX)


def _names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()}


def _write_beside(path: Path, content: bytes) -> Path:
    with _naming(path):
        handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=SUFFIX, dir=path.parent)
    temporary = Path(name)
    try:
        with _naming(path), os.fdopen(handle, "wb") as file:
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
