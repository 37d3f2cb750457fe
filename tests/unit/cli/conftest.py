"""A terminal with somebody who answers."""

from __future__ import annotations

import pytest


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch):
    """Sit at a terminal and give answers; return the questions that were asked."""
    asked: list[str] = []

    def sit(*given: str):
        waiting = list(given)

        def answer(question: str) -> str:
            asked.append(question)
            if not waiting:
                raise EOFError
            said = waiting.pop(0)
            if said == "^C":
                raise KeyboardInterrupt
            return said

        monkeypatch.setattr("rootroom.cli.questions.asking.on_terminal", lambda: True)
        monkeypatch.setattr("builtins.input", answer)
        return asked

    return sit
