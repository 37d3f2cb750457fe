"""Which slip of the pen a text that is not TOML was: the rules in order, and what is left over."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from rootroom.plan.names import shown
from rootroom.plan.toml.lexing import Scene, line_span, look

__all__ = ["Edit", "Mend", "Slip", "find_mend"]


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


@frozen
class Slip:
    """Where the reader stopped: text, offset, the reader's words, and what is open there."""

    text: str
    at: int
    words: str
    scene: Scene

    @property
    def line(self) -> tuple[int, int]:
        """Where the line begins and ends."""
        return line_span(self.text, self.at)

    @property
    def rest(self) -> str:
        """What is left of the line."""
        return self.text[self.at : self.line[1]]

    @property
    def line_text(self) -> str:
        """The whole line."""
        start, end = self.line
        return self.text[start:end]


def find_mend(text: str, at: int, words: str) -> Mend:
    """Return what is wrong at an offset in words for gardeners, and how to read on."""
    from rootroom.plan.toml.mending_shape import SHAPE_RULES, TWICE_RULES
    from rootroom.plan.toml.mending_values import VALUE_RULES

    slip = Slip(text, at, words, look(text, at))
    # What is given twice is well written: no rule about writing has a say there.
    rules = TWICE_RULES if words.startswith(("Cannot", "Duplicate")) else ()
    for rule in rules or (*VALUE_RULES, *SHAPE_RULES):
        mend = rule(slip)
        if mend is not None:
            return mend
    return _unknown(slip)


_WORDS = {
    "Invalid value": "cannot read this value",
    "Expected newline or end of document after a statement": "cannot read the rest of this line",
    "Invalid statement": "cannot read this line",
    "Unclosed array": "a list is not closed",
    "Unclosed inline table": "a table in braces is not closed",
    "Expected '=' after a key in a key/value pair": "`=` is missing after the key",
    "Invalid initial character for a key part": "a key is missing",
    "Number too long": "a number with too many digits",
    "Unterminated string": "a quote is not closed",
}


def _unknown(slip: Slip) -> Mend:
    start, end = slip.line
    message = _WORDS.get(slip.words, slip.words[:1].lower() + slip.words[1:])
    rest = slip.rest.strip()
    if rest:
        message += f": `{shown(rest)}`"
    edits = []
    if not look(slip.text, start).open and slip.text[start:end].strip():
        edits = [Edit(start, end, "")]
    return Mend(
        slip.at,
        min(slip.at + max(len(rest), 1), end),
        "not-toml",
        message,
        "a line is `key = value`; texts stand in quotes, lists in `[ ]`, comments after `#`",
        edits,
        lossy=True,
    )
