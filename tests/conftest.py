"""How the property tests run: a busy machine is no failure, and CI draws the same examples each time."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "house",
    deadline=None,  # times are measured in tests/benchmarks, never asserted
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("house")

# What the person who runs the tests holds their own builds to is no part of them.
os.environ["XDG_CONFIG_HOME"] = "/nonexistent"
