"""The built-in rules, registered through the same hook as a shop's own rules."""

from collections.abc import Iterable

from buildcheck.api import Rule, rules_hook

BUILDCHECK_INTERFACE = 2


@rules_hook
def buildcheck_rules() -> Iterable[Rule]:
    """All built-in rules."""
    from . import (  # here, so that a command that needs no rules starts without loading them
        alignment,
        as_measured,
        axle_location,
        baseline,
        bolted_bracket,
        bracket_at_every_end,
        bump_stop_engagement,
        cast_iron_attachment,
        clearance,
        cycled_by_hand,
        driveshaft_travel,
        first_drives,
        joint_misalignment,
        lateral_bar_parallel,
        limit_strap_length,
        link_flatness,
        link_strength,
        load_cases,
        part_ends,
        ready_to_weld,
        reassembly,
        side_symmetry,
        spec_consistency,
        spec_sizes,
        spring_support,
        stated_travel,
        statements_agree,
        steering_lock,
        steering_parts,
        tacked_up,
        truck_support,
        vehicle_proportions,
        weld_size,
        welded_for_good,
        wheel_contact,
    )

    return (
        link_flatness.rule,
        side_symmetry.rule,
        link_strength.rule,
        joint_misalignment.rule,
        axle_location.rule,
        clearance.rule,
        lateral_bar_parallel.rule,
        steering_lock.rule,
        steering_parts.rule,
        alignment.rule,
        spring_support.rule,
        limit_strap_length.rule,
        bump_stop_engagement.rule,
        stated_travel.rule,
        driveshaft_travel.rule,
        cast_iron_attachment.rule,
        weld_size.rule,
        ready_to_weld.rule,
        tacked_up.rule,
        welded_for_good.rule,
        bolted_bracket.rule,
        bracket_at_every_end.rule,
        spec_consistency.rule,
        load_cases.rule,
        part_ends.rule,
        spec_sizes.rule,
        statements_agree.rule,
        vehicle_proportions.rule,
        baseline.rule,
        as_measured.rule,
        cycled_by_hand.rule,
        wheel_contact.rule,
        truck_support.rule,
        reassembly.rule,
        first_drives.rule,
    )
