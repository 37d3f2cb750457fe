"""Which row of a sheet is its heading, and which column of ours each of its columns is.

Headings are matched by a closed table of words (data/headings.toml). What only comes close to one
is a question; what is far from all is left out and told.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from attrs import define, field, frozen

from rootroom.plan.lists.grid import Cell, Grid, GridRow, cell_text, letters
from rootroom.plan.names import closest, shown
from rootroom.plan.tables.plants import known_columns
from rootroom.problems import TextError

LEFT_OUT = "-"
"""What a column is told to be that is to be left out."""

_SEARCHED = 60
"""Rows from the top in which a heading is looked for."""

_SAMPLE = 300
_FITS, _WELL = 0.5, 0.8
"""Shares of the cells that may be, and that well are, what a heading says."""

_NUMBER = {"no": "number", "nr": "number", "num": "number", "nos": "number"}
_DROPPED = {"of", "the", "my", "our"}


@frozen
class Meaning:
    """A column of ours, and how sure a heading's word says so."""

    key: str
    holds: str
    strong: bool


@define
class Column:
    """One column of a list: where it is, what stands over it, and what it is read as."""

    index: int
    heading: str
    unit: str = ""
    key: str = ""
    possible: list[Meaning] = field(factory=list)
    fits: dict[str, float] = field(factory=dict)
    meant: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """The heading in quotes, or the letters of a column without one."""
        return f'"{shown(self.heading)}"' if self.heading else f"column {letters(self.index)}"


@frozen
class Question:
    """A column that may mean one thing or another: what it is called, and what it may be."""

    column: Column
    row: GridRow
    words: str
    keys: tuple[str, ...]


@define
class Head:
    """The heading of a sheet: its row, the last row that belongs to it, and its columns."""

    row: GridRow
    last: GridRow
    columns: list[Column]
    told: list[str] = field(factory=list)
    questions: list[Question] = field(factory=list)

    def column(self, key: str) -> Column | None:
        """Return the column that is read as `key`."""
        return next((one for one in self.columns if one.key == key), None)


Fit = Callable[[str, Sequence[Cell], str], float]
"""The share of cells that a kind of content fits, for (kind, cells, unit of the heading)."""


