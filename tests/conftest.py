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
