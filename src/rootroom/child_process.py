"""Run a function of foreign code in a process of its own, which may abort or hang without harm.

The child is told a function by name and one argument, and hands back values as it finds them; the
last one received counts, even when the child dies after it.
Values travel as pickles between two processes of the same program, never from outside.
A child can be started ahead (`get_ready`), so that it loads its libraries while the caller works,
and the caller can load what it needs next while a child works (`wanted_next`).
"""

from __future__ import annotations

import atexit
import os
import pickle
import queue
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from importlib import import_module
from time import monotonic
from typing import Any, BinaryIO

from attrs import frozen


@frozen
class ChildResult:
    """What a child handed back: its last value, and how it ended.

    `ended` is "done", "clock" (stopped by the time limit) or "died" (aborted or raised).
    """

    value: Any
    ended: str


_ready: dict[str, subprocess.Popen[bytes]] = {}  # by the module that the child has loaded
_wanted: list[str] = []


def get_ready(module: str) -> None:
    """Start a child that loads a module, and what its `load_libraries` does, and then waits.

    The next call of one of its functions goes to that child; one that nobody calls ends with this
    process.
    """
    if module not in _ready:
        _ready[module] = _start(module)


def wanted_next(module: str) -> None:
    """Load a module while the next child works, which else would keep this process waiting."""
    _wanted.append(module)


@atexit.register
def _end_all() -> None:
    for process in _ready.values():
        process.kill()
        process.communicate()
    _ready.clear()


def _start(*modules: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "rootroom.child_process", *modules],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )


def _child_for(function: str) -> subprocess.Popen[bytes]:
    """Return the child that is ready for a function, where it still lives, or a new one."""
    waiting = _ready.pop(function.split(":")[0], None)
    if waiting is None:
        return _start()
    if waiting.poll() is None:
        return waiting
    waiting.communicate()
    return _start()


def run_in_child(function: str, argument: object, *, seconds: float) -> ChildResult:
    """Run `module:name` with (argument, hand back) in a child for at most `seconds` [s].

    The function calls its second argument with each value that it wants to be kept.
    Never raises for what happens in the child.
    """
    end = monotonic() + seconds
    value: Any = None
    with _child_for(function) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        frames: queue.Queue[Any] = queue.Queue()
        reader = threading.Thread(target=_read_frames, args=(process.stdout, frames), daemon=True)
        reader.start()
        try:
            process.stdin.write(pickle.dumps((function, argument)))
            process.stdin.close()
            while _wanted and monotonic() < end:
                import_module(_wanted.pop())
            while True:
                try:
                    kind, found = frames.get(timeout=max(0.0, end - monotonic()))
                except queue.Empty:
                    return ChildResult(value, "clock")
                if kind != "value":
                    return ChildResult(value, kind)
                value = found
        except BrokenPipeError:
            return ChildResult(value, "died")
        finally:
            process.kill()
            reader.join()


def _read_frames(stream: BinaryIO, frames: queue.Queue[Any]) -> None:
    """Put each frame of the child into the queue, and "died" where the stream ends early."""
    while True:
        head = stream.read(8)
        if len(head) < 8:
            break
        body = stream.read(struct.unpack("<q", head)[0])
        try:
            frame = pickle.loads(body)
        except (EOFError, pickle.UnpicklingError):
            break
        frames.put(frame)
        if frame[0] != "value":
            return
    frames.put(("died", None))


def main() -> None:
    """Be the child: read the call, run it, hand back values and then the end."""
    # Solvers print banners to the C level's stdout; the frames keep a descriptor of their own.
    channel = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    for name in sys.argv[1:]:
        import_module(name).load_libraries()
    function, argument = pickle.loads(sys.stdin.buffer.read())
    module, name = function.split(":")
    call: Callable[[object, Callable[[object], None]], None] = getattr(import_module(module), name)

    def send(kind: str, value: object) -> None:
        body = pickle.dumps((kind, value))
        channel.write(struct.pack("<q", len(body)) + body)
        channel.flush()

    call(argument, lambda value: send("value", value))
    send("done", None)


if __name__ == "__main__":
    main()
