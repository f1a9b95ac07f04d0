"""How a bracket is held to its parent: bolts, welds, and both materials."""

from buildcheck.build.bolts import Bolt
from buildcheck.build.field import field
from buildcheck.build.part import (
    Angle,
    Current,
    Force,
    Length,
    MetalName,
    Part,
    Point,
    Pressure,
    Speed,
    Temperature,
    Vector,
    Voltage,
)
from buildcheck.build.stage_records import AsBolted, AsWelded, FitUp
from buildcheck.build.stiffeners import Brace, Gussets


class Bolts(Bolt):
    """The bolts of a bracket, all of one size."""

    count: int = field("How many.", between=(1, 60), example=2)
    shear_planes: int = field("Through how many faces the load shears each bolt.", between=(1, 4), example=2)
    hole_diameter: Length = field("Diameter of the holes.", between=("3 mm", "60 mm"), example="21/32 in")
    edge_distance: Length = field(
        "From the hole's centre to the nearest edge.", between=("3 mm", "250 mm"), example="1 in"
    )
    pattern: str = field(
        "How they lie: in one `line`, in two equal rows (`rectangle`), or evenly round a `circle`.",
        one_of=("line", "rectangle", "circle"),
        example="rectangle",
    )
    spacing: Length = field(
        "From one bolt to the next in a line or row, centre to centre.", between=("5 mm", "1 m"), example="3 in"
    )
    row_spacing: Length = field(
        "Between the two rows of a rectangle, centre to centre.", between=("5 mm", "1 m"), example="2 1/2 in"
    )
    circle_diameter: Length = field(
        "Diameter of the circle on which they lie.", between=("10 mm", "1 m"), example="5 in"
    )
    foot_thickness: Length = field(
        "Thickness of the foot under the bolts, where it is not that of the bracket.",
        between=("0.5 mm", "100 mm"),
        example="5/8 in",
    )
    to_upright: Length = field(
        "From the hole's centre to the face of the upright that pulls on the foot; the foot is bent over it.",
        between=("3 mm", "250 mm"),
        example="1 1/4 in",
    )
    threaded_into: str = field(
        "What they are screwed into: `nut`, or the `parent`, by tapped holes.",
        one_of=("nut", "parent"),
        example="parent",
    )
    thread_engaged: Length = field(
        "Length of full thread in a tapped hole.", between=("3 mm", "250 mm"), example="1 in"
    )


class Tacks(Part):
    """The tack welds that hold a bracket until final welding."""

    count: int = field("How many.", between=(1, 100), example=4)
    length: Length = field("Length of each.", between=("1 mm", "150 mm"), example="3/8 in")


class Weld(Part):
    """The weld of a bracket, and how it is to be made."""

    kind: str = field("Kind of weld.", one_of=("fillet", "groove", "plug"))
    leg: Length = field("Leg of the fillet.", between=("1 mm", "40 mm"), example="1/4 in")
    length: Length = field("Total length of weld.", between=("5 mm", "5 m"), example="9 in")
    pattern: str = field(
        "How its lines lie: one `line`, `two-lines` beside each other, `three-sides` of a rectangle, `all-round` a "
        "rectangle, or round a `circle`, as seen along the `normal` of the bracket.",
        one_of=("line", "two-lines", "three-sides", "all-round", "circle"),
        example="two-lines",
    )
    pattern_length: Length = field(
        "Length of a line, or of one side of the rectangle; of three sides, of the two that face each other.",
        between=("5 mm", "2 m"),
        example="4 in",
    )
    pattern_width: Length = field(
        "Distance between two lines, the other side of the rectangle, or the diameter of the circle.",
        between=("5 mm", "2 m"),
        example="2 in",
    )
    process: str = field(
        "Welding process.",
        one_of=("shielded-metal-arc", "gas-metal-arc", "flux-cored-arc", "gas-tungsten-arc", "oxy-fuel", "brazing"),
        example="gas-metal-arc",
    )
    filler: str = field("Filler metal, by its standard classification (AWS or ISO).", example="ENiFe-CI")
    preheat: Temperature = field(
        "Temperature of the parts before the first bead.", between=("-40 degC", "800 degC"), example="500 degF"
    )
    interpass: Temperature = field(
        "Highest temperature between beads.", between=("-40 degC", "900 degC"), example="600 degF"
    )
    post_heat: Temperature = field(
        "Temperature held after the last bead.", between=("-40 degC", "1100 degC"), example="1100 degF"
    )
    cooling: str = field("How it cools.", one_of=("still-air", "slow", "furnace", "forced"), example="slow")
    peened: bool = field("Whether each bead is peened while it is hot.")
    tacks: Tacks
    current: Current = field("Welding current.", between=("5 A", "1000 A"), example="140 A")
    voltage: Voltage = field("Arc voltage.", between=("5 V", "60 V"), example="19 V")
    travel_speed: Speed = field("Travel speed.", between=("0.5 in/min", "200 in/min"), example="8 in/min")


