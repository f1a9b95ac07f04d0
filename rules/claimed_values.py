"""What a part is said to do is possible for a part of its size.

Checked: the slip of the driveshaft against its length, and the angles of its joints against their kind; the length of a
coilover when compressed against its stroke, its body against its shaft, its springs against its length, their solid
length, and that its stop ring acts before the upper spring is solid; the rating of limit straps; whether a hydraulic
stop holds gas; the planned articulation against the planned travel; and the top speed against what off-road tyres are
rated for. Values that are not stated are not compared.

Risk: these figures end the travel or carry the truck in every other rule. One that is copied too large passes them
all: a slip said to come out by a foot never comes apart in the computer.

Worked out: by comparing with what such parts have. The stroke of a coilover is the difference of its two lengths, and
has to fit into it when it is compressed, beside eyes, piston and seal. The installed length of the springs is the sum
of their free lengths less the preload. One wheel at full bump and the other at full droop roll the axle by the angle
whose tangent is bump and droop together over the track.

Remedy: measure the part, or look it up on its maker's drawing.
"""

import math
from typing import Any

from buildcheck.api import (
    Answer,
    Area,
    BumpStop,
    Coilover,
    CoilSpring,
    Dimension,
    Driveshaft,
    Job,
    LimitStrap,
    Rule,
    Sample,
    ShaftJoint,
    Travel,
    Vehicle,
    Verdict,
    Words,
    amount_in,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    from_memory,
    met,
)

rule = Rule(
    "claimed-values",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a slip that comes out half an inch more", {"driveshaft.longest_length": 36.5}),
        Sample(
            "a slip that is said to come out ten inches more",
            {"driveshaft.longest_length": 46},
            {"slip-of-shaft": Verdict.ERROR},
        ),
        Sample(
            "a coilover that is said to close on nothing",
            {"coilovers.coilover.both.compressed_length": 14},
            {"damper-room": Verdict.ERROR},
        ),
    ),
)

again: dict[str, Any] = {"compares": True}


def measure(what: str) -> Words:
    return Words(f"measure {what} again, or look it up on its maker's drawing")


@rule.check(
    Driveshaft,
    at_most(warning="30 %", error="45 %"),
    basis=common_practice("a slip has 3 to 8 in; one that comes out by a third of the shaft is hardly engaged"),
    change=measure("the driveshaft with its slip fully in, and as far out as its splines stay engaged,"),
    place="longest_length",
    effect="the splines carry the torque on their last inch, or the slip comes apart",
    **again,
)
def slip_of_shaft(job: Job, shaft: Driveshaft) -> float:
    """Slip of the driveshaft as a share of its shortest length."""
    return (shaft.longest_length - shaft.shortest_length) / shaft.shortest_length


# The largest angle at which joints of each kind are listed.
MOST_ANGLE = {"single-cardan": 32.0, "double-cardan": 35.0, "constant-velocity": 42.0}


def most_angle(job: Job, joint: ShaftJoint) -> float:
    return amount_in(job.build, f"{MOST_ANGLE[joint.kind]} deg", Dimension.ANGLE)


@rule.check(
    each(ShaftJoint, of=Driveshaft),
    at_most(warning="100 %", error="135 %", of=most_angle, amounts=Dimension.ANGLE),
    basis=common_practice("yokes of trucks touch at 20 to 30 deg, relieved ones and balls in a cage a little later"),
    change=measure("the angle at which the joint's yokes touch"),
    place="largest_angle",
    effect="the joint is taken to bend where its yokes touch",
    **again,
)
def angle_of_kind(job: Job, joint: ShaftJoint) -> float:
    """Stated largest angle of a driveshaft joint, as a share of the most that its kind has."""
    return joint.largest_angle


@rule.check(
    Coilover,
    at_least(warning="4 in", error="2 in"),
    basis=common_practice("two eyes, piston, seal head and bump rubber take 5 to 8 in that are no stroke"),
    change=measure("the coilover fully extended and fully compressed"),
    place="compressed_length",
    effect="it is taken to have bump travel where it is solid",
    **again,
)
def damper_room(job: Job, coilover: Coilover) -> float:
    """Length of a compressed coilover that is not taken up by its stroke."""
    return 2 * coilover.compressed_length - coilover.extended_length


@rule.check(
    Coilover,
    at_least(warning="5 in", error="2 in"),
    basis=common_practice("the eyes, the hat of the shaft and the seat on the body take 6 to 10 in beside the springs"),
    change=measure("the springs free and the coilover extended"),
    place="springs",
    effect="such springs do not go onto the coilover",
    **again,
)
def spring_room(job: Job, coilover: Coilover) -> float:
    """Length of an extended coilover that is not taken up by its springs."""
    return coilover.extended_length - (sum(spring.free_length for spring in coilover.springs) - coilover.preload)


