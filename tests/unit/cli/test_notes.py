"""The options for notes: one for each kind."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer  # noqa: TID251 - the options of a command are tried here
from typer.testing import CliRunner  # noqa: TID251

from rootroom.cli.common import NOTES, with_notes
from rootroom.plan.reader import read_plan
from rootroom.problems import TextError
from rootroom.record.apply import replay
from rootroom.record.noting.written_notes import Noter


def test_notes_are_taken_in_the_order_of_the_kinds() -> None:
    """A command gets all that was told, its own options and no others beside it."""
    got: list[object] = []

    def command(plan: str, quick: bool = False, *, notes: dict[str, list[str]]) -> None:
        """Take notes."""
        got.extend((plan, quick, notes))

    app = typer.Typer()
    app.command()(with_notes(command))
    arguments = ["p", "--taken-out", "5 L", "--moved", "a=1", "--quick", "--moved", "b=2"]
    done = CliRunner().invoke(app, arguments)

    assert 0 == done.exit_code, done.output
    assert ["p", True, {"moved": ["a=1", "b=2"], "taken out": ["5 L"]}] == got
    assert ["moved", "taken out"] == list(got[2])


PLAN = """
plants = [ { name = "Fig", count = 20, now = "#3", to = "#7", mix = "tree" } ]
supplies = [ { of = "peat", pack = "100 L", price = 10.00, from = "Mill Road" } ]
beds = [ { name = "South bed", shape = "8 ft x 4 ft", depth = "11 in" } ]
[garden]
last_frost = 2027-04-12
[mixes.tree]
parts = { bark = 1, peat = 1 }
"""


@pytest.mark.parametrize("kind", NOTES)
def test_every_example_of_the_help_can_be_read(kind: str, tmp_path: Path) -> None:
    """What `--help` shows for a kind of note is a note of that kind."""
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    plan, problems = read_plan(tmp_path / "plan.toml")
    assert plan is not None, problems
    noter = Noter(plan, replay(plan, ()))
    try:
        told, _ = noter.read(kind, NOTES[kind])
    except TextError as error:
        pytest.fail(f"{error.message} {error.hint}")

    assert kind == told
