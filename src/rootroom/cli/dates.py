"""Options whose value is a date: written year-month-day, and anything else told in plain words."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import typer

from rootroom.cli.common import fail


def date_option(name: str, tells: str) -> Any:
    """Return an option that takes a date; `tells` is its line of help."""
    return typer.Option(name, parser=lambda text: _read(text, name), metavar="DATE", help=tells)


Today = Annotated[
    date | None,
    date_option("--today", "Plan from this day on; by default from the record's last day."),
]


def _read(text: str, name: str) -> date:
    from rootroom.plan.dates import read_date
    from rootroom.problems import TextError

    try:
        return read_date(text)
    except TextError as error:  # typer would tell a ValueError in words of its own
        fail(f"{name}: {error.message} [{error.code}]", hint=error.hint)
