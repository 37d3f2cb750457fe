"""Run a function of foreign code in a process of its own, which may abort or hang without harm.

The child is told a function by name and one argument, and hands back values as it finds them; the
last one received counts, even when the child dies after it.
Values travel as pickles between two processes of the same program, never from outside.
"""

from __future__ import annotations

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


def run_in_child(function: str, argument: object, *, seconds: float) -> ChildResult:
    """Run `module:name` with (argument, hand back) in a child for at most `seconds` [s].

    The function calls its second argument with each value that it wants to be kept.
    Never raises for what happens in the child.
    """
    end = monotonic() + seconds
    value: Any = None
    with subprocess.Popen(
        [sys.executable, "-m", "rootroom.child_process"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        frames: queue.Queue[Any] = queue.Queue()
        reader = threading.Thread(target=_read_frames, args=(process.stdout, frames), daemon=True)
        reader.start()
        try:
            process.stdin.write(pickle.dumps((function, argument)))
            process.stdin.close()
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
