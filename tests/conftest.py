"""Settings that every kind of test shares."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# The same examples on every run: a suite that fails by chance is a suite that gets ignored.
settings.register_profile(
    "fixed",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("fixed")
