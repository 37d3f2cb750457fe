"""The program: its commands, and what every command has in common.

Only typer is imported here. A module with commands is imported when one of them is asked for, and a
command imports what it needs when it runs, so that `--help` and a mistyped option answer at once.
These modules do without `annotations` of the future: typer reads every annotation of a command, and
would have to evaluate each text.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.main import get_command_from_info
from typer.models import CommandInfo

GROUPS = {
    "Plan": {
        "new": "making",
        "add": "making",
        "import": "import_list",
        "open": "making",
        "check": "season_commands",
        "keys": "quick_answers",
        "explain": "quick_answers",
        "pots": "quick_answers",
        "fill": "quick_answers",
    },
    "Answer": {
        "season": "season_commands",
        "demand": "season_commands",
        "buy": "season_commands",
        "sessions": "season_commands",
        "drained": "quick_answers",
        "compare": "quick_answers",
    },
    "Do": {"sheets": "season_commands", "record": "recording", "postpone": "recording"},
    "Look back": {"learned": "look_back", "review": "look_back", "next": "look_back"},
}
"""The commands as `--help` lists them, each with the module that has its function."""

MODULES = {name: module for group in GROUPS.values() for name, module in group.items()}
"""The module of each command."""

FUNCTIONS = {"import": "import_list", "open": "open_page"}
"""Functions that cannot have the name of their command: Python has it for something else."""


@cache
def command_of(name: str) -> CommandInfo:
    """Return a command by its name, its module imported."""
    module = import_module(f"rootroom.cli.{MODULES[name]}")
    part = typer.Typer()
    part.command(name)(getattr(module, FUNCTIONS.get(name, name)))
    return part.registered_commands[0]


class Grouped(TyperGroup):
    """Builds a command when it is asked for, and lists all by what they are for.

    To build one, typer reads each of its options, which takes as long as importing its module.
    """

    def list_commands(self, ctx: Any) -> list[str]:
        """Return the names of all commands."""
        return list(MODULES)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """Return a command; None for an unknown name, which is then compared with all names."""
        for name in [cmd_name] if cmd_name in MODULES else MODULES:
            if name not in self.commands:
                self.commands[name] = get_command_from_info(
                    command_of(name), pretty_exceptions_short=True, rich_markup_mode=None
                )
        return self.commands.get(cmd_name)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the list of commands, each with the first line that its code says of it."""
        for head, names in GROUPS.items():
            with formatter.section(head):
                formatter.write_dl(
                    [
                        (name, (command_of(name).callback.__doc__ or "").partition("\n")[0])
                        for name in names
                    ]
                )


def _tell_version(asked: bool) -> None:
    if asked:
        import rootroom

        typer.echo(f"rootroom {rootroom.__version__}")
        raise typer.Exit


def start(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_tell_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Let every command start at once; typer wants it where it is given no command."""


app = typer.Typer(
    cls=Grouped,
    callback=start,
    name="rootroom",
    help="Plan a season of up-potting: how much mix, what to buy, which days, what to take along.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
