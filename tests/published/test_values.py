"""Every number of `tests/reference/`, and that a shifted one would be noticed."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.published


def test_printed_value(case):
    """The computed value rounds to the printed one."""
    value = case.computed()

    assert case.holds(value), f"printed {case.expected} {case.unit}, computed {value!r}"


@pytest.mark.parametrize("moved", [-2.01, 2.01])
def test_moved_value_fails(case, moved):
    """A printed value that is moved by two tolerances is not reproduced."""
    assert not case.holds(case.computed(), moved)


def test_known_difference_is_as_stated(known):
    """A printed number that we do not reproduce is off by what the case says, no more."""
    value = known.computed()

    assert not known.holds(value), "no difference any more: make it a case"
    assert f"{value:.0f}" == known.ours


def test_printed_mistake_is_not_reproduced(trap):
    """A number that was printed in error is not what we compute."""
    value = trap.computed()

    assert not trap.holds(value), f"reproduces the mistake {trap.expected} {trap.unit}"
