"""Files that are no plan: each is refused at once, with the reason, and never a traceback."""

from __future__ import annotations

import os
import time

import pytest

from rootroom.plan.reader import read_plan
from rootroom.plan.toml import source
from rootroom.sheets.problems import render_problems
from tests.support.patience import PATIENCE_S


def text_of(path, tmp_path):
    """Return what is printed for a file."""
    plan, problems = read_plan(path)

    assert plan is None
    return render_problems(problems).replace(f"{tmp_path}/", "").replace(str(tmp_path), "FOLDER")


def written(tmp_path, data):
    """Return the path of a file with these bytes."""
    path = tmp_path / "plan.toml"
    path.write_bytes(data)
    return path


def test_error_no_such_file_names_the_nearest(tmp_path):
    """A misspelt file name is answered by the nearest one in the folder."""
    (tmp_path / "spring.toml").write_text("format = 1\n")

    text = text_of(tmp_path / "sping.toml", tmp_path)
    assert text == (
        "sping.toml:1:1: error: there is no such file [no-file]\n"
        "\nhint: did you mean `spring.toml`?\n\n1 error\n"
    )


def test_error_folder(tmp_path):
    """A folder is no plan."""
    text = text_of(tmp_path, tmp_path)
    assert text == "FOLDER:1:1: error: this is a folder, not a file [not-a-file]\n\n1 error\n"


def test_error_pipe_is_not_waited_for(tmp_path):
    """A pipe that nobody writes to does not hang the reader."""
    os.mkfifo(tmp_path / "plan.toml")

    text = text_of(tmp_path / "plan.toml", tmp_path)
    assert text == (
        "plan.toml:1:1: error: this is a device or a pipe, not a file [not-a-file]\n\n1 error\n"
    )


@pytest.mark.parametrize("data", [b"", b"\n", b" \t\r\n"])
def test_error_empty_file(data, tmp_path):
    """An empty file is told how to begin."""
    assert text_of(written(tmp_path, data), tmp_path) == (
        "plan.toml:1:1: error: the file is empty [empty-file]\n"
        "\nhint: `rootroom new` writes a plan to start from\n\n1 error\n"
    )


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"\x89PNG\r\n\x00\x01", "this is no text: it holds zero bytes"),
        (b"PK\x03\x04rest", "this is no plain text but zip or spreadsheet"),
        ("format = 1".encode("utf-16"), "this is no plain text but UTF-16"),
    ],
)
def test_error_binary_file(data, message, tmp_path):
    """A picture, a spreadsheet or UTF-16 is named as what it is."""
    assert f"plan.toml:1:1: error: {message} [not-text]\n" in text_of(
        written(tmp_path, data), tmp_path
    )


def test_error_other_encoding_names_line_and_column(tmp_path):
    """A byte that is not UTF-8 has its place."""
    data = '[garden]\nname = "Café"\n'.encode("latin-1")

    assert text_of(written(tmp_path, data), tmp_path) == (
        "plan.toml:2:12: error: this is not UTF-8 text: byte `e9` [not-utf-8]\n"
        '    name = "Caf�"\n'
        "               ^\n"
        "\nhint: save the file as UTF-8; older programs call that `Unicode` or `UTF-8`\n"
        "\n1 error\n"
    )


def test_error_large_file_is_not_read(tmp_path, monkeypatch):
    """A file of 50 MB is not read at all, and the limit is named."""
    path = tmp_path / "plan.toml"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    monkeypatch.setattr(source.Path, "read_bytes", lambda _: pytest.fail("it was read"))

    assert text_of(path, tmp_path) == (
        "plan.toml:1:1: error: a plan file has at most 10 MB, this one 50 MB [file-too-large]\n"
        "\nhint: a long list of plants belongs into a spreadsheet: "
        '`[[plants]]` with\n      `rows = "plants.csv"`\n\n1 error\n'
    )


def test_error_unreadable_file(tmp_path, monkeypatch):
    """A file that the system refuses is answered with the system's reason."""
    path = written(tmp_path, b"format = 1\n")

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(source.Path, "read_bytes", refuse)
    assert text_of(path, tmp_path) == (
        "plan.toml:1:1: error: cannot read the file: permission denied [unreadable-file]\n"
        "\n1 error\n"
    )


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000, "nowhere/plan.toml"])
def test_error_impossible_paths(name, tmp_path):
    """A path that no file can have is a mistake like any other."""
    plan, problems = read_plan(tmp_path / name)

    assert plan is None
    assert problems[0].code in ("no-file", "unreadable-file")


@pytest.mark.parametrize(
    "text",
    [
        "work = " + "[" * 100_000,
        "[work]\noff = " + "[" * 500 + "]" * 500,
        "a" + ".a" * 200 + " = 1",
        "x = " + "{ a = " * 100_000,
        "hours = " + "9" * 100_000,
        "[work]\nhours = 1e999999999999999999999",
        "[work]\nhours = 1e-999999999",
        "[work]\nhours = 0." + "3" * 100_000,
        "[work]\nhours = 0x" + "f" * 100_000,
        "[mixes.a]\nparts = { bark = 1e-300000000, peat = 1e300000000 }",
        '[[plants]]\nname = "' + "x" * 1_000_000,
        "[" * 200_000,
        '"""' * 50_000,
        "plants = [" + "{}," * 20_000 + "]",
    ],
    ids=range(14),
)
def test_error_hostile_texts_are_answered_quickly(text, tmp_path):
    """Nesting, endless numbers and endless texts give problems, and soon."""
    started = time.perf_counter()
    plan, problems = read_plan(written(tmp_path, text.encode()))

    assert plan is None
    assert problems
    assert render_problems(problems[:50])
    assert time.perf_counter() - started < PATIENCE_S


@pytest.mark.parametrize("change", [str, lambda t: "\ufeff" + t, lambda t: t.replace("\n", "\r\n")])
def test_marks_and_line_ends_do_not_matter(change, tmp_path):
    """A byte order mark and the line ends of other systems change no place."""
    text = '[garden]\nlast_frost = 2027-04-12\nnamee = "Yard"\n'

    _, problems = read_plan(written(tmp_path, change(text).encode()))
    assert [(3, 1, 6)] == [(p.where.line, p.where.start, p.where.end) for p in problems]


def test_error_plan_without_its_ending(tmp_path) -> None:
    """`rootroom check spring` means `spring.toml`, which lies there."""
    (tmp_path / "spring.toml").write_text("")
    _, problems = read_plan(tmp_path / "spring")

    assert ["did you mean `spring.toml`?"] == [problem.hint for problem in problems]
