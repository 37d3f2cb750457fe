"""Asking about what is unclear in a list: headings, columns that are missing, cells."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from rootroom.cli.questions.asking import Interview
from rootroom.plan.answers import one_of
from rootroom.plan.lists.headings import spoken
from rootroom.plan.lists.model import Choices, ListRead, Unread
from rootroom.plan.lists.reading import read_list
from rootroom.plan.lists.table import LEFT_OUT, key_meant
from rootroom.plan.lists.values import read_cell
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
"""Cells asked about at once; nobody answers more in a row."""


def settle(file: Path, choices: Choices) -> ListRead | Problem:
    """Return the list as understood once its questions are answered; `choices` gains the answers.

    An empty answer leaves a cell as it is, to be told as a mistake.
    """
    passed: set[tuple[str, str]] = set()
    while True:
        read = read_list(file, choices)
        if isinstance(read, Problem):
            return read
        missing = [key for key in _MISSING if _lacks(read, key)]
        unread = [one for one in read.unread if one.problem.code in _ASKED]
        unread = [one for one in unread if (one.key, one.text) not in passed]
        if any(problem.code == "hidden-rows" for problem in read.problems):
            Interview().run(partial(_hidden, read, choices))
        elif read.questions:
            Interview().run(partial(_headings, read, choices))
        elif missing:
            Interview().run(partial(_instead, missing, choices))
        elif ways := _ways(unread, choices):
            Interview().run(partial(_whole_list, ways, choices))
        elif kinds := _kinds(unread, passed):
            Interview().run(partial(_whole_columns, kinds, choices))
            passed |= {("", heading) for heading in kinds}
        elif unread:
            Interview().run(partial(_cells, unread[:_MOST_ASKED], choices))
            passed |= {(one.key, one.text) for one in unread[:_MOST_ASKED]}
        else:
            return read


def _lacks(read: ListRead, key: str) -> bool:
    return any(
        problem.code == "missing-column" and problem.message.endswith(f"`{key}`")
        for problem in read.problems
    )


def _hidden(read: ListRead, choices: Choices, ask: Interview) -> None:
    problem = next(one for one in read.problems if one.code == "hidden-rows")
    ask.say(fill(f"{problem.where}: {problem.message}"))
    answer = ask.need("  leave or read them", one_of("leave", "read"), usual="leave")
    choices.hidden = "leave" if answer == "leave" else "read"


def _headings(read: ListRead, choices: Choices, ask: Interview) -> None:
    for question in read.questions:
        keys = [key for key in question.keys if key != LEFT_OUT]
        usual = question.keys[0]
        ask.say(fill(f"{question.column.called} {question.words}."))
        several = f"{', '.join(keys)}, or - to leave it out"
        answer = ask.need(f"  What is it? {several}", key_meant, usual=usual)
        choices.headings[spoken(question.column, read.columns)] = answer


def _instead(keys: Sequence[str], choices: Choices, ask: Interview) -> None:
    for key in keys:
        read = partial(_value, key, "", choices)
        usual = "1" if key == "count" else None
        choices.instead[key] = ask.need(_MISSING[key], read, usual=usual)


_WAYS = {
    "dates": ("ambiguous-date", "Which stands first in dates", ("day-first", "month-first")),
    "decimal": ("ambiguous-number", "What marks decimals in this list", ("point", "comma")),
    "gallons": (
        "ambiguous-container", "Gallons here are the nursery class or true", ("class", "true")
    ),
}  # fmt: skip
"""What is asked once for the whole list, by its option: for cells of which code, what it may be."""


def _ways(cells: Sequence[Unread], choices: Choices) -> dict[str, Unread]:
    """Return what is to be asked for the whole list, each with the first cell it is asked for."""
    found: dict[str, Unread] = {}
    for name, (code, _, _) in _WAYS.items():
        for one in cells:
            fits = one.problem.code == code and f"--{name}" in one.problem.hint
            if fits and getattr(choices.readings, name) is None:
                found.setdefault(name, one)
    return found


def _whole_list(ways: Mapping[str, Unread], choices: Choices, ask: Interview) -> None:
    for name, first in ways.items():
        ask.say(fill(f"{first.problem.where}: {first.problem.message}"))
        _, question, known = _WAYS[name]
        usual = "class" if name == "gallons" else None
        shown = question if usual else f"{question}, {' or '.join(known)}"
        setattr(choices.readings, name, ask.need(f"  {shown}", one_of(*known), usual=usual))


def _kinds(cells: Sequence[Unread], passed: set[tuple[str, str]]) -> dict[str, tuple[str, Unread]]:
    """Return columns with several widths of no kind of pot: what they are read as with it."""
    found: dict[str, tuple[str, Unread]] = {}
    more: set[str] = set()
    for one in cells:
        way = re.search(r'for the whole column `--heading "(.+)=([^="]+)pot\)"`', one.problem.hint)
        if way is not None and ("", way[1]) not in passed:
            more |= {way[1]} & found.keys()
            found.setdefault(way[1], (way[2], one))
    return {heading: kind for heading, kind in found.items() if heading in more}


def _whole_columns(
    kinds: Mapping[str, tuple[str, Unread]], choices: Choices, ask: Interview
) -> None:
    """Ask once for a column what widths in it are of; an empty answer asks cell by cell."""
    for heading, (meaning, first) in kinds.items():
        ask.say(fill(f"{first.problem.where}: {first.problem.message}"))
        known = ("pot", "square pot", "azalea pot", "pan", "basket")
        ask.say(f"    in this column: {', '.join(known)}")
        kind = ask.ask("  All of them are", one_of(*known), nothing="one by one")
        if kind is not None:
            choices.headings[heading] = f"{meaning}{kind})"


def _value(key: str, unit: str, choices: Choices, text: str) -> str:
    """Return a text that can stand in a cell; TextError for another."""
    read_cell(key, text, unit, choices.readings)
    return text


def _cells(cells: Sequence[Unread], choices: Choices, ask: Interview) -> None:
    """Ask what cells alike mean; the answer is read as the cell would be."""
    for unread in cells:
        ask.say(fill(f"{unread.problem.where}: {unread.problem.message}"))
        if unread.problem.hint:
            hint = re.split("; for |; `--means", unread.problem.hint)[0]
            ask.say(fill(hint, indent="    ", hanging="    "))
        check = partial(_value, unread.key, unread.unit, choices)
        answer = ask.ask(f"  `{unread.text}` is", check, nothing="leave it")
        choices.readings.means[unread.text.casefold()] = answer or unread.text
