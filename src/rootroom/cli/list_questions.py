"""Asking about what is unclear in a list: headings, columns that are missing, cells."""

from __future__ import annotations

from pathlib import Path

from rootroom.cli.asking import Back, ask
from rootroom.cli.common import say
from rootroom.plan.lists.headings import LEFT_OUT, Question, key_meant, spoken
from rootroom.plan.lists.model import Choices, ListRead, Unread
from rootroom.plan.lists.reading import read_list
from rootroom.plan.lists.values import Readings, read_cell
from rootroom.problems import Problem
from rootroom.sheets.layout import fill

_MISSING = {"count": "How many plants in each row", "now": "What are they in now, all of them"}
_ASKED = frozenset(
    ("ambiguous-container", "unknown-container", "missing-unit", "container-size", "wrong-unit",
     "ambiguous-unit", "unknown-unit", "ambiguous-number", "bad-number", "ambiguous-date",
     "bad-window", "bad-count")
)  # fmt: skip
"""Codes of cells that another text can stand for."""
_MOST_ASKED = 20


def settle(file: Path, choices: Choices) -> ListRead | Problem:
    """Return the list as understood once its questions are answered; `choices` gains the answers.

    An empty answer leaves a cell as it is, to be told as a mistake.
    """
    passed: set[tuple[str, str]] = set()
    while True:
        read = read_list(file, choices)
        if isinstance(read, Problem):
            return read
        try:
            if read.questions:
                for question in read.questions:
                    _heading(question, read, choices)
                continue
            missing = [key for key in _MISSING if _lacks(read, key)]
            if missing:
                for key in missing:
                    choices.instead[key] = _instead(key, choices.readings)
                continue
            unread = [one for one in read.unread if one.problem.code in _ASKED]
            unread = [one for one in unread if (one.key, one.text) not in passed][:_MOST_ASKED]
            if not unread:
                return read
            _cell(unread[0], choices, passed)
        except Back:
            say("    there is nothing before this; Ctrl-C leaves without writing")


def _lacks(read: ListRead, key: str) -> bool:
    return any(
        problem.code == "missing-column" and problem.message.endswith(f"`{key}`")
        for problem in read.problems
    )


def _heading(question: Question, read: ListRead, choices: Choices) -> None:
    keys = [key for key in question.keys if key != LEFT_OUT]
    say(fill(f"{question.column.called} {question.words}."))
    several = f"{', '.join(keys)}, or - to leave it out" if len(keys) > 1 else "- leaves it out"
    answer = ask(f"  What is it? {several}", key_meant, usual=keys[0])
    choices.headings[spoken(question.column, read.columns)] = answer or LEFT_OUT


def _instead(key: str, readings: Readings) -> str:
    usual = "1" if key == "count" else None
    return str(
        ask(f"{_MISSING[key]}", lambda text: read_cell(key, text, "", readings), usual=usual)
    )


def _cell(unread: Unread, choices: Choices, passed: set[tuple[str, str]]) -> None:
    """Ask what cells alike mean; the answer is read as the cell would be."""
    say(fill(f"{unread.problem.where}: {unread.problem.message}"))
    if unread.problem.hint:
        say(fill(unread.problem.hint.partition("; for ")[0], indent="    ", hanging="    "))

    def check(text: str) -> str:
        read_cell(unread.key, text, unread.unit, choices.readings)
        return text

    answer = ask(f"  `{unread.text}` is", check, nothing="leave it")
    passed.add((unread.key, unread.text))
    if answer is not None:
        choices.readings.means[unread.text.casefold()] = answer
