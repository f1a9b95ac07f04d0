"""The shop's rules, as they are installed."""

import pytest
from hypothesis import given, settings
from our_shop.approved_procedure import GOOD, PROCEDURE
from our_shop.approved_procedure import rule as approved_procedure
from our_shop.coilover_lean import rule as coilover_lean
from our_shop.joint_thread import ENGAGED
from our_shop.joint_thread import rule as joint_thread

from buildcheck.api import Build, Rule, Verdict, inspect
from buildcheck.plugins.loading import collect
from buildcheck.spec.schema import problems_in
from buildcheck.testing import (
    assert_finds_exactly,
    assert_never_fails,
    build_of,
    changed,
    check_samples,
    document_of,
    sound_spec,
)
from buildcheck.testing.strategies import builds

RULES = [joint_thread, coilover_lean, approved_procedure]
each_rule = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)


def test_buildcheck_finds_the_plugin_where_it_is_installed() -> None:
    collected = collect()
    assert [failure for failure in collected.failures if failure.plugin == "our-shop"] == []
    ours = [rule.name for rule in collected.rules if collected.owners.get(("rules", rule.name)) == "our-shop"]
    assert ours == [rule.name for rule in RULES]
    assert [quantity.name for quantity in collected.quantities if quantity.name == "lean"] == ["lean"]


@each_rule
def test_the_samples_do_what_they_say(rule: Rule) -> None:
    check_samples(rule)


@each_rule
@settings(max_examples=20, deadline=None)
@given(build=builds(change={"shop.our_shop.joint_thread": {"diameter": 1.25, "engaged": 1.75}, PROCEDURE: GOOD}))
def test_whatever_the_build_no_rule_fails(rule: Rule, build: Build) -> None:
    assert_never_fails(rule, build)


def test_short_of_thread_is_found_where_the_thread_is_written() -> None:
    spec = changed(sound_spec(), {"shop.our_shop.joint_thread": {"diameter": 1.25, "engaged": 1.75}})
    assert_finds_exactly(joint_thread, {ENGAGED: 1.5}, {"thread-engaged": Verdict.WARNING}, place=ENGAGED, spec=spec)
    assert_finds_exactly(joint_thread, {ENGAGED: 1.125}, {"thread-engaged": Verdict.ERROR}, place=ENGAGED, spec=spec)


def test_a_coilover_that_leans_is_found_on_its_own_side() -> None:
    mount = "coilovers.coilover.left.frame"
    assert_finds_exactly(coilover_lean, {mount: [-1.5, 4, 39.3]}, {"most-lean": Verdict.ERROR}, place=mount)


def test_how_far_to_move_a_leaning_coilover_is_shown_and_is_enough() -> None:
    mount = "coilovers.coilover.both.frame"
    readings = inspect(build_of(changed(sound_spec(), {mount: [-1.5, 8, 39.3]})), [coilover_lean]).readings
    assert [reading.cure.words for reading in readings if reading.cure] == [
        "move the frame end of the left and right coilover outward {amount}"
    ] * 2
    # 8 in and 5 1/8 in; a sixteenth less is not enough.
    assert [reading.cure.amount for reading in readings if reading.cure] == pytest.approx([5.125 * 0.0254] * 2)
    assert_finds_exactly(coilover_lean, {mount: [-1.5, 13.125, 39.3]}, {})
    assert_finds_exactly(coilover_lean, {mount: [-1.5, 13.0625, 39.3]}, {"most-lean": Verdict.WARNING})


def test_a_process_that_the_procedure_is_not_for_is_found_at_the_bracket() -> None:
    spec = changed(sound_spec(), {PROCEDURE: GOOD})
    process = "attachments.arm_axle_bracket.left.weld.process"
    assert_finds_exactly(
        approved_procedure,
        {process: "gas-tungsten-arc"},
        {"process-covered": Verdict.ERROR},
        place=process,
        others=[joint_thread, coilover_lean],
        spec=spec,
    )


def test_a_mistake_in_the_shops_fields_is_reported_at_its_place() -> None:
    spec = changed(sound_spec(), {"shop.our_shop.joint_thread": {"diameter": "9 in", "engaged": 1, "lenght": 2}})
    problems = problems_in(document_of(spec), additions=collect().additions)
    assert [(problem.path, problem.sentence) for problem in problems] == [
        (
            "shop.our_shop.joint_thread.diameter",
            "shop.our_shop.joint_thread.diameter must be between 0.250 in and 3.000 in, and this is 9 in; "
            'did you mean "9 mm"?',
        ),
        (
            "shop.our_shop.joint_thread.lenght",
            '"lenght" is not a key of shop.our_shop.joint_thread; its keys are diameter, engaged',
        ),
    ]
