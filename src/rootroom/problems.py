"""What a user got wrong, as values.

A reader or a check returns `Problem`s and never stops at the first.
`TextError` is how the small parsers (a quantity, a container, a date) refuse one text:
whoever knows the place of that text turns it into a `Problem`, so none leaves the package.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

Severity = Literal["error", "warning"]


@frozen(order=True)
class Location:
    """A place in a file: line and columns count from 1, `end` is one past the last column.

    `cell` is the address in a spreadsheet, `Sheet1:B7`, whose `line` is its row.
    """

    file: str
    line: int
    start: int
    end: int
    cell: str = ""

    def __str__(self) -> str:
        """Return the place as `file:line:column`, or `file:Sheet1:B7`."""
        from rootroom.visible import visible

        if self.cell:
            return f"{visible(self.file)}:{visible(self.cell)}"
        return f"{visible(self.file)}:{self.line}:{self.start}"


@frozen
class Problem:
    """One mistake: what is wrong in the user's words, and in `hint` alone how to mend it.

    `code` is stable, in kebab case, and listed in the README.
    `related` names other places that matter, each with a few words.
    `line` is the text of the line at `where`, kept so that a report needs no second read.
    """

    code: str
    severity: Severity
    where: Location
    message: str
    hint: str = ""
    related: tuple[tuple[Location, str], ...] = ()
    line: str = ""

    def __str__(self) -> str:
        """Return the problem's first line, which says it all and can be searched by its code."""
        from rootroom.visible import visible

        return f"{self.where}: {self.severity}: {visible(self.message)} [{self.code}]"


class TextError(ValueError):
    """A text that cannot be read: `message`, `hint` and `code` go into a `Problem` unchanged."""

    def __init__(self, message: str, *, code: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.code = code
        self.hint = hint
