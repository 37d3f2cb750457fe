"""A rough look at TOML text that may be broken: tokens, and which brackets are open at a point."""

from __future__ import annotations

import re
from collections.abc import Iterator

from attrs import frozen

__all__ = ["Scene", "Token", "line_span", "look", "tokens"]

_TOKEN = re.compile(
    r'(?P<string>"""[\s\S]*?"""|\'\'\'[\s\S]*?\'\'\'|"[^"\\\n]*(?:\\.[^"\\\n]*)*"|\'[^\'\n]*\')'
    r"|(?P<comment>#[^\n]*)"
    r"|(?P<newline>\n)"
    r"|(?P<sign>[\[\]{},=])"
    r"|(?P<word>[^\s\[\]{},=#\"']+|[\"'])"
)


@frozen
class Token:
    """One token: `kind` is string, comment, newline, sign or word."""

    kind: str
    text: str
    start: int
    end: int


@frozen
class Scene:
    """What is known at an offset: open brackets with their places, and the token before it.

    `begin` is where the key or value that the offset lies in begins: behind the last comma, bracket
    or line end of its own level; `equals` is where the last `=` since then ends, if there was one.
    """

    open: tuple[tuple[str, int], ...]
    before: Token | None
    begin: int
    equals: int | None

    @property
    def inner(self) -> str:
        """The innermost open bracket, or nothing."""
        return self.open[-1][0] if self.open else ""


def tokens(text: str, start: int = 0) -> Iterator[Token]:
    """Yield tokens from an offset on; an unclosed quote is a word of its own."""
    for match in _TOKEN.finditer(text, start):
        yield Token(str(match.lastgroup), match[0], match.start(), match.end())


def look(text: str, at: int) -> Scene:
    """Return what the text before an offset says about it."""
    stack: list[tuple[str, int]] = []
    before: Token | None = None
    begin, equals = 0, None
    for token in tokens(text):
        if token.start >= at:
            break
        if token.kind == "comment":
            continue
        if token.kind == "newline":
            if not stack:
                begin, equals, before = token.end, None, None
            continue
        if token.kind == "sign":
            if token.text in "[{":
                stack.append((token.text, token.start))
            elif token.text in "]}" and stack:
                stack.pop()
            if token.text == "=":
                equals = token.end
            elif token.text in "[{,":
                begin, equals = token.end, None
        before = token
    return Scene(tuple(stack), before, begin, equals)


def line_span(text: str, at: int) -> tuple[int, int]:
    """Return where the line of an offset begins and ends."""
    start = text.rfind("\n", 0, at) + 1
    end = text.find("\n", at)
    return start, len(text) if end < 0 else end