class Attachment(Part):
    """One bracket and what it is fixed to."""

    holds: tuple[str, ...] = field(
        "Spec path of what it carries; a list where one bracket carries several parts. A path may name one end "
        "(`links.arm.left.frame`); that of a part is short for its end on the bracket's own member.",
        how_many=(1, 10),
        or_one=True,
        example="links.arm.right",
    )
    parent: str = field(
        "Part that it is fixed to.",
        one_of=("frame", "crossmember", "axle-tube", "centre-section", "axle-end", "knuckle"),
        example="centre-section",
    )
    parent_material: MetalName = field(
        "Material of what it is fixed to; where left out, that of the axle part or the frame named by `parent`."
    )
    parent_thickness: Length = field(
        "Thickness of what it is fixed to.", between=("0.5 mm", "100 mm"), example="1/2 in"
    )
    parent_yield_strength: Pressure = field(
        "Yield strength of what it is fixed to, where that of the frame or the axle tube is not stated.",
        between=("50 MPa", "2000 MPa"),
        example="40 ksi",
    )
    parent_tensile_strength: Pressure = field(
        "Tensile strength of what it is fixed to, where bolts are screwed into it.",
        between=("50 MPa", "2000 MPa"),
        example="60 ksi",
    )
    bracket_material: MetalName = field("Material of the bracket.")
    bracket_thickness: Length = field("Thickness of the bracket.", between=("0.5 mm", "60 mm"), example="1/4 in")
    bracket_yield_strength: Pressure = field(
        "Yield strength of the plate of the bracket, from the mill certificate.",
        between=("50 MPa", "2000 MPa"),
        example="36 ksi",
    )
    plates: int = field("How many plates or ears carry its joint, side by side.", between=(1, 4), example=2)
    root_width: Length = field(
        "Width of each plate where it meets its foot or the weld, square to the bolt of the joint.",
        between=("5 mm", "1 m"),
        example="4 in",
    )
    hole_edge: Length = field(
        "From the centre of the joint's hole to the nearest edge of the plate.",
        between=("3 mm", "250 mm"),
        example="1 1/4 in",
    )
    gussets: Gussets
    normal: Vector = field(
        "Direction square to its foot, out of what it is fixed to; bolts run along it.", example=(0, -1, 0)
    )
    point: Point = field(
        "Centre of its foot, the weld or bolt pattern that fixes it. With it the moment on the foot is known exactly.",
        example=(0, -12, 20),
    )
    rotation: Angle = field(
        "How far it is turned about the lateral axis from its drawing, nose down positive.",
        between=("-90 deg", "90 deg"),
        example="0 deg",
    )
    height: Length = field(
        "From what it is fixed to, to the centre of the joint that it holds, or to the middle of them where it "
        "holds several. It gives the most that the moment on the foot can be; with `point` it is not needed.",
        between=("0 mm", "800 mm"),
        example="5 in",
    )
    brace: Brace
    method: str = field(
        "How it is fixed. The strength of U-bolts is not computed.",
        one_of=("welded", "bolted", "bolted-and-welded", "u-bolts"),
    )
    design_load: Force = field(
        "Largest load it has to carry. Where it is larger than the net force of a load case it replaces that "
        "force, in the same direction.",
        between=("0 N", "1000 kN"),
        example="9000 lbf",
    )
    bolts: Bolts
    weld: Weld
    fit_up: FitUp
    as_welded: AsWelded
    as_bolted: AsBolted

    @property
    def not_welded(self) -> str | None:
        """Why it has no weld, in words; None where it has one. Raises Missing where the spec does not say how it is
        fixed."""
        return {"bolted": "it is bolted", "u-bolts": "it is held by U-bolts"}.get(self.method)

    def expects(self, kind: type[Part]) -> tuple[str, ...]:
        """A bolted bracket has bolts."""
        return ("bolts",) if kind is Bolts and self.has("method") and "bolted" in self.method else ()
