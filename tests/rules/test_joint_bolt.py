"""A build that just passes and one that just fails at the limit of joint-bolt."""

import math

import pytest
from buildcheck_rules.joint_bolt import rule as joint_bolt
from edges import (
    POUND_FORCE,
    THREE_LINK,
    Edge,
    all_readings,
    check_complete,
    check_edge,
    edges,
    example,
    example_data,
    one_of_each_bound,
    with_data,
)

from buildcheck.build import read_build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Job
from buildcheck.spec.written import REMOVED

KSI = 6894757.293168361
INCH = 0.0254
LB_FT = 1.3558179483314004
LINK = "links.arm.left.joints.axle_lower.bolt"
BAR = "lateral_bar.joints.axle.bolt"
COILOVER = "coilovers.coilover.left.joints.frame.bolt"
STRAP = "limit_straps.strap.left.joints.axle.bolt"
ON_ONE_EAR = {f"{BAR}.shear_planes": 1, f"{BAR}.size": "1/2-13", f"{BAR}.grip": "2 in"}


def on_proof_strength(subject: str, bolt: str, number: int, weak: float) -> list[Edge]:
    return edges(
        "strength",
        subject,
        bolt,
        f"{bolt}.proof_strength",
        number=number,
        base={f"{bolt}.proof_strength": "120 ksi"},
        warn_above=(120 * KSI, weak * KSI),
        fail_above=(120 * KSI, weak * KSI),
    )


EDGES = [
    *on_proof_strength("left arm", LINK, 2, 22),
    *edges(
        "strength",
        "lateral bar",
        BAR,
        f"{BAR}.grip",
        number=1,
        base={**ON_ONE_EAR, f"{BAR}.size": "1 1/4-7"},
        warn_above=(INCH / 2, 8 * INCH),
        fail_above=(INCH / 2, 8 * INCH),
    ),
]


@one_of_each_bound
@pytest.mark.parametrize("edge", EDGES, ids=str)
def test_the_verdict_changes_at_each_limit(edge: Edge) -> None:
    check_edge(joint_bolt, edge)


def test_every_limit_has_its_edges() -> None:
    check_complete(joint_bolt, EDGES, [])


def bar_bolt(changes: dict[str, object], *, grip: bool = True) -> Reading:
    data = with_data(example_data(), changes)
    if not grip:
        del data["lateral_bar"]["joints"]["axle"]["bolt"]["grip"]
    readings = all_readings(joint_bolt, read_build(data))
    return next(each for each in readings if (each.subject, each.of) == ("lateral bar", "axle joint"))


def test_a_bar_on_one_thin_bolt_in_single_shear_is_an_error_though_its_grip_is_not_stated() -> None:
    found = bar_bolt({f"{BAR}.shear_planes": 1, f"{BAR}.size": "3/8-16", f"{BAR}.grade": "sae-5"}, grip=False)
    assert found.verdict is Verdict.ERROR
    assert "the bolt bends" in found.effect


def test_a_thick_bolt_in_single_shear_is_ok_only_with_its_grip() -> None:
    thick = {f"{BAR}.shear_planes": 1, f"{BAR}.size": "1 1/4-7"}
    without, stated = bar_bolt(thick, grip=False), bar_bolt({**thick, f"{BAR}.grip": "1 1/2 in"})
    assert (without.verdict, without.missing) == (Verdict.NOT_CHECKED, (f"{BAR}.grip",))
    assert stated.verdict is Verdict.OK
    assert without.value is not None
    assert stated.value is not None
    assert without.value < stated.value


def test_the_share_is_that_of_hand_work() -> None:
    """The largest load of the bar on a 1/2 in shank of 120 ksi over half of 2 in, by stresses."""
    found = bar_bolt(ON_ONE_EAR)
    job = Job(example())
    force, area = job.loads.at_joint(job.build.lateral_bar, "axle").value / POUND_FORCE, math.pi / 4 * 0.5**2
    bending = force * 1.0 / (math.pi * 0.5**3 / 32)
    shear = force / area
    assert found.value == pytest.approx(math.hypot(bending / 120e3, shear / (0.577 * 120e3)), rel=1e-3)


def test_a_long_bolt_between_two_ears_bends_where_its_clamp_does_not_hold() -> None:
    """3/4 in of 120 ksi over 4 in: a pin with M = F t / 8 and two planes of shear, by stresses."""
    loose = {f"{BAR}.grip": "4 in", f"{BAR}.torque": "40 lb-ft"}
    tight, slipped = bar_bolt({**loose, f"{BAR}.torque": "370 lb-ft"}), bar_bolt(loose)
    job = Job(example())
    force, area = job.loads.at_joint(job.build.lateral_bar, "axle").value / POUND_FORCE, math.pi / 4 * 0.75**2
    shear, bending = force / 2 / area, force * 4 / 8 / (math.pi * 0.75**3 / 32)
    assert slipped.value == pytest.approx(math.hypot(bending / 120e3, shear / (0.577 * 120e3)), rel=1e-3)
    assert (slipped.verdict, "slips, bends" in slipped.effect) == (Verdict.ERROR, True)
    assert tight.value == pytest.approx(shear / (0.577 * 120e3), rel=1e-3)
    assert (tight.verdict, "bends" in tight.effect) == (Verdict.OK, False)


