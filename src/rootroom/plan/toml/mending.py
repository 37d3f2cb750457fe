"""A slip of the pen in a text that was to be TOML, and the edits that let the reading go on."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from rootroom.plan.toml.spans import Span, Stop


@frozen
class Edit:
    """Text from `start` to `end` is replaced by `new`."""

    start: int
    end: int
    new: str


@frozen
class Mend:
    """A slip: its place and words, and the edits that let the reading go on (none: it stops).

    `lossy` edits leave something out, so that nothing can be said of what the plan means.
    """

    start: int
    end: int
    code: str
    message: str
    hint: str = ""
    edits: Sequence[Edit] = ()
    related: tuple[tuple[int, str], ...] = ()
    lossy: bool = False

    @classmethod
    def put(cls, span: Span, code: str, message: str, new: str, hint: str = "") -> Mend:
        """Return the slip of a text that `new` stands for; the hint says so unless given."""
        return cls(*span, code, message, hint or f"write `{new}`", [Edit(*span, new)])


@frozen
class Slip:
    """Where a text stops being TOML, and the line that it is on."""

    text: str
    stop: Stop

    @property
    def at(self) -> int:
        """The offset."""
        return self.stop.at

    @property
    def line(self) -> tuple[int, int]:
        """Where the line begins and ends."""
        start = self.text.rfind("\n", 0, self.at) + 1
        end = self.text.find("\n", self.at)
        return start, len(self.text) if end < 0 else end

    @property
    def rest(self) -> str:
        """What is left of the line."""
        return self.text[self.at : self.line[1]]

    @property
    def line_text(self) -> str:
        """The whole line."""
        return self.text[slice(*self.line)]

    @property
    def open_above(self) -> tuple[tuple[str, int], ...]:
        """The brackets that lines above have opened."""
        return tuple(bracket for bracket in self.stop.open if bracket[1] < self.line[0])
