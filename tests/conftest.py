"""How the property tests run: a busy machine is no failure, and CI draws the same examples each time."""

import os
import sys

from hypothesis import HealthCheck, settings

from buildcheck import cycling

settings.register_profile(
    "house",
    deadline=None,  # times are measured in tests/benchmarks, never asserted
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("house")

# What the person who runs the tests holds their own builds to is no part of them.
os.environ["XDG_CONFIG_HOME"] = "/nonexistent"

# `buildcheck.cycle` is a function, and its module is called `cycling`. This lets tests/rules import from the old name
# until they name the new one; as an entry here it does not hide the function.
sys.modules["buildcheck.cycle"] = cycling
