"""The program as a process: it leaves with a code and a clear line, whatever the world does.

Exit codes: 0 fine, 1 the plan has errors, 2 wrong use of the command or a file that cannot be read
or written, 3 no feasible answer, 130 interrupted.
"""

from __future__ import annotations

import sys

# Nothing more is imported here: an interrupt while importing should find `main` on the stack.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn

INTERRUPTED = "interrupted: nothing half written is left behind"


def main() -> None:
    """Run the command that was asked for, and leave no traceback for what the world does."""
    try:
        from rootroom.cli.streams import keep_interrupts, prepare_streams

        keep_interrupts()
        prepare_streams()
        _run()
    except KeyboardInterrupt:
        _leave(INTERRUPTED, 130)
    except ImportError as broken:
        if not _was_interrupted(broken):
            raise
        _leave(INTERRUPTED, 130)
    except BrokenPipeError:
        # The reader of our output has gone; Python would complain again while closing stdout.
        _leave("", 0)
    except MemoryError:
        _leave("error: not enough memory for a plan of this size", 2)
    except OSError as problem:
        from rootroom.visible import visible

        what = problem.strerror or str(problem)
        name = f": `{visible(str(problem.filename))}`" if problem.filename else ""
        _leave(f"error: {what[:1].lower()}{what[1:]}{name}", 2)
    finally:
        from rootroom.cli.streams import end_by_interrupt

        end_by_interrupt()


def _run() -> None:
    import gc

    # Next to nothing of what is made while starting is garbage, and little of it later: by the
    # usual threshold Python looks for some after every 700 new objects.
    gc.disable()
    from rootroom.cli.app import app

    gc.freeze()
    gc.set_threshold(100_000)
    gc.enable()
    try:
        app()
    except ValueError as wrong:
        from rootroom.problems import TextError
        from rootroom.visible import visible

        if not isinstance(wrong, TextError):
            raise
        hint = f"\nhint: {wrong.hint}\n" if wrong.hint else ""
        sys.stderr.write(f"error: {visible(wrong.message)} [{wrong.code}]\n{hint}")
        raise SystemExit(2) from None
    except SystemExit as end:
        if end.code == 130:  # typer says nothing about it
            raise KeyboardInterrupt from None
        raise
    finally:
        # While closing, Python would look for garbage in all that there is, and more than once.
        gc.freeze()
        # A disk may be full only now; while closing, Python could tell nobody properly.
        sys.stdout.flush()


def _was_interrupted(error: BaseException | None) -> bool:
    """Whether an interrupt stands behind an error: compiled libraries wrap one while they load."""
    while error is not None and not isinstance(error, KeyboardInterrupt):
        error = error.__cause__ or error.__context__
    return error is not None


def _leave(words: str, code: int) -> NoReturn:
    """Say the last words, if anybody listens, and end."""
    from rootroom.cli.streams import silence_stdout

    try:
        if words:
            sys.stderr.write(words + "\n")
        sys.stderr.flush()
    except (OSError, ValueError):
        pass
    silence_stdout()
    sys.exit(code)
