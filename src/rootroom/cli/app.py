"""The program: its commands, and what every command has in common.

Only typer is imported here; a command imports what it needs when it runs, so that `--help` and a
mistyped option answer at once.
"""

from __future__ import annotations

import sys

import typer

from rootroom.cli import drained, past, questions, stages

__all__ = ["app", "main"]

app = typer.Typer(
    name="rootroom",
    help="Plan a season of up-potting: how much mix, what to buy, which days, what to take along.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

for module in (stages, drained, questions, past):
    module.register(app)


def main() -> None:
    """Run the command that was asked for, and leave no traceback for what the world does.

    Exit codes: 0 fine, 1 the plan has errors, 2 wrong use of the command or a file that cannot be
    read or written, 3 no feasible answer, 130 interrupted.
    """
    try:
        app()
    except KeyboardInterrupt:
        sys.stderr.write("interrupted: nothing half written is left behind\n")
        sys.exit(130)
    except BrokenPipeError:
        # The reader of our output has gone; Python would complain again while closing stdout.
        _silence_stdout()
        sys.exit(0)
    except OSError as problem:
        what = problem.strerror or str(problem)
        name = f": `{problem.filename}`" if problem.filename else ""
        sys.stderr.write(f"error: {what[:1].lower()}{what[1:]}{name}\n")
        _silence_stdout()
        sys.exit(2)


def _silence_stdout() -> None:
    import contextlib
    import os

    with contextlib.suppress(OSError, ValueError):  # there may be no stdout to silence
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
