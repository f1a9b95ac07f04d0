"""What is stated of a part is possible for a part of its kind.

Checked: how far a joint is said to tilt, its stiffness and its resistance to turning, against its kind; the yield
strength and Young's modulus of a tube or section against its metal; the walls of links, axle tubes and driveshafts,
the plate of brackets and frame, and the metal of housing and axle ends; that no sprung part hangs below the axle; how
far a bump stop of its kind can be crushed, and that only a hydraulic one holds gas; a joint's rating against its
bolt, and that the bolt is square to its part; the holes and shear planes of a bracket's bolts; its design load
against the load cases; the length of a weld against the tube that it goes round, or against any bracket; and the
length of a hose against what it has to reach, and what it moves with. Values that are not stated are not compared.

Risk: a maker's figure that is copied wrong, or a typing error of a factor of ten, passes every other rule on the good
side: a joint said to tilt by 60 deg never binds, and a tube said to be of 200 ksi never bends.

Worked out: by comparing with what such parts have, as makers list them. The bounds are wide; a value within them may
still be wrong.

Remedy: look the value up again, on the part's own drawing or certificate.
"""

import math
from collections.abc import Iterator
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    AxleEnds,
    AxleTube,
    Bolts,
    BrakeLine,
    BumpStop,
    CentreSection,
    Coilover,
    Dimension,
    Driveshaft,
    Frame,
    Job,
    Joint,
    JointOf,
    LateralBar,
    LimitStrap,
    Link,
    Missing,
    Obstacle,
    Part,
    Rule,
    Sample,
    Section,
    Side,
    Spot,
    Tube,
    Unreached,
    Verdict,
    Words,
    amount_in,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    from_memory,
    joints_of,
    least,
    made,
    met,
)

rule = Rule(
    "stated-values",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("bushings that tilt by 10 deg", {"links.arm.both.joints.axle_upper.misalignment": 10}),
        Sample(
            "a rubber bushing that tilts as far as a ball",
            {"links.arm.both.joints.axle_upper.misalignment": 40},
            {"tilt-of-kind": Verdict.ERROR},
            values={"tilt-of-kind": "250 %"},
        ),
        Sample(
            "a yield strength with a digit too many",
            {"lateral_bar.tube.yield_strength": "250 ksi"},
            {"yield-of-metal": Verdict.ERROR},
        ),
        Sample(
            "a brake line that lies on the floor",
            {"brake_lines.line.both.free_length": 60},
            {"hose-length": Verdict.ERROR},
        ),
    ),
)

again: dict[str, Any] = {"compares": True}


def look_up(what: str) -> Words:
    return Words(f"look up {what} again, on the part's drawing or certificate")


# The largest tilt to each side of joints of each kind, and the largest resistance to turning, per degree.
MOST_TILT = {"rod-end": 30.0, "spherical": 35.0, "polyurethane": 12.0, "rubber": 16.0, "clevis": 10.0}
MOST_TURNING = {"rod-end": 10.0, "spherical": 10.0, "polyurethane": 150.0, "rubber": 150.0, "clevis": 10.0}


def of_known_kind(job: Job, joint: Joint) -> bool:
    return joint.kind in MOST_TILT


def most_tilt(job: Job, joint: Joint) -> float:
    return amount_in(job.build, f"{MOST_TILT[joint.kind]} deg", Dimension.ANGLE)


@rule.check(
    each(Joint, where=of_known_kind),
    at_most(warning="100 %", error="150 %", of=most_tilt, amounts=Dimension.ANGLE),
    basis=common_practice(
        "makers list rod ends with 6 to 27 deg each way, a little more with high-misalignment spacers; bushings with "
        "less than 16 deg"
    ),
    change=look_up("the misalignment that the joint's maker gives to each side"),
    place="misalignment",
    effect="the joint is taken to bend where it binds",
    **again,
)
def tilt_of_kind(job: Job, joint: Joint) -> float:
    """Stated misalignment of a joint, as a share of the most that its kind has."""
    return joint.misalignment


@rule.check(
    each(Joint, where=of_known_kind),
    between(warning=("10 %", "1000 %"), error=("3 %", "3000 %")),
    basis=common_practice("a tenth to ten times the usual: rubber 5, polyurethane 20, steel on steel 100 kN/mm"),
    change=look_up("the joint's stiffness along the link, and its unit"),
    place="radial_stiffness",
    effect="the forces of links that hold the axle more than once over are computed for other joints",
    **again,
)
def stiffness_of_kind(job: Job, joint: Joint) -> float:
    """Stated radial stiffness of a joint as a share of what is usual for its kind."""
    return joint.radial_stiffness / job.usual_stiffness(joint)


