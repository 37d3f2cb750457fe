"""The retention curve: its values, its inverse and what it refuses."""

import math
import re

import pytest

from rootroom.pot.curve import Curve, check_curve

LOAM = {"theta_s": 0.43, "theta_r": 0.078, "alpha_per_cm": 0.036, "n": 1.56}


def test_m_follows_n_unless_given():
    """m is 1 - 1/n by default and is kept when given."""
    assert Curve(0.85, 0.1, 0.1, 2.0).m == 0.5
    assert Curve(0.85, 0.1, 0.1, 2.0, 0.8).m == 0.8
    assert Curve(0.85, 0.1, 0.1, 2.0, m=None) == Curve(0.85, 0.1, 0.1, 2.0)


def test_saturated_at_no_tension_and_residual_far_away():
    """The curve runs from theta_s to theta_r."""
    curve = Curve(**LOAM)
    assert curve.water_share(0.0) == pytest.approx(0.43)
    assert curve.water_share(1e12) == pytest.approx(0.078, abs=1e-6)


def test_tension_undoes_water():
    """The tension found for a share of water holds that share."""
    curve = Curve(**LOAM)
    for tension in (0.5, 10.0, 300.0):
        assert curve.tension_cm(curve.water_share(tension)) == pytest.approx(tension)
    assert curve.tension_cm(0.5) == 0.0


def test_error_no_tension_at_residual_water():
    """No tension draws a mix below its residual water."""
    with pytest.raises(ValueError, match="is not above theta_r"):
        Curve(**LOAM).tension_cm(0.078)


@pytest.mark.parametrize(
    ("changed", "name", "message"),
    [
        ({"n": 1.0}, "n", "n must be above 1"),
        ({"n": 0.5}, "n", "n must be above 1"),
        ({"theta_r": 0.43}, "theta_r", "residual water must be less than water at saturation"),
        ({"theta_r": 0.9}, "theta_r", "residual water must be less than water at saturation"),
        ({"theta_r": -0.1}, "theta_r", "residual water must not be negative"),
        (
            {"theta_s": 85.0},
            "theta_s",
            "water at saturation (the total porosity) must lie between 0 and 1",
        ),
        ({"alpha_per_cm": 0.0}, "alpha_per_cm", "alpha must be above 0 per cm"),
        ({"m": 0.0}, "m", "m must be above 0"),
        ({"alpha_per_cm": math.nan}, "alpha_per_cm", "alpha_per_cm must be a finite number"),
    ],
)
def test_error_impossible_values(changed, name, message):
    """Every impossible value is a fault with its name, and the class refuses it."""
    values = {**LOAM, **changed}
    faults = check_curve(**values)
    assert [(name, message)] == [(one.name, one.message) for one in faults]
    with pytest.raises(ValueError, match=re.escape(f"{message}: {name} = {changed[name]}")):
        Curve(**values)


def test_error_all_faults_at_once():
    """Nothing stops at the first fault."""
    faults = check_curve(theta_s=1.2, theta_r=-1, alpha_per_cm=-1, n=1)
    expected = ["theta_s", "theta_r", "alpha_per_cm", "n"]
    assert expected == [one.name for one in faults]
