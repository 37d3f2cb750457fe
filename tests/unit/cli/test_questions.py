"""Commands that answer without a plan."""

from __future__ import annotations

from typer.testing import CliRunner  # noqa: TID251 - the program itself is tried here

from rootroom.cli.app import app


def test_error_no_container_of_that_name() -> None:
    """A text that no container has is told as that, not as a mistake in a plan."""
    done = CliRunner().invoke(app, ["pots", "zzz"])

    assert (2, "") == (done.exit_code, done.stdout)
    first, blank, hint = done.stderr.splitlines()
    assert ("error: no container has this in its name: `zzz`", "") == (first, blank)
    assert hint.startswith("hint: `rootroom pots` lists all; write it as `#3`")
