"""Ctrl-C: an interrupt is never lost, and ends the process without a word about where it fell.

Python raises an interrupt wherever it happens to be. In a callback of its own, as while a module's
lock is given back, it can only print the error and go on; the interrupt would be lost.
"""

from __future__ import annotations

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

_SOON_S = 0.01  # until Python has left the callback


def keep_interrupts() -> None:
    """Have an interrupt that Python must drop come again a moment later."""
    usual = sys.unraisablehook

    def heed(dropped: Any) -> None:
        if dropped.exc_type is not None and issubclass(dropped.exc_type, KeyboardInterrupt):
            import _thread  # built in, as is `time`: an import may be what was interrupted

            # From a thread of its own: here it would be raised at once, and dropped again.
            _thread.start_new_thread(_interrupt_again, (_thread.get_ident(),))
        else:
            usual(dropped)

    sys.unraisablehook = heed


def end_by_interrupt() -> None:
    """From now on an interrupt just ends the process: all is written, Python is clearing up."""
    import contextlib
    import signal

    with contextlib.suppress(ValueError):  # only the main thread may say so
        signal.signal(signal.SIGINT, signal.SIG_DFL)


def _interrupt_again(thread: int) -> None:
    """Interrupt the main thread a moment later; where it can be sent one, a wait ends too."""
    import _thread
    import signal
    import time

    time.sleep(_SOON_S)
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(thread, signal.SIGINT)
    else:
        _thread.interrupt_main()
