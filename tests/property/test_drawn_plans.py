"""What holds of any plan at all, drawn key by key: an answer or a list of mistakes, whole or none.

`rootroom` is run on each as a command is, in this process; what breaks it comes out of the runner.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from typer.testing import CliRunner, Result  # noqa: TID251 - runs the commands

from rootroom.cli.app import app
from rootroom.plan.reader import read_plan
from rootroom.problems import TextError
from tests.support.plan_strategies import Tree, plan_text, slipped_plans, whole_plans
from tests.support.trials import check_places

pytestmark = pytest.mark.property

DRAWN = settings(
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
CODES = (0, 1, 2, 3)


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """Return a folder that the plans of a test are written to, one after the other."""
    return tmp_path_factory.mktemp("drawn")


def run(*arguments: object) -> Result:
    """Run a command; only the program's own ways to end are ways to end."""
    done = CliRunner().invoke(app, [str(argument) for argument in arguments])
    if done.exception is not None and not isinstance(done.exception, SystemExit | TextError):
        raise done.exception
    assert done.exit_code in CODES
    return done


@settings(DRAWN, max_examples=150)
@given(plan=slipped_plans())
def test_error_any_slip_has_its_place(plan: Tree, folder: Path):
    """A whole plan with values where they do not belong is read, or answered inside the file."""
    path = folder / "slipped.toml"
    path.write_text(plan_text(plan), encoding="utf-8")
    found, problems = read_plan(path)

    assert (found is None) == any(problem.severity == "error" for problem in problems)
    check_places(problems)


@settings(DRAWN, max_examples=12)
@given(plan=whole_plans())
def test_every_command_answers_any_plan(plan: Tree, folder: Path):
    """Each command ends with an answer or the plan's mistakes, and leaves nothing half done."""
    path = folder / "plan.toml"
    path.write_text(plan_text(plan), encoding="utf-8")
    checked = run("check", path)
    demand = run("demand", path, "--json")
    season = run("season", path, "--seconds", 2, "--out", folder / "sheets")

    assert checked.exit_code == demand.exit_code
    assert season.exit_code in ((0, 3) if checked.exit_code == 0 else (checked.exit_code,))
    if checked.exit_code == 0:
        assert json.loads(demand.stdout)
    else:
        assert not demand.stdout
    assert not [left for left in folder.rglob("*") if left.suffix == ".tmp"]
