"""Options by the table, for commands with many alike; the kinds of note, each with its option.

A note of any kind may be repeated.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from typing import Annotated, Any

import typer

NOTES = {
    "moved": "Fig=12",
    "lost": "Fig=2",
    "not yet": "Fig=4 until 2027-04-20",
    "counted": "Fig:2=11",
    "filled": "South bed=50 %",
    "blended": "tree=70 L",
    "used": "tree=9 scoops",
    "left": "tree=1 scoop",
    "spilled": "tree=5 L",
    "taken out": "30 L of half barrel",
    "bought": "peat=3 for 45.60 at Mill Road",
    "freed": "#3=4",
    "broken": "#3=1",
    "worked": "90 min",
    "measured": "fill #7=22 L",
    "timed": "#3=18 in 95 min",
    "weather": "rain",
    "note": "aphids on the figs",
}
"""Every kind of note with an example of it."""

MORE = {
    "moved": ", `Fig/Old gold=4` of one sort",
    "lost": ", `Fig/Old gold=1`",
    "blended": ", `tree=18 gal`",
    "spilled": ", `tree=1 gal`",
    "counted": ", `peat=1.5` packs, `tree=30 L` or `#3=4`",
}
"""Other ways to write a note."""

Command = Callable[..., None]


def with_options(name: str, options: Mapping[str, Any]) -> Callable[[Command], Command]:
    """Give a command options by the table: a key, and the annotated type of its option.

    They stand where the command has the parameter `name`, which takes those that were given, by
    key and in the order of the table.
    """

    def give(command: Command) -> Command:
        def taking(**given: Any) -> None:
            found = {key: given.pop(_parameter(key)) for key in options}
            given[name] = {key: value for key, value in found.items() if value is not None}
            command(**given)

        own = inspect.signature(command, eval_str=True)
        added = [
            inspect.Parameter(
                _parameter(key), inspect.Parameter.KEYWORD_ONLY, default=None, annotation=option
            )
            for key, option in options.items()
        ]
        each_in_place = (
            added if each.name == name else [each.replace(kind=inspect.Parameter.KEYWORD_ONLY)]
            for each in own.parameters.values()
        )
        whole = own.replace(parameters=[each for some in each_in_place for each in some])
        taking.__name__, taking.__doc__ = command.__name__, command.__doc__
        taking.__signature__ = whole  # type: ignore[attr-defined] # typer reads both of these
        taking.__annotations__ = {each.name: each.annotation for each in whole.parameters.values()}
        return taking

    return give


def text_option(name: str, metavar: str, tells: str) -> Any:
    """Return the type of an option that takes a text; `tells` is its line of help."""
    return Annotated[str | None, typer.Option(name, metavar=metavar, help=tells)]


def _parameter(key: str) -> str:
    return f"told_{key.replace(' ', '_')}"


def _note_option(kind: str, example: str) -> Any:
    told = f"As `{example}`{MORE.get(kind, '')} (repeatable)."
    name = f"--{kind.replace(' ', '-')}"
    return Annotated[list[str] | None, typer.Option(name, metavar="TEXT", help=told)]


with_notes = with_options(
    "notes", {kind: _note_option(kind, example) for kind, example in NOTES.items()}
)
"""Gives a command an option for each kind of note: `notes` are the texts by kind."""
