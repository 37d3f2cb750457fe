"""Commands that answer without a plan."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app
from rootroom.cli.common import say_written


def test_error_no_container_of_that_name() -> None:
    """A text that no container has is told as that, not as a mistake in a plan."""
    done = CliRunner().invoke(app, ["pots", "zzz"])

    assert (2, "") == (done.exit_code, done.stdout)
    first, blank, hint = done.stderr.split("\n", 2)
    assert ("error: no container has this in its name: `zzz`", "") == (first, blank)
    assert hint.startswith("hint: `rootroom pots` lists all; write it as `#3`")


def test_list_of_containers_fits_a_terminal() -> None:
    """Neither the table nor the lines below it are wider than 80 columns."""
    lines = CliRunner().invoke(app, ["pots"]).stdout.splitlines()

    assert len(lines) > 20
    assert [] == [line for line in lines if len(line) > 80]


def test_containers_are_told_in_what_they_are_measured_with() -> None:
    """A class in gallons and inches, a pot named in centimetres in litres and centimetres."""
    one = CliRunner().invoke(app, ["pots", "#5"]).stdout.splitlines()[1]
    other = CliRunner().invoke(app, ["pots", "30 cm pot"]).stdout.splitlines()[1]

    assert " gal " in one
    assert " in " in one
    assert " L " in other
    assert " cm " in other


def test_written_files_are_told_in_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    """One file is one file, and many are wrapped."""
    say_written(["season.pdf"], Path("out"))
    say_written([f"checklists/2027-04-{day}.txt" for day in range(10, 20)], Path("out"))

    first, *others = capsys.readouterr().out.splitlines()
    assert "wrote 1 file to out: season.pdf" == first
    assert others[0].startswith("wrote 10 files to out: checklists/2027-04-10.txt, ")
    assert max(map(len, others)) <= 80
