"""The values of a retention curve, and what is wrong with them before a curve is made."""

from __future__ import annotations

import math

from attrs import frozen


@frozen
class CurveValues:
    """Values of a van Genuchten curve as somebody gave them, checked by `check_curve`.

    `theta_s` and `theta_r` are water at saturation and residual water [share of the volume],
    `alpha_per_cm` is per centimetre of tension [1/cm]; m None stands for 1 - 1/n.
    """

    theta_s: float
    theta_r: float
    alpha_per_cm: float
    n: float
    m: float | None = None


@frozen
class CurveFault:
    """What is wrong with one value of a curve: whoever knows its place makes a `Problem` of it."""

    name: str
    value: float
    message: str
    hint: str


def check_curve(
    *, theta_s: float, theta_r: float, alpha_per_cm: float, n: float, m: float | None = None
) -> tuple[CurveFault, ...]:
    """Return every fault in the values of a curve; none means that `Curve` takes them.

    Water contents are shares of the volume, 0 to 1; `alpha_per_cm` in [1/cm].
    """
    faults = []

    def fault(name: str, value: float, message: str, hint: str = "") -> None:
        faults.append(CurveFault(name, value, message, hint))

    given = {"theta_s": theta_s, "theta_r": theta_r, "alpha_per_cm": alpha_per_cm, "n": n}
    for name, value in (given if m is None else {**given, "m": m}).items():
        if not math.isfinite(value):
            fault(name, value, f"{name} must be a finite number")
    if faults:
        return tuple(faults)
    if not 0 < theta_s < 1:
        fault(
            "theta_s",
            theta_s,
            "water at saturation (the total porosity) must lie between 0 and 1",
            "give it as a share of the volume: 0.85 or 85 %, not 85",
        )
    if theta_r < 0:
        fault("theta_r", theta_r, "residual water must not be negative")
    elif theta_r >= theta_s:
        fault(
            "theta_r",
            theta_r,
            "residual water must be less than water at saturation",
            "the two may have been swapped",
        )
    if alpha_per_cm <= 0:
        fault("alpha_per_cm", alpha_per_cm, "alpha must be above 0 per cm")
    if n <= 1:
        fault("n", n, "n must be above 1", "published values for mixes run from about 1.1 to 3")
    if m is not None and m <= 0:
        fault("m", m, "m must be above 0", "leave m out for m = 1 - 1/n")
    return tuple(faults)