@cache
def heading_data() -> Mapping[str, Any]:
    """Return the closed table, read once."""
    text = files("rootroom.plan").joinpath("data", "headings.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def _meanings() -> Mapping[str, tuple[Meaning, ...]]:
    found: dict[str, list[Meaning]] = {}
    for column in heading_data()["column"]:
        for strong, words in ((True, column["words"]), (False, column["weak"])):
            for word in (*words, *((column["key"],) if strong else ())):
                one = Meaning(column["key"], column["holds"], strong)
                if one not in found.setdefault(plain(word)[0], []):
                    found[plain(word)[0]].append(one)
    return {word: tuple(meanings) for word, meanings in found.items()}


def list_keys() -> tuple[str, ...]:
    """Return the columns that a list may have: those of the plan's rows, and a note."""
    known = {*known_columns(), "note", "sort", "place", "tag"}
    return tuple(column["key"] for column in heading_data()["column"] if column["key"] in known)


def plain(text: str) -> tuple[str, str]:
    """Return a heading in one form for all its spellings, and what stands in brackets in it."""
    text = unicodedata.normalize("NFKC", text)
    brackets = re.findall(r"[(\[]([^()\[\]]*)[)\]]", text)
    bare = re.sub(r"[(\[][^()\[\]]*[)\]]", " ", text)
    words = _words(bare)
    if not words and brackets:
        return _words(brackets[0]), ""
    return words, brackets[-1].strip() if brackets else ""


def _words(text: str) -> str:
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
    keys = list_keys()
    if word.casefold().replace(" ", "_") in keys:
        return word.casefold().replace(" ", "_")
    found = _meanings().get(plain(word)[0], ())
    strong = [one.key for one in found if one.strong] or [one.key for one in found]
    if len(strong) == 1:
        return strong[0]
    near = closest(word, keys)
    raise TextError(
        f"no column of a list: `{shown(word)}`",
        code="unknown-column",
        hint=f"did you mean `{near}`?" if near else f"columns are {', '.join(keys)}; `-` is none",
    )


def find_head(grid: Grid, given: Mapping[str, str], fit: Fit) -> Head | None:
    """Return the heading of a sheet with its columns matched; None where no row looks like one.

    `given` says what headings (or columns by their letters) are, in place of the table.
    """
    best = _best(grid, given, near=False) or _best(grid, given, near=True)
    if best is None:
        widest = max((len(row.cells) for row in grid.rows), default=0)
        lettered = [Column(index, "") for index in range(widest)]
        if not any(letters(column.index) in given for column in lettered):
            return None
        head = Head(grid.rows[0], GridRow(0, ()), lettered)
        _match(head, grid.rows[:_SAMPLE], given, fit)
        return head
    at, last, heads = best
    head = Head(grid.rows[at], grid.rows[last], _columns(heads, grid.rows[last + 1 :]))
    _match(head, grid.rows[last + 1 : last + 1 + _SAMPLE], given, fit)
    return head


def _best(
    grid: Grid, given: Mapping[str, str], *, near: bool
) -> tuple[int, int, Sequence[str]] | None:
    """Return the row with the most headings, the last row that belongs to it, and their texts.

    Two known ones make a heading; with `near` three that come close to one do as well.
    """
    best, score = None, 2 if near else 1
    for at in range(min(len(grid.rows), _SEARCHED)):
        for last, texts in _candidates(grid.rows, at):
            found = len({key for text in texts if (key := _first_key(text, given, near=near))})
            if found > score:
                best, score = (at, last, texts), found
    return best


def _candidates(rows: Sequence[GridRow], at: int) -> Iterable[tuple[int, list[str]]]:
    """Yield a row's texts as a heading, and those of it and the row below read together."""
    texts = [cell_text(cell) for cell in rows[at].cells]
    below = rows[at + 1].cells if at + 1 < len(rows) else (0,)
    if any(not isinstance(cell, str | None) for cell in below):
        yield at, texts
        return
    under = [cell_text(cell) for cell in below]
    width = max(len(texts), len(under))
    texts += [""] * (width - len(texts))
    under += [""] * (width - len(under))
    if {text.casefold().strip("()") for text in under if text} <= set(_units()):
        yield at + 1, [f"{a} ({b.strip('()')})" if a and b else a
                       for a, b in zip(texts, under, strict=True)]  # fmt: skip
        return
    yield at, list(texts)
    joined, group = [], ""
    for over, low in zip(texts, under, strict=True):
        group = over or (group if low else "")
        joined.append(f"{over if not low else group} {low}".strip())
    yield at + 1, joined


def _units() -> Sequence[str]:
    words: Sequence[str] = heading_data()["units"]["words"]
    return words


def _first_key(text: str, given: Mapping[str, str], *, near: bool) -> str:
    if not text:
        return ""
    found = _given(text, given) or next((one.key for one in _look_up(text)[0]), "")
    if near and not found:
        found = next((one.key for one in _meanings().get(_near_word(text), ())), "")
    return "" if found == LEFT_OUT else found


def _given(text: str, given: Mapping[str, str]) -> str:
    if not text:
        return ""
    wanted = plain(text)[0]
    exact = next((key for name, key in given.items() if name.casefold() == text.casefold()), "")
    return exact or next((key for name, key in given.items() if plain(name)[0] == wanted), "")


def _look_up(text: str) -> tuple[tuple[Meaning, ...], str]:
    """Return what a heading may mean, and its unit: with its brackets as words if that is known."""
    words, unit = plain(text)
    table = _meanings()
    if unit not in ("", "#") and (found := table.get(f"{words} {_words(unit)}")):
        return found, ""
    return table.get(words) or _family(words), unit


@lru_cache(maxsize=4096)
def _family(words: str) -> tuple[Meaning, ...]:
    """Return what a heading means that is made of known words: `desired container size`."""
    own = set(words.split())
    return tuple(
        Meaning(one["key"], one["holds"], strong=True)
        for one in heading_data()["family"]
        if own & set(one["says"]) and own <= {*one["says"], *one["about"]}
    )


def _columns(texts: Sequence[str], rows: Sequence[GridRow]) -> list[Column]:
    filled = {
        index for row in rows for index, cell in enumerate(row.cells) if cell not in (None, "")
    }
    columns = [Column(index, text) for index, text in enumerate(texts) if text]
    known = {column.index for column in columns}
    return sorted(
        [*columns, *(Column(index, "") for index in filled - known)], key=lambda one: one.index
    )


def _match(head: Head, rows: Sequence[GridRow], given: Mapping[str, str], fit: Fit) -> None:
    """Say of each column what it is read as; note questions, and what is left out."""
    known = list_keys()
    unfound: list[tuple[Column, list[Cell]]] = []
    numbering: list[Column] = []
    for column in head.columns:
        told = _given(column.heading, given) if column.heading else ""
        told = told or given.get(letters(column.index), "")
        unit = plain(column.heading)[1]
        if told:
            key, _, spoken = told.partition(" ")
            column.key, column.unit = key, spoken.strip("()") or unit
            continue
        found, column.unit = _look_up(column.heading)
        cells = [row.cell(column.index) for row in rows]
        cells = [cell for cell in cells if cell not in (None, "")]
        column.possible = [one for one in found if one.key in known]
        column.meant = tuple(one.key for one in column.possible)
        for one in column.possible:
            column.fits[one.key] = fit(one.holds, cells, column.unit)
        fitting = [one for one in column.possible if column.fits[one.key] >= _FITS]
        if fitting and cells:
            column.possible = fitting
        elif not cells:
            column.possible = [one for one in column.possible if one.strong]
        else:
            # A word that stands for one thing alone is believed; its cells are told as mistakes.
            column.possible = [one for one in column.possible if one.strong][:1]
        if _only_numbers_rows(column, cells):
            numbering.append(column)
            column.possible = [one for one in column.possible if one.key != "count"]
        if not found and column.heading:
            unfound.append((column, cells))
    _settle(head)
    for column, cells in unfound:
        _near(head, column, cells, fit)
    counted = head.column("count") or any("count" in one.keys for one in head.questions)
    for column in numbering if not counted else ():
        words = "may number the rows or count plants"
        head.questions.append(Question(column, head.row, words, (LEFT_OUT, "count")))


def _only_numbers_rows(column: Column, cells: Sequence[Cell]) -> bool:
    """Return whether a column that may be a count just goes 1, 2, 3."""
    numbers = [cell_text(cell) for cell in cells]
    rising = len(numbers) > 2 and numbers == [str(n + 1) for n in range(len(numbers))]
    return rising and plain(column.heading)[0] in ("number", "n")


def _near(head: Head, column: Column, cells: Sequence[Cell], fit: Fit) -> None:
    """Ask about a heading that comes close to a word for a column not found, if its cells fit."""
    for meaning in _meanings().get(_near_word(column.heading), ()):
        free = meaning.key in list_keys() and head.column(meaning.key) is None
        if free and fit(meaning.holds, cells, column.unit) >= _FITS:
            text = f"comes close to a heading for `{meaning.key}`"
            head.questions.append(Question(column, head.row, text, (meaning.key,)))
            return


@lru_cache(maxsize=4096)
def _near_word(heading: str) -> str:
    """Return the known word that a heading comes close to, empty for none."""
    words = plain(heading)[0]
    others = {plain(word)[0] for word in heading_data()["others"]["words"]}
    if not 3 < len(words) < 40 or words in others:
        return ""
    return next(iter(get_close_matches(words, list(_meanings()), 1, 0.8)), "")


def _settle(head: Head) -> None:
    """Give each key to one column; a word that means it by itself goes before a weak one."""
    for strong in (True, False):
        while _settled(head, strong=strong):
            pass
    _ask_left(head)


def _settled(head: Head, *, strong: bool) -> bool:
    """Give one more column its key; return whether there was one that has no rival."""
    free = [column for column in head.columns if not column.key]
    for column in free:
        column.possible = [one for one in column.possible if head.column(one.key) is None]
    for key in dict.fromkeys(one.key for column in free for one in _at(column, strong)):
        rivals = [column for column in free if any(m.key == key for m in _at(column, strong))]
        single = [column for column in rivals if len(_at(column, strong)) == 1]
        whole = [column for column in single if column.fits.get(key, 0) >= _WELL]
        for some in (rivals, single, whole):
            if len(some) == 1 and some[0] in single:
                some[0].key = key
                return True
    return False


def _at(column: Column, strong: bool) -> list[Meaning]:
    return [one for one in column.possible if one.strong == strong]


def _ask_left(head: Head) -> None:
    """Ask about columns that mean two things, or one that another column means as well."""
    for column in head.columns:
        if column.key or not column.possible:
            continue
        keys = tuple(
            dict.fromkeys(one.key for one in column.possible if head.column(one.key) is None)
        )
        if not keys:
            continue
        twins = [
            other.called
            for other in head.columns
            if other is not column and not other.key and any(m.key in keys for m in other.possible)
        ]
        may = " or ".join(f"`{key}`" for key in keys)
        words = f"may be {may}" + (f", as may {', '.join(twins)}" if twins else "")
        head.questions.append(Question(column, head.row, words, keys))


def spoken(column: Column, columns: Sequence[Column]) -> str:
    """Return how to name a column in an option: by its heading, else by its letters."""
    alike = [one for one in columns if one.heading.casefold() == column.heading.casefold()]
    single = bool(column.heading) and len(alike) == 1
    return shown(column.heading) if single else letters(column.index)
