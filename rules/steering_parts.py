"""The steering parts fit the axle, and none is smaller than on any truck.

Checked: that the kingpins are at the axle's centre line, that both ends of the tie rod have one height, that the
tubes of drag link and tie rod are not smaller than on any truck, and that a brake line that ends beyond the end of the
axle tube moves with the knuckle.

Risk: steering angles, bump steer and clearance are computed about the stated points. Kingpins 4 in ahead of the axle
are a misread tape, and every steering number is wrong with them. A rod that is too thin bends when the driver turns
the wheels of the standing truck, and the truck no longer steers.

Worked out: distances between stated points, and stated sizes. What drag link and tie rod carry is checked by
steering-strength; these sizes are the least of any truck, whatever the load.

Remedy: measure what is named again; take a larger tube.
"""

from buildcheck.api import (
    Answer,
    Area,
    BrakeLine,
    DragLink,
    Job,
    Kingpin,
    Move,
    Part,
    Resize,
    Rule,
    Sample,
    Side,
    TieRod,
    Tube,
    Verdict,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
    met,
)

rule = Rule(
    "steering-parts",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    samples=(
        Sample("a tie rod of larger tube", {"steering.tie_rod.tube.outside_diameter": "1 1/2 in"}),
        Sample(
            "kingpins 4 in ahead of the axle",
            {"steering.kingpins.both.centre": [4, 28.5, 16.6]},
            {"kingpin-to-axle": Verdict.ERROR},
        ),
        Sample(
            "a tie rod of 5/8 in tube with a 1/16 in wall",
            {"steering.tie_rod.tube.outside_diameter": "5/8 in", "steering.tie_rod.tube.wall": "1/16 in"},
            {"rod-diameter": Verdict.ERROR, "rod-wall": Verdict.ERROR},
        ),
        Sample(
            "a brake line on the caliper that is said to move with the axle",
            {"brake_lines.line.both.moves_with": "axle"},
            {"hose-on-knuckle": Verdict.ERROR},
        ),
    ),
)


def on_steered_axle(job: Job, part: Part) -> str | None:
    return None if job.build.axle.position == "front" else "a rear axle has no steering"


@rule.check(
    Kingpin,
    at_most(warning="1 in", error="3 in"),
    change=(
        Move("centre", "x"),
        Words("measure the kingpin and the axle centre again"),
    ),
    basis=common_practice("the kingpin axis passes the middle of the axle tube within an inch"),
    effect="steering angles, bump steer and clearance are computed about it",
    when=on_steered_axle,
    compares=True,
)
def kingpin_to_axle(job: Job, kingpin: Kingpin) -> float:
    """Distance, fore and aft, of the kingpin's centre from the axle centre."""
    return abs(kingpin.centre.x - job.axle_centre.x)


@rule.check(
    TieRod,
    at_most(warning="1/2 in", error="2 in"),
    change=(
        Move("left", "z"),
        Words("measure the height of both ends of the tie rod again"),
    ),
    basis=common_practice("the steering arms of an axle are a mirror pair, so that the tie rod is level"),
    effect="the wheels toe in and out as they are turned, other than computed",
    when=on_steered_axle,
    compares=True,
)
def tie_rod_level(job: Job, rod: TieRod) -> float:
    """Difference in height of the two ends of the tie rod at ride height."""
    return abs(rod.left.z - rod.right.z)


def tube_of(job: Job, rod: DragLink | TieRod) -> Tube:
    return rod.tube


@rule.check(
    DragLink | TieRod,
    at_least(warning="1 in", error="7/8 in"),
    change=(
        Resize("outside_diameter").of(tube_of),
        Words("take a larger tube"),
    ),
    basis=common_practice("the rods of small off-road vehicles are 7/8 in and up, those of trucks 1 1/4 in tube"),
    effect="it bends when the wheels are turned against a rut, and the truck no longer steers",
    when=on_steered_axle,
    compares=True,
)
def rod_diameter(job: Job, rod: DragLink | TieRod) -> float:
    """Outside diameter of the tube of the drag link or the tie rod."""
    return rod.tube.outside_diameter


@rule.check(
    DragLink | TieRod,
    at_least(warning="3/16 in", error="1/8 in"),
    change=(
        Resize("wall").of(tube_of),
        Words("take a thicker tube"),
    ),
    basis=common_practice("threaded ends of rods need a wall of 3/16 in and up; 1/8 in buckles"),
    effect="it bends when the wheels are turned against a rut, and the truck no longer steers",
    when=on_steered_axle,
    compares=True,
)
def rod_wall(job: Job, rod: DragLink | TieRod) -> float:
    """Wall of the tube of the drag link or the tie rod."""
    return rod.tube.wall


def beyond_tube(job: Job, hose: BrakeLine) -> bool:
    """Whether the axle end of a brake line is farther out than the end of the axle tube."""
    tube = job.build.axle.tube
    end = tube.left_end if hose.side is Side.LEFT else tube.right_end
    return abs(hose.axle.y) > abs(end.y)


@rule.must(
    each(BrakeLine, where=beyond_tube),
    wanted="knuckle",
    change=Words("write that it moves with the knuckle, or measure where it ends"),
    basis=common_practice("what is farther out than the axle tube is on the knuckle, and turns with the wheel"),
    effect="the hose is pulled as the wheels are turned, and that is not checked",
    when=on_steered_axle,
)
def hose_on_knuckle(job: Job, hose: BrakeLine) -> Answer:
    """A brake line that ends beyond the axle tube moves with the knuckle."""
    return met(hose.moves_with == "knuckle", "knuckle", otherwise=hose.moves_with)
