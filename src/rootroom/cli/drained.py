"""The command that tells what pots hold and weigh once they have drained."""

from pathlib import Path
from typing import Annotated

import typer

from rootroom.cli.common import AsJson, fail, load, say
from rootroom.cli.streams import working


def drained(
    plan: Annotated[Path | None, typer.Argument(metavar="[PLAN]", help="The plan file.")] = None,
    as_json: AsJson = False,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Draw every pot into this folder (SVG)."),
    ] = None,
    how: Annotated[
        bool,
        typer.Option("--how", help="Explain how to measure a mix at home."),
    ] = False,
) -> None:
    """Tell water, air and weight of every pot once it has drained."""
    if how:
        from rootroom.sheets.pot import home_test_text

        say(home_test_text("us" if plan is None else load(plan).garden.system))
        return
    if plan is None:
        fail("give a plan file, or --how for the test at home")
    from rootroom.pot.report import report_pots

    checked = load(plan)
    with working("working out what the pots hold"):
        report = report_pots(checked)
    if out is not None:
        from rootroom.sheets.files import write_files
        from rootroom.sheets.pot_drawing import drawing_files

        write_files(out, drawing_files(report, checked.garden.system))
    if as_json:
        from rootroom.sheets.pot_json import drained_json

        say(drained_json(report))
        return
    from rootroom.sheets.pot import drained_text

    say(drained_text(checked, report))
