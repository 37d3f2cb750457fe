"""The kinds of note that the command line takes, each an option of its own that may be repeated."""

from __future__ import annotations

import inspect
from collections.abc import Callable
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
    "counted": ", `peat=1.5` packs, `tree=30 L` or `#3=4`",
}
"""Other ways to write a note."""


def with_notes(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command an option for each kind of note.

    The command takes what was told as `notes`, pairs of kind and text in the order of `NOTES`.
    """

    def taking(**given: Any) -> None:
        told = {kind: given.pop(_parameter(kind)) for kind in NOTES}
        notes = [(kind, text) for kind, texts in told.items() for text in texts or ()]
        command(**given, notes=notes)

    own = inspect.signature(command, eval_str=True)
    kept = [each for name, each in own.parameters.items() if name != "notes"]
    added = [
        inspect.Parameter(
            _parameter(kind),
            inspect.Parameter.KEYWORD_ONLY,
            default=None,
            annotation=Annotated[list[str] | None, _option(kind, example)],
        )
        for kind, example in NOTES.items()
    ]
    whole = own.replace(parameters=[*kept, *added])
    taking.__name__, taking.__doc__ = command.__name__, command.__doc__
    taking.__signature__ = whole  # type: ignore[attr-defined] # typer reads both of these
    taking.__annotations__ = {each.name: each.annotation for each in whole.parameters.values()}
    return taking


def _parameter(kind: str) -> str:
    return f"told_{kind.replace(' ', '_')}"


def _option(kind: str, example: str) -> Any:
    name = f"--{kind.replace(' ', '-')}"
    told = f"As `{example}`{MORE.get(kind, '')} (repeatable)."
    return typer.Option(name, metavar="TEXT", help=told)
