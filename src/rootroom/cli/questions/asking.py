"""Asking on a terminal: one line a question, checked at once, asked again after a mistake."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

import typer
from attrs import define, field

from rootroom.cli.common import say
from rootroom.problems import TextError

Answer = TypeVar("Answer")


class Back(Exception):
    """The answer `<`: the question before this one again."""


def on_terminal() -> bool:
    """Return whether somebody sits there who can be asked."""
    return sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()


@define
class Interview:
    """Questions one after the other, with `<` back to the one before.

    What asks is a function of this that is run anew for each step back: answers given before are
    then taken without asking, so it must ask the same after the same answers, and change nothing.
    """

    given: list[str] = field(factory=list)
    at: int = 0

    def run(self, asks: Callable[[Interview], Answer], *, otherwise: str = "") -> Answer:
        """Return what `asks` comes to once all is answered; exit 1 where nobody answers.

        It is then told that nothing was written, and what to do `otherwise`.
        """
        try:
            return self.step(asks)
        except EOFError:
            say(f"\nnothing written{otherwise}")
            raise typer.Exit(1) from None

    def step(self, asks: Callable[[Interview], Answer]) -> Answer:
        """Return what `asks` comes to once all is answered; EOFError where nobody answers."""
        while True:
            self.at = 0
            try:
                return asks(self)
            except Back:
                if self.given:
                    self.given.pop()
                else:
                    say("    this is the first question; Ctrl-C leaves without writing")

    def say(self, text: str) -> None:
        """Say something, but for what is only gone through again."""
        if self.at >= len(self.given):
            say(text)

    def ask(
        self,
        question: str,
        read: Callable[[str], Answer],
        *,
        usual: str | None = None,
        nothing: str | None = None,
    ) -> Answer | None:
        """Return the answer to a question, as `read` takes it; Enter takes `usual`.

        `nothing` says what Enter means where nothing is usual, and lets None be an answer.
        """
        while True:
            text = self._answer(question, usual, nothing)
            if not text and nothing is not None:
                return None
            if not text:
                say("    an answer belongs here; `<` goes back, Ctrl-C leaves without writing")
                self._again()
                continue
            try:
                return read(text)
            except TextError as wrong:
                tell_wrong(wrong)
                self._again()

    def line(
        self, prompt: str, read: Callable[[str], Answer], tell: Callable[[TextError], str]
    ) -> Answer:
        """Return what `read` makes of a line, which may be empty; `tell` says what is wrong."""
        while True:
            text = self._typed(prompt)
            try:
                return read(text)
            except TextError as wrong:
                say(f"    {tell(wrong)}")
                self._again()

    def need(
        self, question: str, read: Callable[[str], Answer], *, usual: str | None = None
    ) -> Answer:
        """Return the answer to a question that must have one."""
        answer = self.ask(question, read, usual=usual)
        assert answer is not None
        return answer

    def yes(self, question: str, *, usual: bool) -> bool:
        """Return whether the answer is yes."""
        answer = self.ask(f"{question} [{'Y/n' if usual else 'y/N'}]", str.casefold, nothing="")
        return usual if not answer else answer in ("y", "yes")

    def _answer(self, question: str, usual: str | None, nothing: str | None) -> str:
        brackets = f" [{usual}]" if usual is not None else ""
        brackets = f" (Enter: {nothing})" if nothing and usual is None else brackets
        return self._typed(f"{question}{brackets}: ") or usual or ""

    def _typed(self, prompt: str) -> str:
        """Return what is typed, or what was typed before a step back."""
        if self.at == len(self.given):
            text = input(prompt).strip()
            if text == "<":
                raise Back
            self.given.append(text)
        self.at += 1
        return self.given[self.at - 1]

    def _again(self) -> None:
        self.given.pop()
        self.at -= 1


def tell_wrong(wrong: TextError) -> None:
    """Tell why an answer cannot be taken, and how to say it."""
    from rootroom.sheets.layout import fill

    say(fill(wrong.message, indent="    ", hanging="    "))
    if wrong.hint:
        say(fill(wrong.hint, indent="    ", hanging="    "))
