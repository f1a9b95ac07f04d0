"""Wheelbase, track, tyres, masses and links are in proportion.

Checked: the wheelbase against the track and the tyres, the track against the tyres, a tyre's width against its
diameter, the height of the centre of gravity against the track, the load on the axle against the vehicle's mass, the
unsprung mass against the load on the axle, the length of each link against the wheelbase, the tyres' pressure against
their load, the share of the braking against the share of the load, the driveline's torque against the grip of the
tyres, and the final drive's ratio. Values that are not stated are not compared.

Risk: all other rules trust the spec. With half the true wheelbase, the loads and the anti-dive are those of another
truck.

Worked out: by dividing one value by the other. A tyre carries its load on a patch that is about as wide as the tyre;
its pressure gives the length of that patch. The grip is the load on the axle at the tyres' static radius.

Remedy: look up or measure the named values again, and check their units.
"""

from typing import Any

from buildcheck.api import (
    Area,
    Axle,
    Dimension,
    Job,
    Link,
    ReadAs,
    Rule,
    Sample,
    Tyre,
    Vehicle,
    Verdict,
    Words,
    between,
    common_practice,
    each,
)

rule = Rule(
    "vehicle-proportions",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a longer wheelbase", {"vehicle.wheelbase": 140}),
        Sample(
            "a wheelbase of less than the track",
            {"vehicle.wheelbase": 66},
            {"wheelbase-to-track": Verdict.ERROR, "wheelbase-to-tyre": Verdict.WARNING},
        ),
        Sample(
            "an unsprung mass in pounds, written as kilograms",
            {"vehicle.unsprung_mass": "640 kg"},
            {"unsprung-share": Verdict.WARNING},
        ),
    ),
)

# The arguments that all of these checks share.
ratio: dict[str, Any] = {
    "basis": common_practice(
        "covers small off-road vehicles to medium trucks; outside it a number or its unit is usually wrong"
    ),
    "effect": "the loads are computed for a truck that does not exist",
    "compares": True,
}


def again(what: str) -> Words:
    return Words(f"look up or measure {what} again")


def masses_again(what: str, *fields: str) -> tuple[ReadAs | Words, ...]:
    """The changes for two masses: read one in the other unit where that explains the ratio, or look both up again."""
    unit = "its unit: one of the two may be in kg and written as lb, or in lb and written as kg"
    says = f"look up or measure {what} again, and {unit}"
    return *(ReadAs(field, ("kg", "lb"), says=says) for field in fields), again(what)


@rule.check(
    Vehicle,
    between(warning=("125 %", "350 %"), error=("100 %", "450 %")),
    change=again("the wheelbase and the track"),
    place="wheelbase",
    **ratio,
)
def wheelbase_to_track(job: Job, vehicle: Vehicle) -> float:
    """Wheelbase as a share of the track."""
    return vehicle.wheelbase / vehicle.track


@rule.check(
    Vehicle,
    between(warning=("200 %", "750 %"), error=("150 %", "1000 %")),
    change=again("the wheelbase and the tyre"),
    place="wheelbase",
    **ratio,
)
def wheelbase_to_tyre(job: Job, vehicle: Vehicle) -> float:
    """Wheelbase as a share of the tyre's diameter."""
    return vehicle.wheelbase / vehicle.tyre.diameter


@rule.check(
    Vehicle,
    between(warning=("130 %", "320 %"), error=("100 %", "400 %")),
    change=again("the track and the tyre"),
    place="track",
    **ratio,
)
def track_to_tyre(job: Job, vehicle: Vehicle) -> float:
    """Track as a share of the tyre's diameter."""
    return vehicle.track / vehicle.tyre.diameter


@rule.check(
    Tyre,
    between(warning=("20 %", "55 %"), error=("12 %", "75 %")),
    change=again("the tyre"),
    place="width",
    **ratio,
)
def tyre_width(job: Job, tyre: Tyre) -> float:
    """Width of the tyre as a share of its diameter."""
    return tyre.width / tyre.diameter


@rule.check(
    Vehicle,
    between(warning=("25 %", "80 %"), error=("15 %", "110 %")),
    change=again("the height of the centre of gravity and the track"),
    place="centre_of_gravity_height",
    **ratio,
)
def weight_height(job: Job, vehicle: Vehicle) -> float:
    """Height of the centre of gravity as a share of the track."""
    return vehicle.centre_of_gravity_height / vehicle.track


@rule.check(
    Vehicle,
    between(warning=("25 %", "80 %"), error=("12 %", "90 %")),
    change=masses_again("the load on the axle and the vehicle's mass", "axle_load", "total_mass"),
    place="axle_load",
    **ratio,
)
def axle_share(job: Job, vehicle: Vehicle) -> float:
    """Load on the axle as a share of the vehicle's mass."""
    return vehicle.axle_load / vehicle.total_mass


