"""The vehicle, its axle, and how far the axle moves."""

from buildcheck.build.field import field
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
    Speed,
    TapedLength,
    Torque,
    Vector,
    WeighedMass,
)


class Tyre(Part):
    """This axle's tyres, as they are on the vehicle."""

    diameter: Length = field("Diameter, unloaded.", between=("400 mm", "2 m"), example="35 in")
    width: Length = field("Section width.", between=("100 mm", "800 mm"), example="12 1/2 in")
    static_radius: TapedLength = field(
        "Wheel centre to floor at ride height.", between=("180 mm", "1 m"), example="16 5/8 in"
    )
    pressure: Pressure = field("Inflation pressure.", between=("20 kPa", "1.2 MPa"), example="24 psi")


class Obstacle(Part):
    """A sprung part that the axle can hit, as one simple solid in vehicle axes."""

    VARIES_BY = "shape"

    shape: str = field(
        "Its shape: a `box` has `lower` and `upper`, a `cylinder` and a `capsule` have `start`, `end` and "
        "`radius`, a `half-space` has `point` and `normal`.",
        one_of=("box", "cylinder", "capsule", "half-space"),
        needed=True,
    )
    lower: Point = field("Corner of a box with the smallest x, y and z.", needed_for=("box",), example=(-8, -6, 22))
    upper: Point = field("Corner of a box with the largest x, y and z.", needed_for=("box",), example=(6, 6, 30))
    start: Point = field(
        "One end of the axis of a cylinder or capsule.", needed_for=("cylinder", "capsule"), example=(-10, 8, 24)
    )
    end: Point = field("The other end of its axis.", needed_for=("cylinder", "capsule"), example=(4, 8, 24))
    radius: Length = field(
        "Radius of a cylinder or capsule.", between=("2 mm", "2 m"), needed_for=("cylinder", "capsule"), example="2 in"
    )
    point: Point = field("A point on the face of a half-space.", needed_for=("half-space",), example=(0, 0, 28))
    normal: Vector = field("Direction out of the face of a half-space.", needed_for=("half-space",), example=(0, 0, -1))


class Frame(Part):
    """Frame to which the frame-side brackets are fixed."""

    material: MetalName
    thickness: Length = field("Wall thickness of the frame rail.", between=("1 mm", "30 mm"), example="3/16 in")
    yield_strength: Pressure = field("Yield strength, where known.", between=("50 MPa", "2000 MPa"), example="36 ksi")


class Vehicle(Part):
    """The vehicle at ride height: on level ground, loaded as it is driven."""

    wheelbase: TapedLength = field("Front to rear axle.", between=("1.5 m", "8 m"), example="108 in")
    track: TapedLength = field(
        "Between the middles of this axle's tyre contact patches.", between=("1 m", "3 m"), example="63 in"
    )
    axle_load: WeighedMass = field("Scale weight on this axle.", between=("100 kg", "15000 kg"), example="2650 lb")
    unsprung_mass: WeighedMass = field(
        "Mass of this axle with wheels, brakes and half of the parts that link it to the frame.",
        between=("40 kg", "3000 kg"),
        example="620 lb",
    )
    total_mass: WeighedMass = field("Scale weight of the vehicle.", between=("300 kg", "20000 kg"), example="4800 lb")
    centre_of_gravity_height: TapedLength = field(
        "Height of the vehicle's centre of gravity above the floor.", between=("250 mm", "2.5 m"), example="31 in"
    )
    ride_height: TapedLength = field(
        "From the upper side of the axle tube to the lower face of the rail at ride height, as planned; at the same "
        "place as in the baseline.",
        between=("0 mm", "1.2 m"),
        example="12 1/4 in",
    )
    brake_share: Ratio = field("Share of the braking force at this axle.", between=("0 %", "100 %"), example="65 %")
    drive_share: Ratio = field(
        "Share of the driving force that this axle brings to the road; with both axles driven and locked "
        "together, that of the load on it.",
        between=("0 %", "100 %"),
        example="50 %",
    )
    drive_torque: Torque = field(
        "Largest torque that the driveline can bring to this axle's two wheels together.",
        between=("0 N·m", "150000 N·m"),
        example="5200 lb-ft",
    )
    top_speed: Speed = field(
        "Fastest that the vehicle is driven with this axle turning its driveshaft. Write it with its unit.",
        between=("10 mph", "150 mph"),
        example="70 mph",
    )
    tyre: Tyre
    frame: Frame
    obstacles: dict[str, Obstacle] = field("Sprung parts that the axle can hit, by name.")


class AxleTube(Part):
    """The bare tube of the axle, on either side of its centre section."""

    left_end: Point = field("Left end of its centre line.", example=(0, 25, 16.6))
    right_end: Point = field("Right end of its centre line.", example=(0, -25, 16.6))
    outside_diameter: Length = field("Outside diameter.", between=("30 mm", "300 mm"), example="3 in")
    wall: Length = field("Wall thickness.", between=("2 mm", "100 mm"), example="1/2 in")
    material: MetalName
    grade: str = field("Grade or specification, where known.", for_people=True, example="1020")
    yield_strength: Pressure = field("Yield strength, where known.", between=("50 MPa", "2000 MPa"), example="50 ksi")