@rule.check(
    CoilSpring,
    at_least(warning="22 %", error="15 %"),
    basis=common_practice("coilover springs are solid at 25 to 45 % of their free length"),
    change=Words("press the spring solid and measure it, or look it up"),
    place="solid_length",
    effect="the coils touch, and the axle stops, before the bump travel is used",
    **again,
)
def solid_of_spring(job: Job, spring: CoilSpring) -> float:
    """Solid length of a spring as a share of its free length."""
    return spring.solid_length / spring.free_length


@rule.check(
    Coilover,
    at_least(warning="160 %", error="125 %"),
    basis=common_practice("the body of a damper is 2 to 3 times as thick as its shaft, for piston, seal and wall"),
    change=Words("measure the shaft and the outside of the body"),
    place="body_diameter",
    effect="its gas pushes with the wrong force, and its gaps are computed to a thinner part",
    **again,
)
def body_to_shaft(job: Job, coilover: Coilover) -> float:
    """Diameter of a damper's body as a share of that of its shaft."""
    return coilover.body_diameter / coilover.shaft_diameter


@rule.check(
    Coilover,
    at_least(warning="1/4 in", error="0 in"),
    basis=common_practice("a stop ring takes the upper spring out before its coils touch; later it does nothing"),
    change=Words("set the ring higher, or look up the solid length of the upper spring"),
    place="upper_spring_stop",
    effect="the upper spring goes solid with a knock, and the rate never changes at the ring",
    **again,
)
def ring_above_solid(job: Job, coilover: Coilover) -> float:
    """Length of the upper spring at its stop ring, less its solid length."""
    return coilover.upper_spring_stop - coilover.springs[0].solid_length


def is_hydraulic(job: Job, stop: BumpStop) -> bool:
    return stop.has("kind") and stop.kind == "hydraulic"


@rule.must(
    each(BumpStop, where=is_hydraulic, may_be_none=True),
    wanted="whether it holds gas",
    otherwise=Verdict.WARNING,
    basis=common_practice("most hydraulic stops hold gas under pressure, and bursting ones have hurt people"),
    change=Words("look up whether it holds gas, and write it: gas_charged"),
    place="kind",
    effect="it is heated or cut where it may burst",
    **again,
)
def gas_stated(job: Job, stop: BumpStop) -> Answer:
    """The spec says of a hydraulic stop whether it holds gas."""
    return met(stop.has("gas_charged"), "stated", otherwise="not stated")


@rule.check(
    LimitStrap,
    at_most(warning="15000 lbf", error="30000 lbf"),
    basis=common_practice("straps of two to six layers of 2 in webbing are rated for 2,000 to 10,000 lbf"),
    change=Words("look up the strap's rating again, and its unit"),
    place="load_rating",
    effect="the strap is taken to carry what it cannot",
    **again,
)
def strap_rating(job: Job, strap: LimitStrap) -> float:
    """Stated load rating of a limit strap."""
    return strap.load_rating


@rule.check(
    Travel,
    between(warning=("60 %", "250 %"), error=("25 %", "400 %")),
    basis=common_practice("on rough ground one wheel is at its stop as the other hangs; nothing but a bar stops that"),
    change=Words("plan the articulation that bump and droop allow, or state what stops the axle before"),
    place="articulation",
    effect="the axle rolls farther on the first rock than anything was checked for, or never as far as planned",
    **again,
)
def articulation_to_travel(job: Job, travel: Travel) -> float:
    """Planned articulation as a share of the roll with one wheel at full bump and the other at full droop."""
    return travel.articulation / math.atan((travel.bump + travel.droop) / job.build.vehicle.track)


@rule.check(
    Vehicle,
    at_most(warning="106 mph", error="130 mph"),
    basis=from_memory(
        "ETRTO Standards Manual, speed symbols",
        "Q is 160 km/h (99 mph), R 170 km/h (106 mph), U 200 km/h (124 mph); large off-road tyres are Q or R",
    ),
    change=Words("look up the top speed and its unit, and the speed symbol of the tyres"),
    place="top_speed",
    effect="the tyres burst, and the driveshaft is computed for a speed that the truck does not reach",
    **again,
)
def top_speed(job: Job, vehicle: Vehicle) -> float:
    """Stated top speed of the vehicle."""
    return vehicle.top_speed
