"""The built-in rules. They come in through the same hook as a shop's own."""

from collections.abc import Iterable

from buildcheck.api import Rule, rules_hook

BUILDCHECK_INTERFACE = 1


@rules_hook
def buildcheck_rules() -> Iterable[Rule]:
    """All built-in rules."""
    from . import (  # so that a start which needs no rule loads none
        axle_location,
        bolted_bracket,
        bump_stop_engagement,
        cast_iron_attachment,
        driveshaft_travel,
        lateral_bar_parallel,
        limit_strap_length,
        link_flatness,
        link_strength,
        ready_to_weld,
        side_symmetry,
        spec_consistency,
        spring_support,
        weld_size,
    )

    return (
        link_flatness.link_flatness,
        side_symmetry.side_symmetry,
        link_strength.link_strength,
        axle_location.axle_location,
        lateral_bar_parallel.lateral_bar_parallel,
        spring_support.spring_support,
        limit_strap_length.limit_strap_length,
        bump_stop_engagement.bump_stop_engagement,
        driveshaft_travel.driveshaft_travel,
        cast_iron_attachment.cast_iron_attachment,
        weld_size.weld_size,
        ready_to_weld.ready_to_weld,
        bolted_bracket.bolted_bracket,
        spec_consistency.spec_consistency,
    )
