"""Asking on a terminal: one line a question, checked at once, asked again after a mistake."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

from rootroom.cli.common import say
from rootroom.problems import TextError

Answer = TypeVar("Answer")


class Back(Exception):
    """The answer `<`: the question before this one again."""


def on_terminal() -> bool:
    """Return whether somebody sits there who can be asked."""
    return sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()


def ask(
    question: str,
    read: Callable[[str], Answer],
    *,
    usual: str | None = None,
    nothing: str | None = None,
) -> Answer | None:
    """Return the answer to a question, as `read` takes it; Enter takes `usual`.

    `nothing` says what Enter means where there is nothing usual, and lets None be an answer.
    Raises Back for `<` and EOFError where nobody answers any more.
    """
    brackets = f" [{usual}]" if usual is not None else ""
    brackets = f" (Enter: {nothing})" if nothing is not None and usual is None else brackets
    while True:
        text = input(f"{question}{brackets}: ").strip()
        if text == "<":
            raise Back
        text = text or usual or ""
        if not text:
            if nothing is not None:
                return None
            say("    an answer belongs here; `<` goes back, Ctrl-C leaves without writing")
            continue
        try:
            return read(text)
        except TextError as wrong:
            tell_wrong(wrong)


def tell_wrong(wrong: TextError) -> None:
    """Tell why an answer cannot be taken, and how to say it."""
    from rootroom.sheets.layout import fill

    say(fill(wrong.message, indent="    ", hanging="    "))
    if wrong.hint:
        say(fill(wrong.hint, indent="    ", hanging="    "))


def yes(question: str, *, usual: bool) -> bool:
    """Return whether the answer is yes."""
    answer = input(f"{question} [{'Y/n' if usual else 'y/N'}] ").strip().casefold()
    if answer == "<":
        raise Back
    return usual if not answer else answer in ("y", "yes")