class CentreSection(Part):
    """The housing of the final drive."""

    material: MetalName
    identified_by: str = field("How the material was identified.", for_people=True, example="casting mark")
    where: str = field("Which side of the middle it is on.", one_of=("left", "middle", "right"), example="right")
    centre: Point = field("Centre of the housing.", example=(0, -8, 16.6))
    radius: Length = field("Radius of a ball that holds the housing.", between=("60 mm", "400 mm"), example="6 in")


class AxleEnds(Part):
    """The yokes that carry the knuckles."""

    material: MetalName


class Pinion(Part):
    """The centre of the driveshaft joint at the pinion, and where the pinion's shaft points."""

    point: Point = field("Centre of the joint.", example=(-9, -8, 18))
    up: GaugedAngle = field(
        "How far the pinion shaft points up along its way to the driveshaft, as seen from the side; negative for down.",
        between=("-45 deg", "45 deg"),
        example="6 deg",
    )
    left: GaugedAngle = field(
        "How far it points to the left on the same way, as seen from above.",
        between=("-45 deg", "45 deg"),
        example="0 deg",
    )


class HeatSensitivePart(Part):
    """Something on or near the axle that welding heat or current can spoil."""

    NOUN = "heat-sensitive part"

    state: str = field(
        "State of the part during welding.", one_of=("fitted", "removed", "shielded"), needed=True, example="removed"
    )
    note: str = field("Where it is.", for_people=True, example="inside both tube ends")


class Axle(Part):
    """The axle at ride height, with what is fixed to it."""

    position: str = field("Which axle it is.", one_of=("front", "rear"))
    driven: bool = field("Whether it is driven.")
    centre: Point = field(
        "Its centre: where its centre line crosses the vehicle's middle plane. Where left out, at the origin (or "
        "a wheelbase behind it), as high as the tyre's static radius.",
        example=(0, 0, 16.625),
    )
    tube: AxleTube
    centre_section: CentreSection
    ends: AxleEnds
    caster: GaugedAngle = field(
        "Caster: positive with the steering axis leaning rearward at the top.",
        between=("-20 deg", "30 deg"),
        example="6 deg",
    )
    kingpin_inclination: GaugedAngle = field(
        "Inclination of the steering axis: positive leaning inboard at the top.",
        between=("-5 deg", "30 deg"),
        example="8.5 deg",
    )
    toe_in: GaugedAngle = field("Total toe-in.", between=("-5 deg", "5 deg"), example="0.1 deg")
    toe_in_by_tape: TapedLength = field(
        "Total toe-in as a tape reads it: between the tyres behind the axle less in front of it.",
        between=("-75 mm", "75 mm"),
        example="1/8 in",
    )
    pinion: Pinion
    final_drive_ratio: float = field(
        "Ratio of the final drive: turns of the pinion for one of the wheels.", between=(1, 20), example=4.56
    )
    heat_sensitive_parts: dict[str, HeatSensitivePart] = field(
        "Further parts that welding heat or current can spoil, by name, beside those that `records.tacked.near_welds` "
        "asks for."
    )


class Travel(Part):
    """How far the axle is meant to move from ride height."""

    bump: Length = field("Up travel of the axle, both wheels together.", between=("5 mm", "1.1 m"), example="5 in")
    droop: Length = field("Down travel of the axle, both wheels together.", between=("5 mm", "1.1 m"), example="6 in")
    articulation: Angle = field(
        "Largest roll of the axle against the frame, one wheel up and the other down, at the middle of the travel.",
        between=("0.5 deg", "45 deg"),
        example="12 deg",
    )


class LoadCases(Part):
    """The loads that the build is checked for. Where one is left out, a common value is assumed and reported."""

    braking: float = field("Deceleration under braking, as a multiple of gravity.", between=(0, 2), example=0.8)
    cornering: float = field("Lateral acceleration in a bend, as a multiple of gravity.", between=(0, 2), example=0.7)
    combined: Ratio = field(
        "Share of the braking and of the cornering that act together when the truck brakes in a bend.",
        between=("0 %", "100 %"),
        example="70 %",
    )
    friction: float = field("Friction of tyre on ground, which limits the drive force.", between=(0.1, 2), example=0.9)
    bump_stop_hit: float = field(
        "Wheel load when the axle hits its bump stops, as a multiple of its load at rest.", between=(1, 20), example=3
    )
    rock_strike: Force = field(
        "Force of a rock on the middle of a link; the same from ahead and from below.",
        between=("0 N", "300 kN"),
        example="2500 lbf",
    )
    ledge: Length = field(
        "Height of the ledge that one wheel is driven against.", between=("0 mm", "1 m"), example="8 in"
    )
    one_wheel: float = field(
        "Load of one wheel on rough ground, also at the ledge, as a multiple of its load at rest.",
        between=(1, 10),
        example=1.8,
    )
    kerb: float = field(
        "Side force of a kerb on one wheel, as a multiple of the force that tips the truck over.",
        between=(0, 10),
        example=1.75,
    )
