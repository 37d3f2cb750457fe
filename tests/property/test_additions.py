"""What is added to a plan leaves every byte of it where it was."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rootroom.plan.additions import grow
from rootroom.plan.drafts import starter_plan
from rootroom.plan.editing import remove

pytestmark = pytest.mark.property

PLANS = [path.read_text("utf-8") for path in sorted(Path("plans").glob("*.toml"))]
NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Zs", "Co", "Cn")),
                min_size=1, max_size=12)  # fmt: skip
THINGS = st.one_of(
    st.tuples(st.just("plant"), st.fixed_dictionaries(
        {"name": NAMES, "count": st.integers(1, 99), "now": st.sampled_from(["#1", "cutting"])})),
    st.tuples(st.just("supply"), st.fixed_dictionaries(
        {"of": st.sampled_from(["grit", "#2", "logs"]), "have": st.just("2 cu ft")}).map(
            lambda one: {**one, "have": 3} if one["of"] == "#2" else one)),
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([*PLANS, starter_plan()]),
    THINGS,
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
)
def test_taken_away_again_the_plan_is_as_it_was(text, thing, line_end, mark) -> None:
    """Adding and removing is nothing; adding alone keeps every old line, comments too."""
    kind, fields = thing
    text = ("\ufeff" if mark else "") + text.replace("\n", line_end)
    grown = grow(text, Path("plan.toml"), kind, fields, missing=("duplicate-name", "name-taken",
                 "duplicate-supply", "have-and-buy", "wrong-kind", "needs-unit"))  # fmt: skip
    key = {"plant": "plants", "supply": "supplies"}[kind]

    old, new = text.splitlines(keepends=True), iter(grown.text.splitlines(keepends=True))
    assert all(line in new for line in old)
    assert len(grown.text.splitlines()) == len(old) + len(grown.lines)
    number = len(tomllib.loads(grown.text.removeprefix("\ufeff"))[key])
    assert text == remove(grown.text, f"{key}.{number}")
