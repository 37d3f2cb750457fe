"""Drawn plans: next year's is right, a plan differs from itself in nothing, and dates move once."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from rootroom.plan.differences import differences
from rootroom.plan.reader import read_plan_text
from rootroom.record.next_year.new_plan import next_year
from tests.support.plan_strategies import Tree, plan_text, whole_plans

pytestmark = pytest.mark.property


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(tree=whole_plans(), as_planned=st.booleans())
def test_the_next_plan_of_a_right_plan_is_right(tree: Tree, as_planned: bool) -> None:
    """It has no mistake, be nothing done or all as planned, and its season is the year after."""
    text = plan_text(tree)
    plan, _ = read_plan_text(text, "this.toml")
    assume(plan is not None)
    assert plan is not None
    draft = next_year(text, plan, (), Path("this.toml"), as_planned=as_planned)
    found, problems = read_plan_text(draft.text, "next.toml")

    assert found is not None, [str(one) for one in problems if one.severity == "error"]
    assert () == differences(text, text)
    assert 360 <= (found.work.first - plan.work.first).days <= 366