@rule.check(
    Vehicle,
    between(warning=("10 %", "50 %"), error=("5 %", "65 %")),
    change=masses_again("the unsprung mass and the load on the axle", "unsprung_mass", "axle_load"),
    place="unsprung_mass",
    **ratio,
)
def unsprung_share(job: Job, vehicle: Vehicle) -> float:
    """Unsprung mass as a share of the load on the axle."""
    return vehicle.unsprung_mass / vehicle.axle_load


def without_axle_load(job: Job, vehicle: Vehicle) -> bool:
    return not vehicle.has("axle_load")


@rule.check(
    each(Vehicle, where=without_axle_load),
    between(warning=("3 %", "40 %"), error=("1.5 %", "60 %")),
    change=masses_again("the unsprung mass and the vehicle's mass", "unsprung_mass", "total_mass"),
    place="unsprung_mass",
    **ratio,
)
def unsprung_of_all(job: Job, vehicle: Vehicle) -> float:
    """Unsprung mass as a share of the vehicle's mass, where the load on the axle is not stated."""
    return vehicle.unsprung_mass / vehicle.total_mass


@rule.check(
    Link,
    between(warning=("8 %", "65 %"), error=("4 %", "90 %")),
    change=Words(lambda job, link: f"look up or measure the points of the {link.label} and the wheelbase again"),
    place="frame",
    **ratio,
)
def link_to_wheelbase(job: Job, link: Link) -> float:
    """Length of a link as a share of the wheelbase."""
    return job.drawn_length(link) / job.build.vehicle.wheelbase


@rule.check(
    Tyre,
    between(warning=("6 %", "30 %"), error=("3 %", "60 %")),
    change=Words("look up the pressure for this load, and its unit"),
    place="pressure",
    basis=common_practice(
        "the patch of a truck's tyre is a tenth to a quarter of its diameter long; more is a flat tyre"
    ),
    effect="a hard tyre bounces and loses grip, a soft one overheats or comes off its rim",
    compares=True,
)
def tyre_patch(job: Job, tyre: Tyre) -> float:
    """Length of the tyre's patch that its load and pressure give, as a share of its diameter."""
    return job.wheel_load() / (tyre.pressure * tyre.width) / tyre.diameter


@rule.check(
    Vehicle,
    between(warning=("70 %", "180 %"), error=("40 %", "250 %")),
    change=again("the share of the braking and the load on the axle"),
    place="brake_share",
    basis=common_practice("the front axle brakes with a share above that of its load, the rear one with one below"),
    effect="the loads in a stop are computed for other brakes",
    compares=True,
)
def brake_to_load(job: Job, vehicle: Vehicle) -> float:
    """Share of the braking at the front axle, as a share of its share of the load."""
    share, load = vehicle.brake_share, vehicle.axle_load / vehicle.total_mass
    front = job.build.axle.position == "front"
    return share / load if front else (1.0 - share) / (1.0 - load)


@rule.check(
    Vehicle,
    between(warning=("60 %", "400 %"), error=("25 %", "1000 %")),
    change=again("the driveline's largest torque at the wheels, in the lowest gear,"),
    place="drive_torque",
    basis=common_practice(
        "in its lowest gear a truck spins its wheels; no driveline brings ten times what they can hold"
    ),
    effect="the loads of driving are computed for another driveline",
    compares=True,
)
def torque_to_grip(job: Job, vehicle: Vehicle) -> float:
    """Largest torque at this axle's wheels as a share of the load on the axle at the tyres' static radius."""
    return vehicle.drive_torque / (2 * job.wheel_load() * vehicle.tyre.static_radius)


@rule.check(
    Axle,
    between(warning=("2.7", "6.5"), error=("2", "10")),
    change=again("the final drive's ratio: count the teeth of ring gear and pinion"),
    place="final_drive_ratio",
    basis=common_practice("ring and pinion of trucks are 3 to 6 to one"),
    effect="torque and speed of the driveshaft are computed for another axle",
    dimension=Dimension.RATIO,
    compares=True,
)
def final_drive(job: Job, axle: Axle) -> float:
    """Ratio of the final drive: turns of the pinion for one of the wheels."""
    return axle.final_drive_ratio


def drives(job: Job, vehicle: Vehicle) -> bool:
    return vehicle.drive_share > 0.0


@rule.check(
    each(Vehicle, where=drives),
    between(warning=("60 %", "250 %"), error=("25 %", "400 %")),
    change=again("the share of the driving force at this axle"),
    place="drive_share",
    basis=common_practice("an axle that is driven brings about its share of the load to the road, or drives alone"),
    effect="the loads of driving are computed for another driveline",
    compares=True,
)
def drive_to_load(job: Job, vehicle: Vehicle) -> float:
    """Share of the driving force at this axle as a share of its share of the load."""
    return vehicle.drive_share / (vehicle.axle_load / vehicle.total_mass)