def most_turning(job: Job, joint: Joint) -> float:
    return amount_in(job.build, f"{MOST_TURNING[joint.kind]} N·m/deg", Dimension.TORSIONAL_STIFFNESS)


@rule.check(
    each(Joint, where=of_known_kind),
    at_most(warning="100 %", error="1000 %", of=most_turning, amounts=Dimension.TORSIONAL_STIFFNESS),
    basis=common_practice("a ball or a pin turns by hand; a bushing of a truck takes up to 150 N m for each degree"),
    change=look_up("the joint's stiffness against being turned, and its unit"),
    place="torsional_stiffness",
    effect="the axle is held against roll by joints that turn freely",
    **again,
)
def turning_of_kind(job: Job, joint: Joint) -> float:
    """Stated resistance of a joint to being turned, as a share of the most that its kind has."""
    return joint.torsional_stiffness


def bolt_strength(job: Job, joint: Joint) -> float:
    return job.strengths.in_shear(joint.bolt)


@rule.check(
    Joint,
    at_most(warning="150 %", error="300 %", of=bolt_strength, amounts=Dimension.FORCE),
    basis=common_practice("the bolt of a joint carries about what the joint is rated for, or more"),
    change=look_up("the joint's static rating, and its unit,"),
    place="load_rating",
    effect="the joint is taken to carry what it cannot",
    **again,
)
def rating_to_bolt(job: Job, joint: Joint) -> float:
    """Stated rating of a joint as a share of the load at which its bolt reaches its proof strength in shear."""
    return joint.load_rating


@rule.check(
    made("joint of a link, bar, coilover or strap", joints_of, of=Link | LateralBar | Coilover | LimitStrap),
    at_most(warning="25 deg", error="50 deg"),
    basis=common_practice("the eye of a link is square to it, within what a bracket is turned by"),
    change=Words("measure the direction of the bolt again: across the part, as [0, 1, 0] for a link fore and aft"),
    effect="how far the joint tilts, and what its bolt carries, is computed about another bolt",
    **again,
)
def bolt_along_link(job: Job, joint: JointOf[Link | LateralBar | Coilover | LimitStrap]) -> float:
    """Angle by which the bolt of a joint is off from square to its part, at ride height."""
    line, bolt = job.direction(joint.part), joint.stated.axis
    along = abs(sum(a * b for a, b in zip(line, bolt, strict=True))) / (math.hypot(*line) * math.hypot(*bolt))
    return math.asin(min(along, 1.0))


def bolt_diameter(job: Job, bolts: Bolts) -> float:
    return job.strengths.diameter(bolts)


@rule.check(
    Bolts,
    at_most(warning="115 %", error="135 %", of=bolt_diameter, amounts=Dimension.LENGTH),
    basis=from_memory("AISC 360, table J3.3", "holes are 1/16 in larger than the bolt, oversize ones 1/8 to 5/16 in"),
    change=Words("drill the bracket anew, sleeve the holes, or measure them again"),
    place="hole_diameter",
    effect="the bracket works on its bolts, and one of them carries it",
    **again,
)
def hole_to_bolt(job: Job, bolts: Bolts) -> float:
    """Diameter of the holes as a share of that of the bolts."""
    return bolts.hole_diameter


@rule.must(
    Bolts,
    wanted="1 or 2 faces",
    otherwise=Verdict.WARNING,
    basis=common_practice("a bracket on one face shears its bolts once, one between two plates twice"),
    change=Words("count the faces between plates through which one bolt goes"),
    place="shear_planes",
    effect="the bolts are taken to carry more than they do",
    **again,
)
def shear_planes(job: Job, bolts: Bolts) -> Answer:
    """The bolts of a bracket are sheared through one or two faces."""
    return met(bolts.shear_planes <= 2, f"{bolts.shear_planes}", otherwise=f"{bolts.shear_planes}")


