"""What `--help` says: whole sentences, grouped by what a command is for."""

from __future__ import annotations

import re

from typer.testing import CliRunner  # noqa: TID251

import rootroom
from rootroom.cli.app import GROUPS, MODULES, app

RUNNER = CliRunner()


def test_every_command_has_one_whole_line_in_its_group() -> None:
    """No sentence is cut or wrapped at 80 columns, and no command is missing or comes twice."""
    text = RUNNER.invoke(app, ["--help"]).stdout
    listed = re.findall(r"^  ([a-z]+)  +([A-Z].*)$", text, re.M)
    names = [name for name, _ in listed]

    assert list(MODULES) == names
    assert all(said.endswith(".") and "..." not in said for _, said in listed)
    assert [] == [line for line in text.splitlines() if len(line) > 80]
    heads = [head for head in re.findall(r"^([A-Z][a-z ]+):$", text, re.M) if head != "Options"]
    assert list(GROUPS) == heads


def test_the_help_of_every_command_fits() -> None:
    """No line of any command's own help is wider than 80 columns."""
    for command in MODULES:
        text = RUNNER.invoke(app, [command, "--help"]).stdout
        assert [] == [line for line in text.splitlines() if len(line) > 80]


def test_the_version_is_told_and_nothing_is_done() -> None:
    """It is the version that was installed, as Python is told too."""
    told = RUNNER.invoke(app, ["--version"])

    assert (0, f"rootroom {rootroom.__version__}\n") == (told.exit_code, told.stdout)