def test_the_clamp_holds_just_what_friction_holds() -> None:
    """0.2 on two faces, with 35 % less preload than K = 0.2 gives, and a factor of 1.1."""
    job = Job(example())
    force = job.loads.at_joint(job.build.lateral_bar, "axle").value / POUND_FORCE
    torque = force * 1.1 / 0.4 / 0.65 * 0.2 * 0.75 / 12

    def bends(share: float) -> bool:
        return "bends" in bar_bolt({f"{BAR}.grip": "4 in", f"{BAR}.torque": f"{share * torque} lb-ft"}).effect

    assert (bends(0.999), bends(1.001)) == (True, False)


def test_the_change_of_a_bolt_that_slips_is_more_torque() -> None:
    cure = bar_bolt({f"{BAR}.grip": "4 in", f"{BAR}.torque": "180 lb-ft"}).cure
    job = Job(example())
    force = job.loads.at_joint(job.build.lateral_bar, "axle").value / POUND_FORCE
    assert cure is not None
    assert cure.words == "tighten it to {amount}, so that its clamp holds the load"
    assert cure.amount == pytest.approx(math.ceil(force * 1.1 / 0.4 / 0.65 * 0.2 * 0.75 / 12) * LB_FT)


@pytest.mark.parametrize(
    ("lost", "changes", "missing"),
    [
        (["grip"], {"torque": "40 lb-ft"}, ["grip"]),
        (["grip"], {}, []),
        (["torque"], {"grip": "2 1/4 in"}, []),
        (["torque"], {"grip": "4 in"}, ["torque"]),
        (["grip", "torque"], {}, ["grip", "torque"]),
        (["torque"], {"grip": "4 in", "preload": "24000 lbf"}, []),
    ],
)
def test_what_is_not_stated_is_asked_for_only_where_it_counts(
    lost: list[str], changes: dict[str, str], missing: list[str]
) -> None:
    taken = {f"{BAR}.{each}": REMOVED for each in lost}
    found = bar_bolt({**taken, **{f"{BAR}.{each}": value for each, value in changes.items()}})
    assert found.missing == tuple(f"{BAR}.{each}" for each in missing)
    assert found.verdict is (Verdict.NOT_CHECKED if missing else Verdict.OK)


def test_the_clamp_of_a_clevis_does_not_count() -> None:
    changes = {"lateral_bar.joints.axle.kind": "clevis", f"{BAR}.grip": "4 in"}
    found = bar_bolt(changes)
    assert found.verdict is Verdict.ERROR
    assert "the bolt bends" in found.effect


def test_threads_in_the_ear_weaken_a_bolt() -> None:
    shank, threads = (bar_bolt({**ON_ONE_EAR, f"{BAR}.threads_in_shear_plane": each}) for each in (False, True))
    assert (threads.value or 0.0) > 1.3 * (shank.value or 0.0)


@pytest.mark.parametrize("build", ["tamarack/proposal.buildcheck.yaml", THREE_LINK])
@pytest.mark.parametrize(("path", "label"), [(COILOVER, "left coilover"), (STRAP, "left limit strap")])
def test_the_bolts_of_coilovers_and_straps_are_checked(build: str, path: str, label: str) -> None:
    weak = with_data(example_data(build), {f"{path}.proof_strength": "150 MPa", f"{path}.size": "M4x0.7"})
    readings = [each for each in all_readings(joint_bolt, read_build(weak)) if each.subject == label]
    assert [each.verdict for each in readings].count(Verdict.ERROR) == 1
    assert len(readings) == 2


def test_a_damper_without_a_spring_carries_no_computed_load() -> None:
    data = example_data()
    data["coilovers"]["damper"] = with_data(data, {"coilovers.coilover.both.kind": "damper"})["coilovers"]["coilover"]
    readings = [each for each in all_readings(joint_bolt, read_build(data)) if each.subject == "left damper coilover"]
    assert {each.verdict for each in readings} == {Verdict.NOT_CHECKED}
    assert {each.reason for each in readings} == {"the load of a damper without a spring is not computed"}


def test_a_part_without_joints_is_not_checked() -> None:
    data = example_data()
    del data["limit_straps"]["strap"]["both"]["joints"]
    readings = [each for each in all_readings(joint_bolt, read_build(data)) if each.subject == "left limit strap"]
    assert {each.verdict for each in readings} == {Verdict.NOT_CHECKED}
    whole = "limit_straps.strap.both.joints"
    assert all(path.startswith(whole) for each in readings for path in each.missing)
    assert all(each.missing for each in readings)
