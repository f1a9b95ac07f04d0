"""Signing without computing anew what an earlier call of the same test file has computed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from unittest.mock import patch

from buildcheck.commands.again import Again
from buildcheck.plugins.loading import collect

KEPT = Again()
COLLECT = cache(collect)


@contextmanager
def computed_once() -> Iterator[None]:
    """Within it, `sign` and `signed` keep from call to call what an edit of the spec left as it was, as a report does
    that follows its spec."""

    def again() -> Again:
        KEPT.edited()
        return KEPT

    once = patch("buildcheck.plugins.loading.collect", COLLECT)  # what a check found is kept by the check
    with once, patch("buildcheck.commands.again.Again", again):
        yield
