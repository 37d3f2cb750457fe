"""Which row of a sheet is its heading, and which column of ours each of its columns is.

Headings are matched by a closed table of words (data/headings.toml). What only comes close to one
is a question; what is far from all is left out and told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

from attrs import define, field, frozen

from rootroom.plan.lists.grid import Cell, Grid, GridRow, cell_text, letters
from rootroom.plan.lists.table import (
    LEFT_OUT,
    MOVE_COLUMNS,
    ONLY_NO,
    ONLY_YES,
    Meaning,
    base,
    heading_data,
    list_keys,
    look_up,
    meanings,
    move_of,
    near_word,
    numbered_moves,
    plain,
    with_move,
)
from rootroom.plan.names import shown

_SEARCHED = 60
"""Rows from the top in which a heading is looked for."""

_SAMPLE = 300
_FITS, _WELL = 0.5, 0.8
"""Shares of the cells that may be, and that well are, what a heading says."""


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
    ticks: bool = False
    numbered: bool = False
    again: bool = False
    """Whether another column has the same heading."""

    @property
    def called(self) -> str:
        """The heading in quotes, or the letters of a column without one."""
        if not self.heading:
            return f"column {letters(self.index)}"
        where = f" (column {letters(self.index)})" if self.again else ""
        return f'"{shown(self.heading)}"{where}'


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
    found = _given(text, given) or next((one.key for one in look_up(text)[0]), "")
    if near and not found:
        found = next((one.key for one in meanings().get(near_word(text), ())), "")
    return "" if found == LEFT_OUT else found


def _given(text: str, given: Mapping[str, str]) -> str:
    if not text:
        return ""
    wanted = plain(text)[0]
    exact = next((key for name, key in given.items() if name.casefold() == text.casefold()), "")
    return exact or next((key for name, key in given.items() if plain(name)[0] == wanted), "")


def _columns(texts: Sequence[str], rows: Sequence[GridRow]) -> list[Column]:
    filled = {
        index for row in rows for index, cell in enumerate(row.cells) if cell not in (None, "")
    }
    many = Counter(text.casefold() for text in texts)
    columns = [
        Column(index, text, again=many[text.casefold()] > 1)
        for index, text in enumerate(texts)
        if text
    ]
    known = {column.index for column in columns}
    return sorted(
        [*columns, *(Column(index, "") for index in filled - known)], key=lambda one: one.index
    )


def _match(head: Head, rows: Sequence[GridRow], given: Mapping[str, str], fit: Fit) -> None:
    """Say of each column what it is read as; note questions, and what is left out."""
    numbered = numbered_moves([column.heading for column in head.columns])
    unfound: list[tuple[Column, list[Cell]]] = []
    numbering: list[Column] = []
    for at, column in enumerate(head.columns):
        told = _given(column.heading, given) if column.heading else ""
        told = told or given.get(letters(column.index), "")
        if told:
            _take(column, told)
            continue
        found, column.unit = look_up(column.heading)
        if at in numbered:
            found, column.numbered = tuple(with_move(*numbered[at])), True
        cells = [row.cell(column.index) for row in rows]
        cells = [cell for cell in cells if cell not in (None, "")]
        _weigh(column, found, cells, fit)
        if _only_numbers_rows(column, cells):
            numbering.append(column)
            column.possible = [one for one in column.possible if one.key != "count"]
        if not found and column.heading:
            unfound.append((column, cells))
    _settle_counted(head)
    _number_wait(head)
    _join_latin(head)
    _ask_about_last(head)
    _settle(head)
    for column, cells in unfound:
        _near(head, column, cells, fit)
    _ask_about_ticks(head, rows, fit)
    counted = head.column("count") or any("count" in one.keys for one in head.questions)
    for column in numbering if not counted else ():
        words = "may number the rows or count plants"
        head.questions.append(Question(column, head.row, words, (LEFT_OUT, "count")))


def _take(column: Column, told: str) -> None:
    """Take what the owner says of a column: `now`, `to 2`, `now (in pot)`."""
    key, bracket, spoken = told.partition("(")
    column.key = key.strip()
    column.unit = spoken.strip("()") if bracket else plain(column.heading)[1]


def _weigh(column: Column, found: Sequence[Meaning], cells: Sequence[Cell], fit: Fit) -> None:
    """Keep of what a heading may mean that which its cells allow."""
    known = list_keys()
    column.possible = [one for one in found if base(one.key) in known]
    column.meant = tuple(one.key for one in column.possible)
    for one in column.possible:
        column.fits[one.key] = fit(one.holds, cells, column.unit)
    if any(base(one.key) in ("wait", "harden") for one in column.possible) and not column.unit:
        words = plain(column.heading)[0].split()
        column.unit = next((f"{word}s" for word in words if word in ("week", "day")), "")
    fitting = [one for one in column.possible if column.fits[one.key] >= _FITS]
    if fitting and cells:
        # Bare numbers under `Trays` count them: a pot would lack its unit.
        trays = [one for one in fitting if one.key == "trays"]
        sure = all(column.fits[one.key] < _WELL for one in fitting if one not in trays)
        column.possible = trays if trays and sure else fitting
    elif not cells:
        column.possible = [one for one in column.possible if one.strong]
    else:
        # A word that stands for one thing alone is believed; its cells are told as mistakes.
        column.possible = [one for one in column.possible if one.strong][:1]


def _settle_counted(head: Head) -> None:
    """Read `12 x Fig` as count and name where no other column counts."""
    counts = [one.key for column in head.columns for one in column.possible]
    counts += [column.key for column in head.columns]
    for column in head.columns:
        keys = [one.key for one in column.possible]
        if "counted" in keys:
            alone = not {"count", "trays"} & set(counts)
            column.possible = [one for one in column.possible if (one.key == "counted") == alone]


def _number_wait(head: Head) -> None:
    """Let a wait without a number be that of the second move, as there is none before the first."""
    keys = [one.key for column in head.columns for one in column.possible]
    if "to 2" not in (*keys, *(column.key for column in head.columns)) or "wait 2" in keys:
        return
    for column in head.columns:
        if [one.key for one in column.possible] == ["wait"]:
            column.possible = with_move(column.possible, 2)


def _join_latin(head: Head) -> None:
    """Read genus and species as one name, where no other column is the name."""
    free = [column for column in head.columns if not column.key]
    if any(m.key == "name" and m.strong for column in free for m in column.possible):
        return
    words = {plain(column.heading)[0]: column for column in free}
    genus, species = (words.get(plain(word)[0]) for word in ("Genus", "Species"))
    if head.column("name") is None and genus is not None and species is not None:
        genus.key, species.key = "name", "name 2"


def _ask_about_last(head: Head) -> None:
    """Ask whether the pot that a plant ends up in is a move of this season, beside a nearer one."""
    last = set(heading_data()["moves"]["last"])
    going = [c for c in head.columns if base(c.key) == "to" or c.key == "pots"]
    going += [c for c in head.columns if not c.key and any(base(m.key) == "to" for m in c.possible)]
    ending = [c for c in going if not c.key and last & set(plain(c.heading)[0].split())]
    if len(ending) != 1 or len(going) < 2:
        return
    column = ending[0]
    moves = [max([move_of(c.key), *(move_of(m.key) for m in c.possible)]) for c in going]
    column.possible = []
    text = "may be one more move of this season, or a pot for later years"
    keys = (f"to {max(moves) + 1}", LEFT_OUT)
    head.questions.append(Question(column, head.row, text, keys))


def _ask_about_ticks(head: Head, rows: Sequence[GridRow], fit: Fit) -> None:
    """Ask about a column of yes and no whose heading tells which rows there is work with."""
    data = heading_data()["ticks"]
    asked = {one.column.index for one in head.questions}
    for column in head.columns:
        if column.key or column.index in asked or not column.heading:
            continue
        cells = [row.cell(column.index) for row in rows]
        filled = [cell for cell in cells if cell not in (None, "")]
        words = set(plain(column.heading)[0].split())
        done = bool(words & set(data["done"]))
        if not filled or fit("flag", filled, "") < _WELL or len(set(map(str, cells))) < 2:
            continue
        column.ticks = True
        if words <= {*data["words"], *data["done"]}:
            keys = (ONLY_NO, LEFT_OUT) if done else (ONLY_YES, LEFT_OUT)
            text = "says yes and no: its rows are all read unless it is said which"
            head.questions.append(Question(column, head.row, text, keys))


def _only_numbers_rows(column: Column, cells: Sequence[Cell]) -> bool:
    """Return whether a column that may be a count just goes 1, 2, 3."""
    numbers = [cell_text(cell) for cell in cells]
    rising = len(numbers) > 2 and numbers == [str(n + 1) for n in range(len(numbers))]
    return rising and plain(column.heading)[0] in ("number", "n")


def _near(head: Head, column: Column, cells: Sequence[Cell], fit: Fit) -> None:
    """Ask about a heading that comes close to a word for a column not found, if its cells fit."""
    for meaning in meanings().get(near_word(column.heading), ()):
        free = base(meaning.key) in list_keys() and head.column(meaning.key) is None
        if free and fit(meaning.holds, cells, column.unit) >= _FITS:
            text = f"comes close to a heading for `{meaning.key}`"
            head.questions.append(Question(column, head.row, text, (meaning.key,)))
            return


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
        several = (twins or head.column("to 2") is not None) and not column.numbered
        keys += tuple(f"{key} 2" for key in keys if several and key in MOVE_COLUMNS)
        may = " or ".join(f"`{key}`" for key in keys)
        words = f"may be {may}" + (f", as may {', '.join(twins)}" if twins else "")
        head.questions.append(Question(column, head.row, words, keys))


def spoken(column: Column, columns: Sequence[Column]) -> str:
    """Return how to name a column in an option: by its heading, else by its letters."""
    alike = [one for one in columns if one.heading.casefold() == column.heading.casefold()]
    single = bool(column.heading) and len(alike) == 1
    return shown(column.heading) if single else letters(column.index)
