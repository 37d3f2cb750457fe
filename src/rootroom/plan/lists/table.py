"""The closed table of words over people's columns, and what a heading may mean by it.

The words are data (data/headings.toml); nothing here looks at cells.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher, get_close_matches
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from attrs import frozen

from rootroom.plan.names import closest, shown
from rootroom.plan.tables.plants import known_columns
from rootroom.problems import TextError

LEFT_OUT = "-"
"""What a column is told to be that is to be left out."""

ONLY_YES, ONLY_NO = "only yes", "only no"
"""What a column of ticks is told to be whose rows count where it says so."""

MOVE_COLUMNS = ("to", "from", "by", "mix", "wait", "harden", "window")
"""Columns that a list may have once for each move: `to 2` is that of the second one."""

_NUMBER = {"no": "number", "nr": "number", "num": "number", "nos": "number"}
_UNIT_BEHIND = re.compile(r"(.+?) (?:in )?(inche?|cm|gal|gallon|litre|liter|l)")
_DROPPED = {"of", "the", "my", "our"}
_BESIDE = ("note", "sort", "place", "tag", "window", "pots", "trays", "cells", "counted")


@frozen
class Meaning:
    """A column of ours, and how sure a heading's word says so."""

    key: str
    holds: str
    strong: bool


@cache
def heading_data() -> Mapping[str, Any]:
    """Return the closed table, read once."""
    text = files("rootroom.plan").joinpath("data", "headings.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def meanings() -> Mapping[str, tuple[Meaning, ...]]:
    """Return what each word of the table means, by its one form."""
    found: dict[str, list[Meaning]] = {}
    for column in heading_data()["column"]:
        for strong, words in ((True, column["words"]), (False, column["weak"])):
            for word in (*words, *((column["key"],) if strong else ())):
                one = Meaning(column["key"], column["holds"], strong)
                if one not in found.setdefault(plain(word)[0], []):
                    found[plain(word)[0]].append(one)
    return {word: tuple(several) for word, several in found.items()}


def list_keys() -> tuple[str, ...]:
    """Return the columns that a list may have: those of the plan's rows, and some beside them."""
    known = {*known_columns(), *_BESIDE}
    return tuple(column["key"] for column in heading_data()["column"] if column["key"] in known)


def base(key: str) -> str:
    """Return a column without the number of its move: `to 2` is `to`."""
    return key.partition(" ")[0]


def move_of(key: str) -> int:
    """Return the move that a column is of, from 1."""
    number = key.partition(" ")[2]
    return int(number) if number.isdigit() else 1


def plain(text: str) -> tuple[str, str]:
    """Return a heading in one form for all its spellings, and what stands in brackets in it."""
    text = unicodedata.normalize("NFKC", text)
    brackets = re.findall(r"[(\[]([^()\[\]]*)[)\]]", text)
    bare = re.sub(r"[(\[][^()\[\]]*[)\]]", " ", text)
    words = in_one_form(bare)
    if not words and brackets:
        return in_one_form(brackets[0]), ""
    return words, brackets[-1].strip() if brackets else ""


def in_one_form(text: str) -> str:
    """Return words in small letters and the singular, without marks between them."""
    text = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text).replace("#", " number ").casefold()
    words = re.sub(r"[^\w]|_", " ", text).split()
    return " ".join(_singular(_NUMBER.get(word, word)) for word in words if word not in _DROPPED)


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def key_meant(text: str) -> str:
    """Return the column that a word given for a heading means; TextError for no such word."""
    word = text.strip()
    if word == LEFT_OUT:
        return LEFT_OUT
    if " ".join(word.casefold().split()) in (ONLY_YES, ONLY_NO):
        return " ".join(word.casefold().split())
    numbered = re.fullmatch(r"(.+?) ?([1-9])", word)
    if numbered is not None and not meanings().get(plain(word)[0]):
        key = key_meant(numbered[1])
        if key in (*MOVE_COLUMNS, "name"):
            return key if numbered[2] == "1" else f"{key} {numbered[2]}"
    keys = list_keys()
    if word.casefold().replace(" ", "_") in keys:
        return word.casefold().replace(" ", "_")
    found = meanings().get(plain(word)[0], ())
    strong = [one.key for one in found if one.strong] or [one.key for one in found]
    if len(strong) == 1:
        return strong[0]
    near = closest(word, keys)
    raise TextError(
        f"no column of a list: `{shown(word)}`",
        code="unknown-column",
        hint=f"did you mean `{near}`?" if near else f"columns are {', '.join(keys)}; `-` is none",
    )


