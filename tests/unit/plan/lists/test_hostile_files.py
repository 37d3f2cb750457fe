"""Files that are damaged, enormous or made to hurt: a message each, never a traceback."""

from __future__ import annotations

import random
import tomllib
import zipfile
from pathlib import Path

import pytest

from rootroom.plan.lists import files, grid, reading
from rootroom.problems import Problem
from tests.support.lists import messages, read, read_text, write_ods, write_xlsx

ROWS = [["Name", "Qty", "Now", "To"], ["Fig", 12, "#1", "#3"]]


def refused(found) -> str:
    """Return the code of the one problem that a file is answered by."""
    assert isinstance(found, Problem), found
    return found.code


def test_error_cell_far_from_the_list(tmp_path) -> None:
    """One stray cell in the last column of the last row would take 500 GB; it takes a message."""
    import openpyxl

    path = write_xlsx(tmp_path / "a.xlsx", ROWS)
    book = openpyxl.load_workbook(path)
    book.active["XFD1048576"] = 1
    book.save(path)
    found = read(path)

    assert [
        "a.xlsx:1:1: error: this spreadsheet cannot be read: damaged, or a stray cell far from the"
        " list [bad-workbook]"
    ] == messages(found)


def test_format_far_from_the_list_does_no_harm(tmp_path) -> None:
    """An empty cell with a format is no cell."""
    import openpyxl

    path = write_xlsx(tmp_path / "a.xlsx", ROWS)
    book = openpyxl.load_workbook(path)
    book.active["XFD1048576"].number_format = "0%"
    book.save(path)

    assert 1 == len(read(path).rows)


def test_error_archive_that_unpacks_without_end(tmp_path, monkeypatch) -> None:
    """The size that an archive comes to is known before it is unpacked."""
    monkeypatch.setattr(files, "_MOST_UNPACKED", 4_000_000)
    path = write_xlsx(tmp_path / "a.xlsx", ROWS)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        for number in range(5):
            archive.writestr(f"xl/worksheets/more{number}.xml", b"0" * 1_000_000)
    found = read(path)

    assert "file-too-large" == refused(found)
    assert "unpacked this spreadsheet has 5 MB, at most 4 MB are read" == found.message


def test_error_archive_that_lies_about_its_size(tmp_path) -> None:
    """More than is stated does not leave the child process."""
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 3_000_000)
    data = path.read_bytes().replace((3_000_000).to_bytes(4, "little"), (3).to_bytes(4, "little"))
    path.write_bytes(data)

    assert "bad-workbook" == refused(read(path))


@pytest.mark.parametrize("make", [write_xlsx, write_ods])
def test_error_damaged_spreadsheets(make, tmp_path) -> None:
    """Cut off or with bytes changed, a file is read or refused."""
    data = make(tmp_path / "whole", ROWS).read_bytes()
    draw = random.Random(17)
    codes = set()
    for number in range(4):
        changed = bytearray(data[: len(data) * (number + 2) // 5])
        for _ in range(3):
            changed[draw.randrange(4, len(changed))] = draw.randrange(256)
        path = tmp_path / f"{number}"
        path.write_bytes(changed)
        found = read(path)
        codes.add(refused(found) if isinstance(found, Problem) else "")
    assert "bad-workbook" in codes
    assert codes <= {"bad-workbook", ""}


def test_error_files_that_are_no_list(tmp_path) -> None:
    """A folder, nothing, a picture, a page of the web, a workbook of nothing."""
    import openpyxl

    openpyxl.Workbook().save(tmp_path / "empty.xlsx")
    codes = {
        "no-file": read(tmp_path / "none.csv"),
        "not-a-file": read(tmp_path),
        "empty-file": read_text(tmp_path, " \n"),
        "not-text": read_text(tmp_path, b"\x89PNG\r\n\x1a\n\0\0\0"),
        "bad-workbook": read_text(tmp_path, b"PK\x03\x04"),
        "no-heading": read_text(tmp_path, "Fig,2\nBay,3\n"),
    }
    assert list(codes) == [refused(found) for found in codes.values()]
    assert "empty-file" == refused(read(tmp_path / "empty.xlsx"))
    assert "not-text" == refused(read_text(tmp_path, "<html><table>"))
    assert "not-utf-8" == refused(read_text(tmp_path, b"Name,Qty\x81\x8d,Now\n"))
    assert "no-sheet" == refused(read_text(tmp_path, "Name,Qty,Now\n", sheet="A"))


def test_error_limits(tmp_path, monkeypatch) -> None:
    """Rows, columns and bytes end somewhere."""
    head = "Name,Qty,Now\n"
    wide = write_xlsx(tmp_path / "wide.xlsx", [["x"] * 501])
    assert "too-many-columns" == refused(read_text(tmp_path, head + "," * 600 + "x\n"))
    assert "too-many-columns" == refused(read(wide))
    monkeypatch.setattr(files, "MOST_ROWS", 3)
    assert "too-many-rows" == refused(read_text(tmp_path, head + "Fig,2,#1\n" * 3))
    monkeypatch.setattr(reading, "MOST_LIST_BYTES", 10)
    assert "file-too-large" == refused(read_text(tmp_path, head))
    assert (100_000, 500) == (grid.MOST_ROWS, files.MOST_COLUMNS)


def test_error_child_that_takes_too_long(tmp_path, monkeypatch) -> None:
    """A file that nobody can read in the time given is left."""
    monkeypatch.setattr(files, "_MOST_SECONDS", 0.0)
    found = read(write_xlsx(tmp_path / "a.xlsx", ROWS))

    assert "this spreadsheet takes too long to read" in found.message


def test_error_broken_quotes_name_their_line(tmp_path) -> None:
    """A quote that never closes is told where it opens."""
    found = read_text(tmp_path, 'Name,Qty,Now\nFig,2,#1\n"Bay,2,#1\nMint,2,#1\n')

    assert ["list.csv:3:1: error: cannot read the row: unexpected end of data [bad-row]"] == (
        messages(found)
    )


def test_error_many_mistakes_end_somewhere(tmp_path) -> None:
    """A list of nonsense is answered by a hundred problems, alike ones together."""
    rows = "".join(f"Fig,x{n}y,#1\n" for n in range(500))
    assert 100 == len(read_text(tmp_path, "Name,Qty,Now\nBay,1,#1\n" + rows * 1).problems)
    rows = "".join("Fig,x,#1\n" for n in range(500))
    found = read_text(tmp_path, "Name,Count,Now\nBay,1,#1\n" + rows)
    assert ['"Count": a count is a whole number from 1 to 10,000,000: `x`'
            " (and 499 more: B4, B5, B6, ...)"] == [p.message for p in found.problems]  # fmt: skip


def test_what_hides_in_cells_is_written_out(tmp_path) -> None:
    """No cell can rewrite the terminal or hide in a name."""
    found = read_text(tmp_path, "Name,Qty,Now\nFig\x1b[31m,2,#1\u202e\n")

    assert {"unknown-container", "hidden-character"} >= {p.code for p in found.problems}
    assert all(str(problem).isprintable() for problem in found.problems)


def test_every_code_of_lists_is_tried() -> None:
    """Each code that is explained stands in a test beside or above this one."""
    texts = "".join(
        path.read_text("utf-8") for path in Path(__file__).parents[1].rglob("test_*.py")
    )
    data = Path(reading.__file__).parents[1] / "data" / "codes.toml"
    codes = tomllib.loads(data.read_text("utf-8"))["lists"]

    assert [] == [code for code in codes if code not in texts]
