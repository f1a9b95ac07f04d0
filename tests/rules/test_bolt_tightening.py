"""A build that just passes and one that just fails at each limit of bolt-tightening."""

import pytest
from buildcheck_rules.bolt_tightening import rule as bolt_tightening
from edges import (
    Edge,
    Need,
    all_readings,
    check_complete,
    check_edge,
    check_need,
    edges,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import Stage, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.output import words
from buildcheck.strength.bolts import MOST_PRELOAD, TORQUE_FACTOR

BRACKET = "right arm axle bracket bolts"
AT = "attachments.arm_axle_bracket.right.bolts"
JOINT = "lateral_bar.joints.frame.bolt"
JOINT_BOLT = "lateral bar frame joint bolt"
POUND_FOOT = 1.3558179483314004

EDGES = [
    edge
    for subject, at, torque in ((BRACKET, AT, 210 * POUND_FOOT), (JOINT_BOLT, JOINT, 370 * POUND_FOOT))
    for edge in (
        *edges(
            "preload",
            subject,
            f"{at}.torque",
            f"{at}.torque",
            warn_below=(torque, 0.7 * torque),
            fail_below=(torque, 0.4 * torque),
            warn_above=(torque, 1.3 * torque),
            fail_above=(torque, 1.5 * torque),
        ),
        *edges("most-preload", subject, f"{at}.torque", f"{at}.torque", warn_above=(torque, 1.2 * torque)),
        *edges("least-preload", subject, f"{at}.torque", f"{at}.torque", fail_below=(torque, 0.5 * torque)),
    )
]
EDGES += [
    *edges(
        "preload-to-torque",
        BRACKET,
        f"{AT}.torque",
        f"{AT}.preload",
        base={f"{AT}.preload": "20000 lbf"},
        warn_below=(85e3, 50e3),
        fail_below=(50e3, 30e3),
        warn_above=(85e3, 150e3),
        fail_above=(150e3, 260e3),
    ),
    *edges(
        "proof-to-grade",
        BRACKET,
        f"{AT}.proof_strength",
        f"{AT}.proof_strength",
        base={f"{AT}.proof_strength": "120 ksi", f"{AT}.preload": "20000 lbf"},
        warn_below=(820e6, 650e6),
        fail_below=(650e6, 500e6),
        warn_above=(820e6, 1000e6),
        fail_above=(1000e6, 1300e6),
    ),
]
NEEDS = [
    Need(
        "lock-fits",
        BRACKET,
        met={f"{AT}.locked_by": "tab-washer"},
        not_met={f"{AT}.locked_by": "jam-nut"},
        finds=((BRACKET, "lock-fits", f"{AT}.locked_by"),),
    ),
    Need(
        "locked",
        BRACKET,
        met={f"{AT}.locked_by": "safety-wire"},
        not_met={f"{AT}.locked_by": "nothing"},
        finds=((BRACKET, "locked", f"{AT}.locked_by"),),
    ),
    Need(
        "stays-locked",
        JOINT_BOLT,
        met={f"{JOINT}.locked_by": "tab-washer"},
        not_met={f"{JOINT}.locked_by": "split-lock-washer"},
        finds=((JOINT_BOLT, "stays-locked", f"{JOINT}.locked_by"),),
    ),
    Need(
        "tightening-stated",
        JOINT_BOLT,
        met={f"{JOINT}.preload": "30000 lbf"},
        not_met={f"{JOINT}": {"size": "3/4-10", "grade": "sae-8", "locked_by": "tab-washer"}},
        finds=((JOINT_BOLT, "tightening-stated", JOINT),),
    ),
    Need(
        "lock-stated",
        JOINT_BOLT,
        met={f"{JOINT}.locked_by": "tab-washer"},
        not_met={f"{JOINT}": {"size": "3/4-10", "grade": "sae-8", "preload": "30000 lbf"}},
        finds=((JOINT_BOLT, "lock-stated", JOINT),),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(bolt_tightening, edge)


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_each_requirement_is_met_in_one_build_and_not_in_the_other(need: Need) -> None:
    check_need(bolt_tightening, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(bolt_tightening, EDGES, NEEDS)


def found_of(data: dict[str, object], subject: str, quantity: str) -> list[Reading]:
    readings = all_readings(bolt_tightening, read_build(data))
    return [each for each in readings if (each.subject, each.quantity) == (subject, quantity)]


@pytest.mark.parametrize(
    ("stage", "due"),
    [
        (Stage.PROPOSAL, set()),
        (Stage.TACKED, {"lock-stated"}),
        (Stage.FINAL_WELD, {"lock-stated", "tightening-stated"}),
    ],
)
def test_a_joint_bolt_need_not_say_how_it_is_tightened_before_it_is(stage: Stage, due: set[str]) -> None:
    data = with_data(example_data(), {JOINT: {"size": "3/4-10", "grade": "sae-8"}})
    found = inspect(read_build(data), [bolt_tightening], stage=stage, changes=False).readings
    assert {each.quantity for each in found if each.subject == JOINT_BOLT} == due


def test_a_bracket_without_its_bolts_is_not_checked() -> None:
    data = example_data()
    del data["attachments"]["arm_axle_bracket"]["right"]["bolts"]
    lost = [each for each in all_readings(bolt_tightening, read_build(data)) if each.missing]
    assert {name for each in lost for name in each.unchecked} >= {"preload", "most-preload", "locked", "stays-locked"}
    assert all(path.startswith(AT) for each in lost for path in each.missing)


# The least factor of dry threads is that of torque charts for plain bolts; the rest as in `buildcheck.strength.bolts`.
LEAST_PRELOAD = {"dry": 0.65, "plated": 0.65, "oiled": 0.75, "anti-seize": 0.75, "thread-locker": 0.75}


@pytest.mark.parametrize("condition", TORQUE_FACTOR)
def test_a_recommended_torque_holds_at_both_ends_of_the_range_of_friction(condition: str) -> None:
    """As the change gives it, with the digits that it is printed with."""
    data = with_data(example_data(), {f"{AT}.thread_condition": condition, f"{AT}.torque": "60 lb-ft"})
    (found,) = found_of(data, BRACKET, "preload")
    assert found.cure is not None
    build = read_build(data)
    printed = words.cure_amount(found.cure, build.units)
    tightened = with_data(data, {f"{AT}.torque": printed})
    for quantity in ("preload", "most-preload", "least-preload"):
        assert [each.verdict for each in found_of(tightened, BRACKET, quantity)] == [Verdict.OK]
    job = Job(read_build(tightened))
    bolts = job.build.attachments["arm_axle_bracket"].right.bolts
    nominal = job.strengths.preload(bolts) / job.strengths.proof_load(bolts)
    assert LEAST_PRELOAD[condition] * nominal > 0.40
    assert MOST_PRELOAD[condition] * nominal < 1.00


def test_the_torque_of_dry_threads_allows_for_the_factor_of_plain_bolts() -> None:
    """5/8-11 grade 8, 75 % of whose 27 120 lbf take 317.8 lb-ft at K = 0.30: at K = 0.20 that is 112.5 % of them. 95 %
    of them at K = 0.20 take 0.95 x 27 120 x 0.20 x 0.625 / 12 = 268.4 lb-ft, rounded to 268 for a wrench."""
    data = with_data(example_data(), {f"{AT}.thread_condition": "dry", f"{AT}.torque": "317.8 lb-ft"})
    (nominal,), (most,) = (found_of(data, BRACKET, quantity) for quantity in ("preload", "most-preload"))
    assert (nominal.verdict, most.verdict) == (Verdict.OK, Verdict.WARNING)
    assert most.value == pytest.approx(1.125, rel=1e-3)
    assert most.cure is not None
    assert most.cure.amount == pytest.approx(268 * POUND_FOOT)


def test_a_preload_that_is_measured_has_no_range_of_friction() -> None:
    data = with_data(example_data(), {f"{AT}.preload": "20000 lbf"})
    assert found_of(data, BRACKET, "most-preload") == []
