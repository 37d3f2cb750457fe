"""The program: its commands, and what every command has in common.

Only typer is imported here; a command imports what it needs when it runs, so that `--help` and a
mistyped option answer at once. Modules with commands do without `annotations` of the future: typer
reads every annotation at the start, and would have to evaluate each text.
"""

from __future__ import annotations

from typing import Any

import typer
from typer.core import TyperGroup

from rootroom.cli import (
    drained,
    import_list,
    making,
    page_commands,
    quick_answers,
    record_commands,
    season_commands,
    what_if,
)

GROUPS = {
    "Plan": ("new", "add", "import", "open", "check", "keys", "explain", "pots", "fill"),
    "Answer": ("season", "demand", "buy", "sessions", "drained", "compare"),
    "Do": ("sheets", "record", "postpone"),
    "Look back": ("learned", "review", "next"),
}
"""The commands as `--help` lists them; one of no group is listed last."""


class Grouped(TyperGroup):
    """Lists the commands by what they are for, each with its whole first sentence."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the list."""
        grouped = {name for names in GROUPS.values() for name in names}
        others = [name for name in self.commands if name not in grouped]
        for head, names in (*GROUPS.items(), ("More", others)):
            rows = [
                (name, self.commands[name].get_short_help_str(limit=200))
                for name in names
                if name in self.commands
            ]
            if rows:
                with formatter.section(head):
                    formatter.write_dl(rows)


app = typer.Typer(
    cls=Grouped,
    name="rootroom",
    help="Plan a season of up-potting: how much mix, what to buy, which days, what to take along.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

COMMANDS = (
    season_commands,
    drained,
    quick_answers,
    making,
    import_list,
    record_commands,
    what_if,
    page_commands,
)
"""The modules with commands."""

for module in COMMANDS:
    module.register(app)
