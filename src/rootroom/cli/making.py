"""Commands that make a plan: a new one, by questions or as a starter to change."""

from pathlib import Path
from typing import Annotated

import typer

from rootroom.cli.common import fail, say


def register(app: typer.Typer) -> None:
    """Add the commands of this module to the program."""
    for command in (new,):
        app.command()(command)


def new(
    path: Annotated[
        Path, typer.Argument(metavar="[FILE]", help="Where to write it; never over a file.")
    ] = Path("season.toml"),
    plain: Annotated[
        bool, typer.Option("--plain", help="Ask nothing: a starter plan to change.")
    ] = False,
) -> None:
    """Make a plan by questions, or write a starter plan to change."""
    from rootroom.cli.asking import on_terminal

    if path.exists():
        fail(f"there is a file already: `{path}`", hint="give another name")
    if plain or not on_terminal():
        _starter(path)
    else:
        _by_questions(path)


def _starter(path: Path) -> None:
    from rootroom.plan.starter import starter_plan
    from rootroom.sheets.files import write_new_file

    if not write_new_file(path, starter_plan().encode()):
        fail(f"there is a file already: `{path}`", hint="give another name")
    say(f"wrote {path}: change it, then run `rootroom check {path}`")


def _by_questions(path: Path) -> None:
    from rootroom.cli.asking import Interview
    from rootroom.cli.import_list import write_draft
    from rootroom.cli.plan_questions import ask_plan

    try:
        draft = Interview().run(ask_plan)
    except (EOFError, KeyboardInterrupt):
        say("\nnothing written; `rootroom new --plain` writes a starter plan to change")
        raise typer.Exit(130) from None
    say("")
    write_draft(draft, path)
