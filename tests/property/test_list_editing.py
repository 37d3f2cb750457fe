"""Drawn edits of CSV lists: only the edited cells change, whatever program wrote the list."""

from __future__ import annotations

import csv
import io
import random
from contextlib import suppress

import pytest

from rootroom.plan.tables.csv_splicing import (
    insert_row,
    read_list_text,
    remove_rows,
    set_cell,
)
from rootroom.problems import TextError

pytestmark = pytest.mark.property

TEXTS = {
    "commas": (
        "name,count,now,to\nFig,2,#1,#3\nBay,3,#2,#5\nBasil,30,72-cell tray,4 in square pot\n"
    ),
    "a mark, Windows line ends, decimal commas": (
        "\ufeffName; Count ;now;to;our notes\r\nFig;2;1,5 L;3,0 L;from Ada; \r\n"
        "Bay;3;#2;#5;\r\n;;;#7;again\r\n"
    ),
    "quotes everywhere": (
        '"name","count","now","to"\n"Fig, ""old""","2","#1","#3"\n"Bay","3","#2","#5"\n'
    ),
    "sep, no last line end, blank rows": (
        'sep=|\r\nname|count|now|note\r\n\r\nFig|2|#1|"two\r\nlines"\r\n  \r\nBay| 3 |#2|x'
    ),
    "short rows, old line ends": "count;name;now;to;by\r2;Fig;#1;#3\r3;Bay;#2;#5;last frost\r",
    "ends in an empty cell": "name,count,now,to,\nFig,2,#1,#3,\nBay,3,#2,,\n",
}
VALUES = ("7", "1,5 L", 'a "b"', "x; y | z", "", "last frost", "½ Bäume", "  padded ")
EDITS = 200


def reread(text: str) -> list[list[str]]:
    """Return the rows as Python's own reader has them, the line of the separator aside."""
    lines = text.removeprefix("\ufeff")
    if lines.startswith("sep="):
        lines = lines[lines.index("\r\n") + 2 :]
    mark = max(",;|", key=lines.splitlines()[0].count)
    return list(csv.reader(io.StringIO(lines, newline=""), delimiter=mark))


@pytest.mark.parametrize("name", TEXTS)
def test_only_the_edited_cell_changes(name: str) -> None:
    """Before and behind the cell every byte stays; the cell says what was written."""
    draw = random.Random(name)
    text = TEXTS[name]
    for _ in range(EDITS):
        page = read_list_text(text)
        row = draw.choice([n for n, one in enumerate(page.rows, 1) if n > 1 and not one.empty])
        index = draw.randrange(len(page.rows[row - 1].cells))
        column, value = (
            page.columns[index] if index < len(page.columns) else "",
            draw.choice(VALUES),
        )
        if not column:
            continue
        cell = page.rows[row - 1].cells[index]
        new = set_cell(text, row, column, value)

        assert new.startswith(text[: cell.start])
        assert new.endswith(text[cell.end :])
        assert value.strip() == reread(new)[row - 1][index].strip()
        others, rows = reread(text), reread(new)
        del others[row - 1][index], rows[row - 1][index]
        assert others == rows
        text = new


@pytest.mark.parametrize("name", TEXTS)
def test_rows_come_and_go_without_a_trace(name: str) -> None:
    """A row that is added and taken away leaves the list as it was; all else stays in between."""
    draw = random.Random(name)
    text = TEXTS[name]
    for number in range(EDITS):
        page = read_list_text(text)
        at = draw.randrange(2, len(page.rows) + 3)
        grown = insert_row(text, at, {"name": f"new {number}", "count": draw.choice(VALUES)})
        (found,) = (n for n, row in enumerate(reread(grown), 1) if f"new {number}" in row)
        assert reread(text) == [row for n, row in enumerate(reread(grown), 1) if n != found]
        assert text == remove_rows(grown, [found])
        text = grown if draw.random() < 0.5 else text
        filled = [
            n for n, row in enumerate(read_list_text(text).rows, 1) if not row.empty and n > 1
        ]
        if len(filled) > 3:
            gone = draw.choice(filled)
            left = [row for n, row in enumerate(reread(text), 1) if n != gone]
            text = remove_rows(text, [gone])
            assert left == reread(text)


def test_next_moves_go_with_their_plant() -> None:
    """A row below without `now`, of the same name or of none, belongs to the plant above."""
    text = "name,count,now,to\nFig,2,#1,#3\n,,,#5\nFig,,,#7\nBay,3,#2,#5\n,,,#9\n\n,,,#10\n"
    page = read_list_text(text)
    assert [range(2, 5), range(3, 4), range(5, 7)] == [page.chain(n) for n in (2, 3, 5)]


PIECES = (
    '"', ";", ",", "|", "\n", "\r", "\r\n", "a", "#1", " ", "\ufeff", "sep=;", "name", "count",
    "now", "\0", "½", "\u2028", "\x0b",
)  # fmt: skip


def test_no_list_makes_an_edit_stumble() -> None:
    """Whatever stands in a list, it is taken apart and edited, or refused in words."""
    draw = random.Random("any list")
    edited = 0
    for _ in range(6000):
        text = "name;count;now\n" + "".join(draw.choices(PIECES, k=draw.randrange(25)))
        with suppress(TextError):
            page = read_list_text(text)
            row = draw.randrange(2, len(page.rows) + 2)
            if row > len(page.rows):
                insert_row(text, row, {"name": "".join(draw.choices(PIECES, k=3))})
            elif draw.random() < 0.5:
                set_cell(text, row, draw.choice(page.columns), "".join(draw.choices(PIECES, k=3)))
            else:
                remove_rows(text, page.chain(row))
            edited += 1
    assert edited > 2000
