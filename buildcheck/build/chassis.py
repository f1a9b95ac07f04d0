"""The vehicle, its axle, and how far the axle moves."""

from buildcheck.build.part import (
    Angle,
    Force,
    GaugedAngle,
    Length,
    MetalName,
    Part,
    Point,
    Pressure,
    Ratio,
    TapedLength,
    Torque,
    Vector,
    WeighedMass,
)


class Tyre(Part):
    """The tyre as it stands on the vehicle."""

    diameter: Length
    width: Length
    static_radius: TapedLength
    pressure: Pressure


class Obstacle(Part):
    """A sprung part that the axle can hit, as one simple solid in vehicle axes."""

    shape: str
    lower: Point
    upper: Point
    start: Point
    end: Point
    radius: Length
    point: Point
    normal: Vector


class Frame(Part):
    """What frame-side brackets are fixed to."""

    material: MetalName
    thickness: Length


class Vehicle(Part):
    """The vehicle on level ground, loaded as it is driven."""

    wheelbase: TapedLength
    track: TapedLength
    axle_load: WeighedMass
    unsprung_mass: WeighedMass
    total_mass: WeighedMass
    centre_of_gravity_height: TapedLength
    brake_share: Ratio
    drive_share: Ratio
    drive_torque: Torque
    tyre: Tyre
    frame: Frame
    obstacles: dict[str, Obstacle]


class AxleTube(Part):
    """The bare tube of the axle, on either side of its centre section."""

    left_end: Point
    right_end: Point
    outside_diameter: Length
    wall: Length
    material: MetalName
    grade: str


class CentreSection(Part):
    """The housing of the final drive."""

    material: MetalName
    identified_by: str
    where: str
    centre: Point
    radius: Length


class AxleEnds(Part):
    """The yokes that carry the knuckles."""

    material: MetalName


class Pinion(Part):
    """The centre of the driveshaft joint at the pinion, and where the pinion's shaft points."""

    point: Point
    up: GaugedAngle
    left: GaugedAngle


class HeatSensitivePart(Part):
    """Something on or near the axle that welding heat or current can spoil."""

    NOUN = "heat-sensitive part"

    state: str
    note: str


class Axle(Part):
    """The axle that the links hold, with what is fixed to it."""

    position: str
    driven: bool
    centre: Point
    tube: AxleTube
    centre_section: CentreSection
    ends: AxleEnds
    caster: GaugedAngle
    kingpin_inclination: GaugedAngle
    toe_in: GaugedAngle
    toe_in_by_tape: TapedLength
    pinion: Pinion
    final_drive_ratio: float
    heat_sensitive_parts: dict[str, HeatSensitivePart]


class Travel(Part):
    """How far the axle is meant to move from ride height."""

    bump: Length
    droop: Length
    articulation: Angle


class LoadCases(Part):
    """Loads to hold the build to; accelerations are multiples of gravity, the bump stop hit one of the load at rest."""

    braking: float
    cornering: float
    combined: Ratio
    friction: float
    bump_stop_hit: float
    rock_strike: Force