def look_up(text: str) -> tuple[tuple[Meaning, ...], str]:
    """Return what a heading may mean, and its unit: with its brackets as words if that is known."""
    words, unit = plain(text)
    joined = f"{words} {in_one_form(unit)}"
    if unit not in ("", "#") and (found := meanings().get(joined)):
        return found, ""
    if unit and unit.casefold() not in heading_data()["units"]["words"]:
        found = family(joined)
        if found and meanings().get(words, family(words))[:1] != found[:1]:
            return found, ""
    found = meanings().get(words) or family(words)
    behind = _UNIT_BEHIND.fullmatch(words)
    if not found and not unit and behind is not None:
        sized = meanings().get(behind[1]) or family(behind[1])
        found = tuple(one for one in sized if one.holds in ("container", "steps"))
        unit = "in" if behind[2].startswith("inch") else behind[2]
    return found, unit


@lru_cache(maxsize=4096)
def family(words: str) -> tuple[Meaning, ...]:
    """Return what a heading means that is made of known words: `desired container size`."""
    own = set(words.split())
    return tuple(
        Meaning(one["key"], one["holds"], strong=True)
        for one in heading_data()["family"]
        if own & set(one["says"]) and own <= {*one["says"], *one["about"]}
    )


@lru_cache(maxsize=4096)
def near_word(heading: str) -> str:
    """Return the known word that a heading comes close to, empty for none."""
    words = plain(heading)[0]
    others = {plain(word)[0] for word in heading_data()["others"]["words"]}
    if not 3 < len(words) < 40 or words in others:
        return ""
    known = list(meanings())
    close = get_close_matches(words, known, 5, 0.8)
    alike = [word for word in close if _likeness(word, words) == _likeness(close[0], words)]
    return min(alike, key=known.index, default="")


def _likeness(one: str, other: str) -> float:
    return SequenceMatcher(None, other, one).ratio()


def numbered_moves(headings: Sequence[str]) -> dict[int, tuple[tuple[Meaning, ...], int]]:
    """Return the columns that are of one move of several: their meanings, and which move it is.

    `2nd pot` and `Autumn pot` are numbered by their words; seasons go by their order in the list,
    after a column that says the next pot without a number.
    """
    data = heading_data()["moves"]
    ordinals = {word: n for n, key in enumerate(("first", "second", "third", "fourth"), 1)
                for word in data[key]}  # fmt: skip
    found: dict[int, tuple[tuple[Meaning, ...], str]] = {}
    for index, heading in enumerate(headings):
        words = plain(heading)[0].split()
        marks = [word for word in words if word in ordinals or word in data["seasons"]]
        if len(marks) == 1 and not meanings().get(plain(heading)[0]):
            rest = [word for word in words if word not in marks and word not in data["about"]]
            several = _of_a_move(" ".join(rest))
            if several:
                found[index] = (several, marks[0])
    if len(found) == 1:
        # A word as `first` numbers the moves only where there are others.
        found = {at: one for at, one in found.items() if not look_up(headings[at])[0]}
    seasons = list(dict.fromkeys(mark for _, mark in found.values() if mark not in ordinals))
    numbers = sorted({ordinals[mark] for _, mark in found.values() if mark in ordinals})
    plainly = any("to" in {one.key for one in look_up(text)[0] if one.strong} for text in headings)
    shift = 1 if plainly and 1 not in numbers else 0
    return {
        index: (several, ordinals[mark] if mark in ordinals else seasons.index(mark) + 1 + shift)
        for index, (several, mark) in found.items()
    }


def _of_a_move(words: str) -> tuple[Meaning, ...]:
    """Return what a heading of one move means without its number; a pot is the one it goes to."""
    if not words:
        return (Meaning("to", "container", strong=True),)
    found = meanings().get(words) or family(words)
    if any(one.key in ("now", "to") for one in found):
        return (Meaning("to", "container", strong=True),)
    return tuple(one for one in found if one.key in MOVE_COLUMNS and one.key != "window")


def with_move(several: Sequence[Meaning], move: int) -> list[Meaning]:
    """Return meanings as columns of one move."""
    if move == 1:
        return list(several)
    return [Meaning(f"{one.key} {move}", one.holds, one.strong) for one in several]
