"""The first drives found nothing, and every bolt was checked again.

Checked: after the first drives, that the brakes were tried first, that the truck runs straight and does not shake,
that it was looked over afterwards, and that the torque of every bolt was checked again after the distances that the
shop sets.

Risk: joints bed in and bolts lose their stretch in the first miles. A bracket that cracks shows it early, to whoever
looks.

Worked out: from what the records state.

Remedy: do not drive on with something that is loose, cracked or rubs.
"""

from buildcheck.api import (
    Answer,
    Area,
    CannotTell,
    Dimension,
    Driven,
    Job,
    Rule,
    Sample,
    Stage,
    TorqueCheck,
    Verdict,
    Words,
    at_most,
    common_practice,
    met,
)

GOOD = {
    "brakes_tested": True,
    "runs_straight": True,
    "no_shake": True,
    "nothing_new": True,
    "torque_checks": [{"planned_after": "50 mi", "done_after": "48 mi", "all_tight": True}],
}
BAD = {
    **dict.fromkeys(GOOD, False),
    "torque_checks": [{"planned_after": "50 mi", "done_after": "150 mi", "all_tight": False}],
}

rule = Rule(
    "first-drives",
    area=Area.SAFETY,
    page=__doc__,
    from_stage=Stage.DRIVEN,
    entries=True,
    samples=(
        Sample("nothing found", {"records.driven": GOOD}),
        Sample(
            "it pulls, shakes and came loose",
            {"records.driven": BAD},
            {
                "brakes-tested": Verdict.ERROR,
                "runs-straight": Verdict.ERROR,
                "no-shake": Verdict.ERROR,
                "nothing-new": Verdict.ERROR,
                "torque-check-late": Verdict.ERROR,
                "all-tight": Verdict.ERROR,
            },
        ),
    ),
)


@rule.must(
    Driven,
    wanted="yes",
    basis=common_practice("the first stop is made at walking speed, in the yard"),
    change=Words("try the brakes at walking speed, then from a little more, before the road"),
    place="brakes_tested",
    effect="the first hard stop is on the road",
)
def brakes_tested(job: Job, driven: Driven) -> Answer:
    """The brakes were tried at walking speed before the road."""
    return met(driven.brakes_tested, "yes", otherwise="no")


@rule.must(
    Driven,
    wanted="yes",
    basis=common_practice("a truck that pulls has a bent or shifted axle, a dragging brake, or uneven caster"),
    change=Words("measure the axle against the frame and the caster of both sides again"),
    place="runs_straight",
    effect="it pulls to one side, most when it brakes",
)
def runs_straight(job: Job, driven: Driven) -> Answer:
    """It runs and brakes straight."""
    return met(driven.runs_straight, "yes", otherwise="no")


@rule.must(
    Driven,
    wanted="yes",
    basis=common_practice(
        "a shaking front axle has a loose joint, too little caster, or a bar that fights its drag link"
    ),
    change=Words("do not drive on; look for play in every joint of bar and steering, and measure the caster"),
    place="no_shake",
    effect="the steering shakes out of control",
)
def no_shake(job: Job, driven: Driven) -> Answer:
    """The steering is free of shake."""
    return met(driven.no_shake, "yes", otherwise="no")


@rule.must(
    Driven,
    wanted="yes",
    basis=common_practice("what rubs, leaks or cracks shows itself in the first miles"),
    change=Words("put the truck back on stands and repair it"),
    place="nothing_new",
    effect="a crack at a bead grows with every mile",
)
def nothing_new(job: Job, driven: Driven) -> Answer:
    """Nothing new was found when it was looked over after the drive."""
    return met(driven.nothing_new, "yes", otherwise="no")


@rule.check(
    Driven,
    at_most(warning="100 mi", error="500 mi"),
    basis=common_practice(
        "shops check every bolt within the first 50 to 100 miles; some of their stretch is gone by then"
    ),
    change=Words("plan the first check within 100 miles (160 km), and make it now if that is past"),
    place="torque_checks",
    effect="loose bolts are driven on for too long",
)
def first_torque_check(job: Job, driven: Driven) -> float:
    """Distance after which the first check of the torque is planned."""
    if not driven.torque_checks:
        raise CannotTell("no check of the torque is planned; write one under records.driven.torque_checks")
    return min(check.planned_after for check in driven.torque_checks)


def planned(job: Job, check: TorqueCheck) -> float:
    return check.planned_after


@rule.check(
    TorqueCheck,
    at_most(warning="110 %", error="200 %", of=planned, amounts=Dimension.LENGTH),
    basis=common_practice("bolts lose their stretch in the first miles; a check that comes late finds them loose"),
    change=Words("check the torque of every bolt now, before the next drive"),
    place="done_after",
    effect="bolts were driven on without a check",
)
def torque_check_late(job: Job, check: TorqueCheck) -> float:
    """Distance at which the check was made, as a share of the planned one."""
    return check.done_after


@rule.must(
    TorqueCheck,
    wanted="every bolt tight",
    basis=common_practice("a bolt that has lost its torque once loses it again until its cause is found"),
    change=Words("find why it came loose: paint under the head, a short grip, a hole that is worn; then check again"),
    place="all_tight",
    effect="a bolt works in its hole and breaks",
)
def all_tight(job: Job, check: TorqueCheck) -> Answer:
    """Every bolt held its torque."""
    return met(check.all_tight, "every bolt tight", otherwise="a bolt was loose, or its mark had moved")