@rule.check(
    Attachment,
    between(warning=("60 %", "600 %"), error=("25 %", "1500 %")),
    basis=common_practice(
        "a design load is the largest of the load cases, with a half to three times as much to spare"
    ),
    change=Words("look up the design load, and its unit; or leave it out, and the load cases count"),
    place="design_load",
    effect="the bracket is designed for another load than it sees",
    **again,
)
def design_load(job: Job, bracket: Attachment) -> Spot:
    """Stated design load of a bracket as a share of the largest of its load cases."""
    try:
        load = max(job.loads.on_bracket(bracket).bears)
    except Unreached:
        load = 0.0
    if load <= 0.0:
        raise Missing(bracket.path_of("holds"))  # others say what is not known of its load
    return Spot(bracket.design_load / load).leaving_out(*job.loads.cases_left_out())


# A middling yield strength of each metal, MPa.
MIDDLING_YIELD = {
    "carbon-steel": 400, "alloy-steel": 650, "forged-steel": 500, "cast-steel": 350, "aluminium": 270,
    "gray-iron": 200, "ductile-iron": 350, "malleable-iron": 280, "unknown-casting": 280,
}  # fmt: skip


def middling_yield(job: Job, part: Tube | Section | AxleTube | Frame) -> float:
    return amount_in(job.build, f"{MIDDLING_YIELD[part.material]} MPa", Dimension.PRESSURE)


@rule.check(
    Tube | Section | AxleTube | Frame,
    between(warning=("45 %", "200 %"), error=("30 %", "300 %")),
    basis=common_practice("carbon steel yields at 200 to 600 MPa, alloy steel at 350 to 1300, aluminium at 100 to 500"),
    change=look_up("the yield strength, and its unit,"),
    place="yield_strength",
    effect="the part is taken to carry what its metal cannot",
    **again,
)
def yield_of_metal(job: Job, part: Tube | Section | AxleTube | Frame) -> float:
    """Stated yield strength as a share of a middling one of its metal."""
    return part.yield_strength / middling_yield(job, part)


# Young's modulus of each metal, GPa.
MODULUS = {"aluminium": 69, "gray-iron": 110, "ductile-iron": 168, "malleable-iron": 168, "unknown-casting": 150}
STEEL = 207


@rule.check(
    Tube | Section,
    between(warning=("90 %", "110 %"), error=("75 %", "130 %")),
    basis=from_memory(
        "Shigley's Mechanical Engineering Design, 9th ed., table A-5", "every steel has 207 GPa, 30 Mpsi"
    ),
    change=look_up("Young's modulus, and its unit, or leave it out,"),
    place="youngs_modulus",
    effect="the load at which it buckles is computed for another metal",
    **again,
)
def modulus_of_metal(job: Job, part: Tube | Section) -> float:
    """Stated Young's modulus as a share of that of its metal."""
    usual = amount_in(job.build, f"{MODULUS.get(part.material, STEEL)} GPa", Dimension.PRESSURE)
    return part.youngs_modulus / usual


walls: dict[str, Any] = {"change": look_up("the tube's diameter and wall"), "place": "wall", "compares": True}


@rule.check(
    each(Tube, of=Link | LateralBar),
    at_least(warning="6 %", error="3 %"),
    basis=common_practice("links are of 1/8 in wall and more; a thinner one is dented by the first stone"),
    effect="it is dented, and then folds",
    **walls,
)
def wall_of_link(job: Job, tube: Tube) -> float:
    """Wall of a link's tube as a share of its outside diameter."""
    return tube.wall / tube.outside_diameter


@rule.check(
    AxleTube,
    at_least(warning="6 %", error="3 %"),
    basis=common_practice("axle tubes of 3 in have 1/4 in and more"),
    effect="it bends, or is burnt through when a bracket is welded on",
    **walls,
)
def wall_of_axle(job: Job, tube: AxleTube) -> float:
    """Wall of the axle's tube as a share of its outside diameter."""
    return tube.wall / tube.outside_diameter


@rule.check(
    each(Tube, of=Driveshaft),
    between(warning=("2 %", "15 %"), error=("1 %", "30 %")),
    basis=common_practice("driveshafts are of 0.065 to 1/4 in wall; thicker ones whirl and cannot be balanced"),
    effect="the shaft is dented and whirls, or is too heavy to balance",
    **walls,
)
def wall_of_driveshaft(job: Job, tube: Tube) -> float:
    """Wall of the driveshaft's tube as a share of its outside diameter."""
    return tube.wall / tube.outside_diameter


# The least share of its length that a stop of each kind keeps when it is crushed.
LEAST_CRUSHED = {"rubber": 0.35, "polyurethane": 0.3, "hydraulic": 0.2}


