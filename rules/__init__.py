"""The built-in rules. They come in through the same hook as a shop's own."""

from collections.abc import Iterable

from buildcheck.api import Rule, rules_hook

BUILDCHECK_INTERFACE = 1


@rules_hook
def buildcheck_rules() -> Iterable[Rule]:
    """All built-in rules."""
    from . import (  # so that a start which needs no rule loads none
        axle_location,
        bump_stop_engagement,
        cast_iron_attachment,
        driveshaft_travel,
        lateral_bar_parallel,
        limit_strap_length,
        link_flatness,
        side_symmetry,
        spec_consistency,
    )

    return (
        link_flatness.link_flatness,
        side_symmetry.side_symmetry,
        axle_location.axle_location,
        lateral_bar_parallel.lateral_bar_parallel,
        limit_strap_length.limit_strap_length,
        bump_stop_engagement.bump_stop_engagement,
        driveshaft_travel.driveshaft_travel,
        cast_iron_attachment.cast_iron_attachment,
        spec_consistency.spec_consistency,
    )
