"""The test kit for rule authors: sound builds, changes to them, and assertions about the findings of a rule.

`buildcheck.testing.strategies` draws builds at random, and only it needs hypothesis. Nothing here needs pytest, which
usually runs the tests. `pip install 'buildcheck[testing]'` installs both.
"""

from buildcheck.spec.written import mirrored
from buildcheck.testing.assertions import (
    assert_finds_exactly,
    assert_never_fails,
    check_sample,
    check_samples,
    rules_in,
    worst_by_limit,
)
from buildcheck.testing.rewritten import in_other_units, mirror_image, sides_written_out
from buildcheck.testing.specs import build_of, changed, document_of, sound_build, sound_spec
from buildcheck.testing.whole_rule import check_rule

__all__ = [
    "assert_finds_exactly",
    "assert_never_fails",
    "build_of",
    "changed",
    "check_rule",
    "check_sample",
    "check_samples",
    "document_of",
    "in_other_units",
    "mirror_image",
    "mirrored",
    "rules_in",
    "sides_written_out",
    "sound_build",
    "sound_spec",
    "worst_by_limit",
]