def least_crushed(job: Job, stop: BumpStop) -> float:
    return LEAST_CRUSHED[stop.kind]


@rule.check(
    BumpStop,
    at_least(warning="100 %", error="60 %", of=least_crushed, amounts=Dimension.RATIO),
    basis=common_practice("rubber works down to a third of its length, polyurethane to less; hydraulic stops slide"),
    change=look_up("the stop's length when crushed"),
    place="crushed_length",
    effect="the stop is torn, and the axle goes farther than planned",
    **again,
)
def crushed_of_kind(job: Job, stop: BumpStop) -> float:
    """Crushed length of a bump stop over its free length, as a share of the least for its kind."""
    return stop.crushed_length / stop.free_length


@rule.must(
    BumpStop,
    wanted="gas in a hydraulic stop only",
    basis=common_practice("rubber and polyurethane hold no gas; whether a stop may be heated depends on it"),
    change=Words("find out what kind of stop it is, and whether it holds gas"),
    place="gas_charged",
    effect="a gas-charged stop that is heated or cut bursts",
    **again,
)
def gas_of_kind(job: Job, stop: BumpStop) -> Answer:
    """A bump stop that holds gas is a hydraulic one."""
    found = f"{stop.kind}, {'with' if stop.gas_charged else 'without'} gas"
    return met(stop.kind == "hydraulic" or not stop.gas_charged, found, otherwise=found)


plates: dict[str, Any] = {"change": Words("measure the thickness again, and look up its unit"), "compares": True}


@rule.check(
    Frame,
    between(warning=("0.1 in", "0.4 in"), error=("0.06 in", "0.75 in")),
    basis=common_practice("the rails of trucks are 1/8 to 3/8 in thick"),
    place="thickness",
    effect="welds on the frame are sized for another frame",
    **plates,
)
def frame_thickness(job: Job, frame: Frame) -> float:
    """Wall thickness of the frame rail."""
    return frame.thickness


@rule.check(
    Attachment,
    between(warning=("0.12 in", "3/4 in"), error=("0.08 in", "1 1/2 in")),
    basis=common_practice("brackets of links, springs and straps are of 3/16 to 1/2 in plate; 1/8 in folds"),
    place="bracket_thickness",
    effect="the bracket folds, or is not of that plate",
    **plates,
)
def bracket_thickness(job: Job, bracket: Attachment) -> float:
    """Thickness of the bracket."""
    return bracket.bracket_thickness


def lowest(part: Obstacle) -> float:
    """Height of the lowest point of an obstacle that has an end, m."""
    if part.shape == "box":
        return min(part.lower.z, part.upper.z)
    return min(part.start.z, part.end.z) - part.radius


def has_an_end(job: Job, part: Obstacle) -> bool:
    return part.shape != "half-space"


@rule.check(
    each(Obstacle, where=has_an_end),
    at_least(warning="0 in", error="-6 in"),
    basis=common_practice("the axle is the lowest part of a truck, and what hangs below it is torn off"),
    change=Words("measure the heights of the part again, from the floor; or lift it, or put a plate under it"),
    effect="it is torn off by the first rock, or it is drawn in another place",
    **again,
)
def above_axle(job: Job, part: Obstacle) -> float:
    """Height of a sprung part's lowest point above the underside of the axle's tube."""
    return lowest(part) - (job.axle_centre.z - job.build.axle.tube.outside_diameter / 2)


NOT_OF_A_HOUSING = ("aluminium", "forged-steel", "alloy-steel")
NOT_OF_ENDS = ("aluminium", "unknown-casting", "gray-iron")


@rule.must(
    CentreSection | AxleEnds,
    wanted="a metal that such parts are made of",
    otherwise=Verdict.WARNING,
    basis=common_practice("housings are cast iron, cast steel or steel plate; the yokes are forged, or of cast steel"),
    change=Words("find out what it is made of: its casting mark, a spark, a chip from a drill"),
    place="material",
    effect="a bracket is welded to it as to another metal",
    **again,
)
def metal_of_axle(job: Job, part: CentreSection | AxleEnds) -> Answer:
    """The housing and the ends of the axle are of a metal that such parts are made of."""
    metal = part.material
    unusual = NOT_OF_A_HOUSING if isinstance(part, CentreSection) else NOT_OF_ENDS
    return met(metal not in unusual, metal, otherwise=metal)


def welded(job: Job, bracket: Attachment) -> bool:
    return bracket.method != "bolted"


