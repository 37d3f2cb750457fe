"""The program: its commands, and what every command has in common.

Only typer is imported here; a command imports what it needs when it runs, so that `--help` and a
mistyped option answer at once. Modules with commands do without `annotations` of the future: typer
reads every annotation at the start, and would have to evaluate each text.
"""

from __future__ import annotations

import typer

from rootroom.cli import drained, quick_answers, record_commands, season_commands

__all__ = ["app"]

app = typer.Typer(
    name="rootroom",
    help="Plan a season of up-potting: how much mix, what to buy, which days, what to take along.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

for module in (season_commands, drained, quick_answers, record_commands):
    module.register(app)