def round_tube(job: Job, bracket: Attachment) -> bool:
    return welded(job, bracket) and bracket.parent == "axle-tube"


def elsewhere(job: Job, bracket: Attachment) -> bool:
    return welded(job, bracket) and bracket.parent != "axle-tube"


weld_lengths: dict[str, Any] = {
    "change": Words("measure the length of weld for which the bracket has room, all its beads together"),
    "place": "weld.length",
    "effect": "the weld is taken to carry more than it can",
    "compares": True,
}


def once_round(job: Job, bracket: Attachment) -> float:
    return math.pi * job.build.axle.tube.outside_diameter


@rule.check(
    each(Attachment, where=round_tube),
    at_most(warning="300 %", error="500 %", of=once_round, amounts=Dimension.LENGTH),
    basis=common_practice("two plates, each welded on both faces, have twice to four times the girth of their tube"),
    **weld_lengths,
)
def weld_on_tube(job: Job, bracket: Attachment) -> float:
    """Length of a bracket's weld on the axle's tube, as a share of once round the tube."""
    return bracket.weld.length


@rule.check(
    each(Attachment, where=elsewhere),
    at_most(warning="48 in", error="96 in"),
    basis=common_practice("a large bracket, boxed and welded all round, has 3 ft of weld"),
    **weld_lengths,
)
def weld_elsewhere(job: Job, bracket: Attachment) -> float:
    """Length of a bracket's weld on the frame or on a casting."""
    return bracket.weld.length


def reach(job: Job, hose: BrakeLine) -> Spot:
    found = -least(-job.brake_line_length(hose, line).largest for line in job.lines.cycled)
    return found.lacking(*job.lines.without_articulation)


def longest_reach(job: Job, hose: BrakeLine) -> float:
    return reach(job, hose).value


@rule.check(
    BrakeLine,
    at_most(warning="150 %", error="220 %", of=longest_reach, amounts=Dimension.LENGTH),
    basis=common_practice("a hose with more than half its reach to spare hangs into the wheel, and is cut there"),
    change=Words("take a shorter hose, or measure it again, straight and between its ends"),
    place="free_length",
    effect="the hose hangs into the wheel, the axle or the exhaust",
    **again,
)
def hose_length(job: Job, hose: BrakeLine) -> Spot:
    """Length of a brake line as a share of the longest distance that it has to reach."""
    return Spot(hose.free_length).partial_as(reach(job, hose))


ROOM_ON_TUBE = "3 in"


def is_inboard(job: Job, hose: BrakeLine) -> bool:
    """Whether a brake line's axle end is well inside the end of the axle tube."""
    tube = job.build.axle.tube
    end = tube.right_end if hose.axle.y < 0.0 else tube.left_end
    return abs(hose.axle.y) < abs(end.y) - amount_in(job.build, ROOM_ON_TUBE, Dimension.LENGTH)


@rule.must(
    each(BrakeLine, where=is_inboard),
    wanted="axle",
    otherwise=Verdict.WARNING,
    basis=common_practice("what ends 3 in and more inside the end of the axle's tube does not turn with a wheel"),
    change=Words("write that it moves with the axle, or measure where it ends"),
    place="moves_with",
    effect="its slack is computed at lock, where it does not move",
    **again,
)
def hose_on_axle(job: Job, hose: BrakeLine) -> Answer:
    """A brake line that ends well inside the axle tube moves with the axle."""
    return met(hose.moves_with == "axle", "axle", otherwise=hose.moves_with)


def of_one_side(job: Job, hose: BrakeLine) -> bool:
    return hose.side is not Side.CENTRE


def twins_of(job: Job, hose: BrakeLine) -> Iterator[Part]:
    return (other for sides in job.build.brake_lines.values() for other in sides if other.side is not hose.side)


@rule.must(
    each(BrakeLine, where=of_one_side),
    wanted="a line on the other side too, or one in the middle",
    otherwise=Verdict.WARNING,
    basis=common_practice("both wheels have a brake, each with its line, or a tee on the axle with one line to it"),
    change=Words("write the line of the other side, or the single one as `centre`"),
    effect="the brake line of one wheel is not checked",
    **again,
)
def hose_on_both_sides(job: Job, hose: BrakeLine) -> Answer:
    """A truck with a brake line on one side has one on the other side or in the middle."""
    return met(any(twins_of(job, hose)), "on both sides", otherwise=f"on the {hose.side} only")
